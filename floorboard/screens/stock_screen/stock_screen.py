"""The stock screen: materials on the left or above, the lots of the one chosen beside or below."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar
from zoneinfo import ZoneInfo

from rich.text import Text
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from floorboard.screens.call_over import CallOver
from floorboard.screens.key_bar import KeyBar, items_of
from floorboard.screens.options import Options
from floorboard.screens.stock_screen import stock_view as view
from floorboard.screens.stock_screen.stock_keys import StockKeys

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.binding import BindingType

    from floorboard.usecases.session import Session

REMARK_LINES = 4
STRIKE = "Strike the last entry keyed at this station"


class StockScreen(StockKeys):
    """What is on hand, and the keys that change it."""

    CSS_PATH = "stock.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("r", "receive", "Receive", tooltip="Take in a lot of a material"),
        Binding("k", "count", "Count", tooltip="Say what was found of the chosen lot"),
        Binding("w", "waste", "Waste", tooltip="Say that some of the chosen lot was wasted"),
        Binding("b", "open_lot", "Open", tooltip="Say that the chosen lot was opened"),
        Binding("u", "make_up", "Make up", tooltip="Make up a solution out of what is in stock"),
        Binding("g", "trace", "Trace", tooltip="Show the castings the chosen lot went into"),
        Binding(
            "c", "trace_casting", "Casting", tooltip="Show the lots behind a casting, its cost"
        ),
        Binding("e", "empty_lots", "Used up", tooltip="Show lots that are used up, or hide them"),
        Binding("minus", "strike", "Strike", id="strike", key_display="-", tooltip=STRIKE),
        Binding("escape,o", "leave", "Floor", key_display="Esc", tooltip="Go back to the floor"),
    ]
    SHOWN = (
        *("receive", "count", "waste", "open_lot", "make_up", "trace", "trace_casting"),
        *("leave", "strike", "empty_lots"),
    )
    HORIZONTAL_BREAKPOINTS = [(0, "narrow"), (110, "wide")]
    AUTO_FOCUS = "#materials"

    def __init__(self, session: Session, *, ascii_only: bool = False) -> None:
        super().__init__()
        self.session = session
        self._ascii = ascii_only
        self.with_empty = False
        self._view: view.StockView | None = None
        self._said = ""

    def compose(self) -> ComposeResult:
        """Lay out the two lists and what to mind."""
        yield CallOver(self.session, ascii_only=self._ascii)
        yield Static("", id="top")
        with Horizontal(id="lists"):
            with Vertical(id="left"):
                yield Static("", id="material-head")
                yield Options(id="materials")
            with Vertical(id="right"):
                yield Static("", id="lot-head")
                yield Options(id="lots")
        yield Static("", id="remarks")
        yield Static("", id="said")
        yield KeyBar(items_of(self, self.SHOWN), tall=self.app.is_web)

    def on_mount(self) -> None:
        """Show the stock, then again when something was logged or planned."""
        self.call_after_refresh(self.show_stock)
        self.set_interval(2.0, self.tick)

    def on_resize(self) -> None:
        """Draw for the new size."""
        self._view = None
        self.call_after_refresh(self.show_stock)

    def tick(self) -> None:
        """Take in what other stations logged."""
        self.session.refresh()
        self.show_stock()

    def show_stock(self) -> None:
        """Draw everything as it stands now, if it changed."""
        if not self.is_mounted:
            return
        shown = view.stock_view(self.session, self.session.now, empty=self.with_empty)
        if shown == self._view:
            return
        self._view = shown
        chosen = self.material
        materials = self.query_one("#materials", OptionList)
        width = max(20, materials.size.width - 2)
        self.query_one("#material-head", Static).update(Text(view.material_head(width)))
        self._fill(
            materials,
            [
                (line.material, view.material_text(self.session.shop, line, width))
                for line in shown.lines
            ],
            chosen,
        )
        self._show_lots()
        self._show_remarks()

    def _fill(self, options: OptionList, rows: list[tuple[str, str]], chosen: str | None) -> None:
        options.clear_options()
        options.add_options(Option(Text(text, no_wrap=True), id=key) for key, text in rows)
        keys = [key for key, _ in rows]
        if keys:
            options.highlighted = keys.index(chosen) if chosen in keys else 0

    def _show_lots(self) -> None:
        if self._view is None:
            return
        lots, chosen = self.query_one("#lots", OptionList), self.lot
        width = max(20, lots.size.width - 2)
        self.query_one("#lot-head", Static).update(Text(view.lot_head(width)))
        rows = [
            (lot.lot, view.lot_text(self.session.shop, lot, width))
            for lot in self._view.lots_of(self.material)
        ]
        self._fill(lots, [(f"lot-{place}", text) for place, (_, text) in enumerate(rows)], None)
        self._lot_names = [name for name, _ in rows]
        if chosen in self._lot_names:
            lots.highlighted = self._lot_names.index(chosen)

    def _show_remarks(self) -> None:
        remarks = self._view.remarks if self._view is not None else ()
        mine = [f"! {remark}" for remark in remarks]
        if len(mine) > REMARK_LINES:
            mine = [*mine[: REMARK_LINES - 1], f"! and {len(mine) - REMARK_LINES + 1} more remarks"]
        if not mine and self._view is not None and not self._view.lines:
            mine = ["No lot has been received yet. R takes one in."]
        self.query_one("#remarks", Static).update(Text("\n".join(mine)))
        until = self.session.plan.until.astimezone(ZoneInfo(self.session.shop.shop.zone))
        self.query_one("#top", Static).update(
            Text(f"Stock, against the plan until {until:%a %d %b %H:%M}", style="bold")
        )

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Show the lots of the material gone to."""
        if event.option_list.id == "materials":
            self._show_lots()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter goes from the material to its lots, and from a lot to its trace."""
        if event.option_list.id == "materials":
            self.query_one("#lots", OptionList).focus()
        else:
            self.action_trace()

    @property
    def material(self) -> str | None:
        """The material gone to."""
        options = self.query_one("#materials", OptionList)
        if options.highlighted is None or options.highlighted >= options.option_count:
            return None
        return options.get_option_at_index(options.highlighted).id

    @property
    def lot(self) -> str | None:
        """The lot gone to."""
        place = self.query_one("#lots", OptionList).highlighted
        if place is None or place >= len(self._lot_names):
            return None
        return self._lot_names[place]

    _lot_names: list[str] = []

    def say(self, message: str) -> None:
        """Say what was done, or why it was not."""
        self.last_said = message
        self.query_one("#said", Static).update(Text(message))
