"""The charts as a screen: all four where there is room, else one at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.containers import Grid, Vertical
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from floorboard.screens.call_over import CallOver
from floorboard.screens.charts_screen.chart_plots import (
    Chart,
    draw_day,
    draw_load,
    draw_molds,
    draw_weights,
)
from floorboard.screens.charts_screen.charts_view import (
    day_curve,
    hands_load,
    mold_bars,
    weight_curve,
)
from floorboard.screens.fit import fit
from floorboard.screens.key_bar import KeyBar, items_of
from floorboard.screens.lines import wrap_text
from floorboard.screens.screen_work import ScreenWork, lets_go
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import ComposeResult

    from floorboard.screens.charts_screen.chart_plots import Pen
    from floorboard.screens.charts_screen.charts_view import WeightCurve
    from floorboard.usecases.chart_facts import ChartFacts
    from floorboard.usecases.session import Session

NAMES = ("day", "load", "molds", "weights")
# From this size on all four have room side by side.
ALL_WIDTH, ALL_HEIGHT = 100, 36
FOLLOW_SECONDS = 5.0
# Lines beneath a chart.
MOST_SAID = 3


class ChartsScreen(ScreenWork):
    """The day against the plan, hands by the hour, molds against their life, weights."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,full_stop,d", "leave", "Back", key_display="Esc"),
        Binding("1", "one('day')", "Day", tooltip="The day's castings against the plan"),
        Binding("2", "one('load')", "Hands", tooltip="Hands used and planned by the hour"),
        Binding("3", "one('molds')", "Molds", tooltip="Pulls of each mold against its life"),
        Binding("4", "one('weights')", "Weights", tooltip="Control chart of a piece's weights"),
        Binding("0", "all", "All", tooltip="All four charts, where there is room"),
        Binding("plus,right,down", "step(1)", "Next", tooltip="Next chart, or next piece"),
        Binding("minus,left,up", "step(-1)", "Before", tooltip="Chart or piece before"),
    ]
    CSS = """
    ChartsScreen { background: $background; }
    ChartsScreen #title { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    ChartsScreen Grid { grid-size: 1; grid-gutter: 0 1; height: 1fr; }
    ChartsScreen Grid.all { grid-size: 2; }
    ChartsScreen .chart { height: 1fr; }
    ChartsScreen .said { height: auto; max-height: 3; padding: 0 1; }
    """

    doing: ClassVar[dict[str, str]] = {"charts": "reading the charts"}

    class FactsRead(Message):
        """What the charts are drawn from was read."""

        def __init__(self, facts: ChartFacts, seq: int) -> None:
            super().__init__()
            self.facts = facts
            self.seq = seq

    def __init__(self, session: Session, *, ascii_only: bool = False) -> None:
        super().__init__()
        self.session = session
        self._ascii = ascii_only
        self._facts: tuple[ChartFacts, int] | None = None
        self._reading = False
        self.one: str | None = None
        self.piece = 0

    def compose(self) -> ComposeResult:
        """Lay out the four charts, each over its sentence."""
        yield CallOver(self.session, ascii_only=self._ascii)
        yield Static("Charts: reading the log", id="title")
        with Grid():
            for name in NAMES:
                with Vertical(id=name, classes="chart"):
                    yield Chart(ascii_only=self._ascii, id=f"plot-{name}")
                    yield Static("", classes="said", id=f"said-{name}")
        keys = ("leave", "step(-1)", "step(1)", *(f"one('{name}')" for name in NAMES), "all")
        yield KeyBar(items_of(self, keys), tall=self.app.is_web)

    def on_mount(self) -> None:
        """Read, lay out, and follow the log."""
        self.lay_out()
        self.read()
        self.set_interval(FOLLOW_SECONDS, self.follow)

    def on_resize(self) -> None:
        """Show as many charts as there is room for."""
        self.lay_out()

    @property
    def shown(self) -> tuple[str, ...]:
        """The charts shown: the one chosen; else all where there is room, else the first."""
        if self.one is not None:
            return (self.one,)
        roomy = self.size.width >= ALL_WIDTH and self.size.height >= ALL_HEIGHT
        return NAMES if roomy else NAMES[:1]

    def lay_out(self) -> None:
        """Show the charts there are to show."""
        shown = self.shown
        self.query_one(Grid).set_class(len(shown) > 1, "all")
        for name in NAMES:
            self.query_one(f"#{name}").display = name in shown
        self.call_after_refresh(self.show_charts)

    # --- what they show --------------------------------------------------------------------------

    @work(thread=True, exclusive=True, group="charts", exit_on_error=False)
    @lets_go
    def read(self) -> None:
        """Read what the charts are drawn from."""
        from floorboard.usecases.chart_facts import chart_facts

        session = self.session
        shop, seq, now = session.shop, session.floor.last_seq, session.now
        try:
            with session.store.history() as history:
                facts = chart_facts(history, shop, now)
        except FloorboardError as refusal:
            self.post_message(self.Refused(str(refusal)))
            return
        self.post_message(self.FactsRead(facts, seq))

    def on_charts_screen_facts_read(self, event: FactsRead) -> None:
        """Draw them."""
        self._facts = event.facts, event.seq
        self.show_charts()

    def on_screen_work_refused(self, event: ScreenWork.Refused) -> None:
        """Say why there are none."""
        self.query_one("#title", Static).update(Content(event.words))

    def failed(self, doing: str) -> None:
        """Say that they could not be read."""
        self.query_one("#title", Static).update(Content(f"Something went wrong {doing}."))

    def follow(self) -> None:
        """Read again if the log has grown; else only let the present move on."""
        if self._facts is not None and self._facts[1] != self.session.floor.last_seq:
            self.read()
        self.show_charts()

    def curves(self) -> list[WeightCurve]:
        """Return the weight charts there are, one a piece."""
        if self._facts is None:
            return []
        return [c for p in self._facts[0].quality.pieces if (c := weight_curve(p)) is not None]

    def show_charts(self) -> None:
        """Draw all charts as things stand now."""
        if self._facts is None or not self.is_mounted:
            return
        facts, session = self._facts[0], self.session
        shop, floor, plan, now = session.shop, session.floor, session.plan, session.now
        day = day_curve(shop, plan, facts.works, now)
        load = hands_load(shop, floor, plan, facts.works, now)
        molds = mold_bars(facts.molds)
        self._show("day", draw_day(day), day.sentence)
        self._show("load", draw_load(load), load.sentence)
        self._show("molds", draw_molds(molds) if molds.bars else None, " ".join(molds.sentences))
        self._show_weights()
        self.query_one("#title", Static).update(Content(f"Charts of {shop.shop.name}"))

    def _show_weights(self) -> None:
        curves = self.curves()
        if not curves:
            said = "No piece has enough castings weighed at demold yet. G weighs a casting."
            self._show("weights", None, said)
            return
        curve = curves[self.piece % len(curves)]
        more = f" ({self.piece % len(curves) + 1} of {len(curves)} pieces)" if curves[1:] else ""
        self._show("weights", draw_weights(curve), f"{curve.sentence} {curve.about}{more}")

    def _show(self, name: str, draw: Callable[[Any, Pen], None] | None, said: str) -> None:
        self.query_one(f"#plot-{name}", Chart).show(draw)
        place = self.query_one(f"#said-{name}", Static)
        # What is not laid out yet is told its width by the whole screen's.
        width = (place.size.width or self.size.width // (2 if self.shown == NAMES else 1)) - 2
        rows = wrap_text(said, width)
        if len(rows) > MOST_SAID:
            rows = [*rows[: MOST_SAID - 1], fit(" ".join(rows[MOST_SAID - 1 :]), width).rstrip()]
        place.update(Content("\n".join(rows)))

    # --- keys ------------------------------------------------------------------------------------

    def action_one(self, name: str) -> None:
        """Show one chart alone; the weights again show the next piece."""
        if name == "weights" and self.shown == ("weights",):
            self.piece += 1
            self._show_weights()
        self.one = name
        self.lay_out()

    def action_all(self) -> None:
        """Show all four, where there is room."""
        self.one = None
        self.lay_out()

    def action_step(self, by: int) -> None:
        """Go to the next chart or the one before; among the weights, from piece to piece."""
        if self.shown == NAMES:
            self.piece = (self.piece + by) % max(1, len(self.curves()))
            self._show_weights()
            return
        here = NAMES.index(self.shown[0])
        place = self.piece + by
        if self.shown == ("weights",) and 0 <= place < len(self.curves()):
            self.piece = place
            self._show_weights()
            return
        self.one = NAMES[(here + by) % len(NAMES)]
        self.lay_out()

    def action_leave(self) -> None:
        """Go back to the floor."""
        self.dismiss()
