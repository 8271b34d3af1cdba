"""What stands beside and beneath the molds on a wall screen: the hands chart, the plan, the log."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from floorboard.screens.hands_screen.hands_chart import ChartOfHands, lines_of
from floorboard.screens.hands_screen.hands_view import hands_chart, plan_words
from floorboard.screens.lines import line, wrap_text
from floorboard.screens.sheet import Sheet

if TYPE_CHECKING:
    import datetime as dt

    from textual.app import ComposeResult

    from floorboard.planning.plan import Plan
    from floorboard.usecases.session import Session

HOURS = 4.0
# The line of now moves by less than a cell in so many seconds.
STALE_SECONDS = 30.0


class WallHands(Vertical):
    """The hands chart with what is to be said of the plan beneath it."""

    DEFAULT_CSS = """
    WallHands { height: 1fr; }
    WallHands .head { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    WallHands Sheet { height: 1fr; padding: 0 1; }
    """

    def __init__(self, session: Session, *, ascii_only: bool) -> None:
        super().__init__()
        self._session = session
        self._ascii = ascii_only
        self._plan: Plan | None = None
        self._drawn_at: dt.datetime | None = None

    def compose(self) -> ComposeResult:
        """Lay out the head, the chart and the words."""
        yield Static("", classes="head")
        yield ChartOfHands(self._session.zone, ascii_only=self._ascii)
        yield Sheet()

    def on_mount(self) -> None:
        """Leave the keys to the molds."""
        self.query_one(ChartOfHands).can_focus = False
        self.query_one(Sheet).can_focus = False
        self.call_after_refresh(self.show)

    def on_resize(self) -> None:
        """Draw for the new size."""
        self._plan = None
        self.call_after_refresh(self.show)

    def show(self) -> None:
        """Draw the plan, if it is another or time has gone on."""
        session, now = self._session, self._session.now
        at = self._drawn_at
        fresh = at is not None and abs((now - at).total_seconds()) < STALE_SECONDS
        if not self.is_mounted or (session.plan is self._plan and fresh):
            return
        self._plan, self._drawn_at = session.plan, now
        chart = hands_chart(session.shop, session.plan, now, HOURS)
        widget = self.query_one(ChartOfHands)
        widget.styles.height = min(lines_of(chart), max(3, self.size.height - 1))
        widget.show(chart, now)
        zone = session.zone
        start, end = chart.start.astimezone(zone), chart.end.astimezone(zone)
        head = f"Hands, {start:%H:%M} to {end:%H:%M}; H shows more"
        self.query_one(".head", Static).update(Content(head))
        sheet = self.query_one(Sheet)
        said = plan_words(session.shop, session.plan, now)
        sheet.show([line(row) for text in said for row in wrap_text(text, sheet.width, "  ")])
