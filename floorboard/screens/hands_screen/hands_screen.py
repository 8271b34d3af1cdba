"""The hands chart as a screen of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar
from zoneinfo import ZoneInfo

from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer, Static

from floorboard.screens.hands_screen.hands_chart import NAME_WIDTH, ChartOfHands
from floorboard.screens.hands_screen.hands_view import hands_chart

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from floorboard.usecases.session import Session

LEAST_HOURS, MOST_HOURS = 2.0, 48.0
# A cell is then two and a half minutes: a short task still shows.
CELLS_AN_HOUR = 24


class HandsScreen(Screen[None]):
    """People as rows, the day as time."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,h,full_stop", "leave", "Back", key_display="Esc"),
        Binding("plus,right", "wider", "More hours", key_display="+"),
        Binding("minus,left", "narrower", "Fewer hours", key_display="-"),
    ]
    CSS = """
    HandsScreen { background: $background; }
    HandsScreen #title { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    """
    AUTO_FOCUS = "#hands"

    def __init__(self, session: Session, *, ascii_only: bool = False) -> None:
        super().__init__()
        self.session = session
        self._ascii = ascii_only
        self._hours: float | None = None

    def compose(self) -> ComposeResult:
        """Lay out the title and the chart."""
        yield Static("Hands chart", id="title")
        yield ChartOfHands(
            ZoneInfo(self.session.shop.shop.zone), ascii_only=self._ascii, id="hands"
        )
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Show the chart, then again every few seconds."""
        self.show_chart()
        self.set_interval(5.0, self.show_chart)

    def on_resize(self) -> None:
        """Draw for the new width."""
        self.show_chart()

    @property
    def hours(self) -> float:
        """How many hours the chart spans: as asked, else as many as its width can tell apart."""
        if self._hours is not None:
            return self._hours
        return min(MOST_HOURS, max(LEAST_HOURS, (self.size.width - NAME_WIDTH) / CELLS_AN_HOUR))

    def show_chart(self) -> None:
        """Draw the plan as it stands now."""
        session, now = self.session, self.session.now
        chart = hands_chart(session.shop, session.plan, now, self.hours)
        self.query_one(ChartOfHands).show(chart, now)

    def action_leave(self) -> None:
        """Go back to the floor."""
        self.dismiss()

    def action_wider(self) -> None:
        """Show twice as many hours."""
        self._hours = min(MOST_HOURS, self.hours * 2)
        self.show_chart()

    def action_narrower(self) -> None:
        """Show half as many hours."""
        self._hours = max(LEAST_HOURS, self.hours / 2)
        self.show_chart()
