"""What if, as a screen: a table and two charts, worked out beside the board."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from floorboard.screens.call_over import CallOver
from floorboard.screens.charts_screen.chart_plots import Chart, draw_bars
from floorboard.screens.key_bar import KeyBar, items_of
from floorboard.screens.lines import line, wrap_text
from floorboard.screens.screen_work import ScreenWork, lets_go
from floorboard.screens.sheet import Sheet
from floorboard.screens.whatif_screen.whatif_view import bars_of, scenarios_of, table_lines
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from floorboard.planning.scenario import Scenario
    from floorboard.planning.whatif import Axis, WhatIf
    from floorboard.usecases.session import Session

SECONDS = 0.5
TITLES: dict[Axis, str] = {
    "molds": "other numbers of molds",
    "people": "other numbers of people",
    "accelerator_percent": "other accelerator, by the mixes' own tables",
    "largest_batch_grams": "other buckets, grams",
}
CHOOSE = (
    "Choose what to suppose: 1 molds, 2 people, 3 accelerator, 4 buckets. For each number the days "
    "to come are planned, orders left aside, which may take a minute; the board goes on meanwhile. "
    "Numbers of your own are taken by the command: floorboard what-if --molds 4-8"
)
NO_TABLE = (
    "No mix of this shop has a table of its accelerator, so nothing is known of other amounts. "
    "Give a mix such a table in the set-up."
)


class WhatIfScreen(ScreenWork):
    """What other molds, people, accelerator or buckets would bring."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,full_stop,i", "leave", "Back", key_display="Esc"),
        Binding("1", "suppose('molds')", "Molds", tooltip="More molds, and fewer"),
        Binding("2", "suppose('people')", "People", tooltip="More people, and fewer"),
        Binding(
            "3",
            "suppose('accelerator_percent')",
            "Accelerator",
            tooltip="Other accelerator: working time against cure, by the mixes' own tables",
        ),
        Binding("4", "suppose('largest_batch_grams')", "Buckets", tooltip="Larger buckets"),
    ]
    CSS = """
    WhatIfScreen { background: $background; }
    WhatIfScreen #title { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    WhatIfScreen Sheet { height: 1fr; min-height: 5; margin: 0 1; }
    WhatIfScreen Horizontal { height: 1fr; }
    WhatIfScreen Chart { width: 1fr; height: 1fr; }
    """

    doing: ClassVar[dict[str, str]] = {"what-if": "working out what would be"}

    class Found(Message):
        """A table was worked out."""

        def __init__(self, axis: Axis, found: WhatIf) -> None:
            super().__init__()
            self.axis = axis
            self.found = found

    def __init__(self, session: Session, *, ascii_only: bool = False) -> None:
        super().__init__()
        # Imported with the screen, not with the board: it brings the planner.
        from floorboard.planning.whatif_beside import WhatIfBeside

        self.session = session
        self._ascii = ascii_only
        self._beside = WhatIfBeside()
        self._words = CHOOSE
        self._found: tuple[Axis, WhatIf] | None = None

    def compose(self) -> ComposeResult:
        """Lay out the table over its two charts."""
        yield CallOver(self.session, ascii_only=self._ascii)
        yield Static("What if", id="title")
        yield Sheet(id="table")
        with Horizontal():
            yield Chart(ascii_only=self._ascii, id="castings")
            yield Chart(ascii_only=self._ascii, id="costs")
        keys = ("leave", *(f"suppose('{axis}')" for axis in TITLES))
        yield KeyBar(items_of(self, keys), tall=self.app.is_web)

    def on_mount(self) -> None:
        """Say what there is to choose."""
        self.call_after_refresh(self.show_found)

    def on_resize(self) -> None:
        """Lay the table out again."""
        self.call_after_refresh(self.show_found)

    def on_unmount(self) -> None:
        """End what is being worked out: nobody would see it."""
        self._beside.close()

    def show_found(self) -> None:
        """Show the table and its charts, or what is to be said instead."""
        sheet = self.query_one(Sheet)
        self.query_one(Horizontal).display = self._found is not None
        if self._found is None:
            sheet.show([line(part) for part in wrap_text(self._words, max(20, sheet.width))])
            return
        axis, found = self._found
        sheet.show(table_lines(found, sheet.width))
        bars = bars_of(found, axis)
        castings = [(label, count) for label, count, _ in bars]
        costs = [(label, cost) for label, _, cost in bars if cost is not None]
        self.query_one("#castings", Chart).show(draw_bars("Castings a shift", castings))
        title = f"Cost of a casting, {found.currency}"
        self.query_one("#costs", Chart).show(draw_bars(title, costs) if costs else None)

    def say(self, title: str, words: str) -> None:
        """Say something in the place of a table."""
        self._found, self._words = None, words
        self.query_one("#title", Static).update(Content(title))
        self.show_found()

    def action_suppose(self, axis: Axis) -> None:
        """Work out a table along an axis; one being worked out is dropped."""
        scenarios = scenarios_of(self.session.shop, axis)
        title = f"What if: {TITLES[axis]}"
        if len(scenarios) == 1:
            self.say(title, NO_TABLE)
            return
        names = ", ".join(scenario.name for scenario in scenarios)
        self.say(f"{title}: being worked out", f"Planning {names}. The board goes on meanwhile.")
        self.work_out(axis, scenarios)

    @work(thread=True, exclusive=True, group="what-if", exit_on_error=False)
    @lets_go
    def work_out(self, axis: Axis, scenarios: Sequence[Scenario]) -> None:
        """Wait for the table."""
        from floorboard.planning.whatif_beside import NotWanted

        session = self.session
        try:
            found = self._beside.ask(session.shop, session.now, scenarios, SECONDS)
        except NotWanted:
            return
        except FloorboardError as refusal:
            self.post_message(self.Refused(str(refusal)))
            return
        self.post_message(self.Found(axis, found))

    def on_what_if_screen_found(self, event: Found) -> None:
        """Show it."""
        self._found = event.axis, event.found
        self.query_one("#title", Static).update(Content(f"What if: {TITLES[event.axis]}"))
        # The charts have their room only after the next layout.
        self.query_one(Horizontal).display = True
        self.call_after_refresh(self.show_found)

    def on_screen_work_refused(self, event: ScreenWork.Refused) -> None:
        """Say why there is none."""
        self.say("What if", event.words)

    def failed(self, doing: str) -> None:
        """Say that it could not be worked out."""
        self.say("What if", f"Something went wrong {doing}. Choose it again.")

    def action_leave(self) -> None:
        """Go back to the floor."""
        self.dismiss()
