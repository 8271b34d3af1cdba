"""The hands chart as a screen of its own, with what is to be said of the plan beneath."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar
from zoneinfo import ZoneInfo

from textual import work
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from floorboard.screens.call_over import CallOver
from floorboard.screens.hands_screen.hands_chart import ChartOfHands, lines_of
from floorboard.screens.hands_screen.hands_shapes import legend
from floorboard.screens.hands_screen.hands_view import (
    chance_words,
    hands_chart,
    plan_words,
)
from floorboard.screens.key_bar import KeyBar, items_of
from floorboard.screens.lines import Line, line, wrap_text
from floorboard.screens.screen_work import ScreenWork, lets_go
from floorboard.screens.sheet import Sheet

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from textual.app import ComposeResult

    from floorboard.planning.chance import Chance
    from floorboard.planning.plan import Plan
    from floorboard.usecases.session import Session

LEAST_HOURS, MOST_HOURS = 1.0, 48.0
# So many days are worked through for the chance of the plan: enough to tell 60 % from 70 %.
CHANCE_DAYS = 2000
LEAST_WORDS = 5
SIGN_WIDTH = 5


class HandsScreen(ScreenWork):
    """People as rows, the day as time."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,h,full_stop", "leave", "Back", key_display="Esc"),
        Binding("plus", "wider", "More hours", key_display="+"),
        Binding("minus", "narrower", "Fewer hours", key_display="-"),
        Binding("left", "move(-1)", "Earlier", key_display="Left"),
        Binding("right", "move(1)", "Later", key_display="Right"),
        Binding("0", "now", "Now", tooltip="Show the hours from now on"),
    ]
    CSS = """
    HandsScreen { background: $background; }
    HandsScreen #title { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    HandsScreen #words { height: 1fr; min-height: 3; padding: 0 1; background: $panel; }
    """
    AUTO_FOCUS = "#hands"

    doing: ClassVar[dict[str, str]] = {"chance": "working out the chance of the plan"}

    class ChanceFound(Message):
        """How likely a plan is to come out is known."""

        def __init__(self, plan: Plan, chance: Chance) -> None:
            super().__init__()
            self.plan = plan
            self.chance = chance

    def __init__(self, session: Session, *, ascii_only: bool = False) -> None:
        super().__init__()
        self.session = session
        self._ascii = ascii_only
        self._hours: float | None = None
        self._moved_hours = 0.0
        self._asked: Plan | None = None
        self._chance: Chance | None = None

    @property
    def hours(self) -> float:
        """How many hours are shown: at first, as many as can be told apart at this width."""
        return self._hours if self._hours is not None else (6.0 if self.size.width >= 100 else 3.0)

    def compose(self) -> ComposeResult:
        """Lay out the title, the chart and the words."""
        yield CallOver(self.session, ascii_only=self._ascii)
        yield Static("Hands chart", id="title")
        yield ChartOfHands(
            ZoneInfo(self.session.shop.shop.zone), ascii_only=self._ascii, id="hands"
        )
        yield Sheet(id="words")
        keys = ("leave", "wider", "narrower", "move(-1)", "move(1)", "now")
        yield KeyBar(items_of(self, keys), tall=self.app.is_web)

    def on_mount(self) -> None:
        """Show the chart, then again every few seconds."""
        self.query_one("#words", Sheet).can_focus = False
        self.call_after_refresh(self.show_chart)
        self.set_interval(2.0, self.show_chart)

    def on_resize(self) -> None:
        """Draw for the new size."""
        self.call_after_refresh(self.show_chart)

    def show_chart(self) -> None:
        """Draw the plan as it stands now."""
        if not self.is_mounted:
            return
        session, now = self.session, self.session.now
        chart = hands_chart(session.shop, session.plan, now, self.hours, self._moved_hours)
        room = max(3, self.size.height - 2 - LEAST_WORDS)
        widget = self.query_one(ChartOfHands)
        widget.styles.height = min(lines_of(chart), room)
        widget.show(chart, now)
        zone = ZoneInfo(session.shop.shop.zone)
        start, end = chart.start.astimezone(zone), chart.end.astimezone(zone)
        title = f"Hands chart: {start:%a %H:%M} to {end:%a %H:%M}"
        self.query_one("#title", Static).update(Content(title))
        self._show_words(now)

    def _show_words(self, now: dt.datetime) -> None:
        session = self.session
        self._ask_chance(session.plan)
        sheet = self.query_one("#words", Sheet)
        said = list(plan_words(session.shop, session.plan, now))
        if self._chance is not None and self._chance.seq == session.plan.seq:
            said[1:1] = chance_words(session.shop, self._chance)
        rows: list[Line] = []
        for text in said:
            rows += [line(row) for row in wrap_text(text, sheet.width, "  ")]
        sheet.show([*rows, Line(), *self._legend(sheet.width)])

    def _legend(self, width: int) -> Iterator[Line]:
        for sign, words in legend(self._ascii):
            for place, row in enumerate(wrap_text(words, width - SIGN_WIDTH)):
                yield line(f"{'' if place else sign:<{SIGN_WIDTH}}{row}", "quiet")

    # --- the chance ------------------------------------------------------------------------------

    def _ask_chance(self, plan: Plan) -> None:
        """Have the chance worked out once for each plan."""
        if plan.engine != "none" and plan is not self._asked:
            self._asked = plan
            self._work_out_chance(plan)

    @work(thread=True, exclusive=True, group="chance", exit_on_error=False)
    @lets_go
    def _work_out_chance(self, plan: Plan) -> None:
        from floorboard.planning.chance import chance_of

        shop, floor = self.session.shop, self.session.floor
        if plan.seq == floor.last_seq:
            self.post_message(
                self.ChanceFound(plan, chance_of(shop, floor, plan, days=CHANCE_DAYS))
            )

    def on_hands_screen_chance_found(self, event: ChanceFound) -> None:
        """Show it, unless the plan is another by now."""
        if event.plan is self.session.plan:
            self._chance = event.chance
            self.show_chart()

    # --- keys ------------------------------------------------------------------------------------

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

    def action_move(self, by: int) -> None:
        """Move on or back by half of what is shown, never before now."""
        moved = self._moved_hours + by * self.hours / 2
        self._moved_hours = min(max(0.0, moved), MOST_HOURS)
        self.show_chart()

    def action_now(self) -> None:
        """Show the hours from now on."""
        self._moved_hours = 0.0
        self.show_chart()
