"""A list of entries inside a form, such as a piece's layers: each opens in a form of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Button, OptionList, Static
from textual.widgets.option_list import Option

from floorboard.screens.options import Options
from floorboard.screens.pad import wants_pad
from floorboard.shop.errors import FloorboardError
from floorboard.usecases.edit_items import item_line, items_in, items_text

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from floorboard.shop.shop import Shop
    from floorboard.usecases.form_fields import FormField

MOST_LINES = 8


class ItemList(Vertical):
    """Entries, one a line; they are changed, added, removed and moved."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "new", "Add", tooltip="Add an entry after the one chosen"),
        Binding("d", "drop", "Remove", tooltip="Remove the entry chosen"),
        Binding("minus", "move(-1)", "Earlier", tooltip="Move the entry one place up"),
        Binding("plus", "move(1)", "Later", tooltip="Move the entry one place down"),
    ]

    def __init__(self, shop: Shop, section: str, field: FormField, *, id: str) -> None:
        super().__init__(id=id)
        self._shop = shop
        self._section = section
        self._field = field
        self._items: list[dict[str, Any]] = []
        # What cannot be read as a list is kept as it is, so that nothing typed is lost.
        self._unread = ""
        try:
            self._items = items_in(field.text)
        except FloorboardError:
            self._unread = field.text

    @property
    def text(self) -> str:
        """The list as its TOML text."""
        return self._unread or items_text(self._items)

    def compose(self) -> ComposeResult:
        """Lay out the entries and what can be done with them."""
        yield Options()
        with Horizontal(classes="tall" if wants_pad(self.app) else ""):
            for label, action in (
                ("Change", "change"),
                ("n Add", "new"),
                ("d Remove", "drop"),
                ("- Earlier", "earlier"),
                ("+ Later", "later"),
            ):
                yield Button(label, id=action, compact=not wants_pad(self.app))
        if self._unread:
            yield Static(Content("This list cannot be read; adding an entry begins it anew."))

    def on_mount(self) -> None:
        """List the entries."""
        self.query_one(OptionList).styles.max_height = MOST_LINES
        self.list_items(0)

    def focus(self, scroll_visible: bool = True) -> ItemList:
        """Let keys reach the entries."""
        self.query_one(OptionList).focus(scroll_visible)
        return self

    def list_items(self, chosen: int) -> None:
        """List the entries, numbered from 1, with one of them chosen."""
        options = self.query_one(OptionList)
        options.clear_options()
        lines = [f"{place}  {item_line(item)}" for place, item in enumerate(self._items, 1)]
        options.add_options(Option(Content(line)) for line in lines or ["none yet; n adds one"])
        options.highlighted = max(0, min(chosen, len(self._items) - 1))

    @property
    def chosen(self) -> int | None:
        """The place of the entry chosen, or None if there is none."""
        place = self.query_one(OptionList).highlighted
        return place if place is not None and place < len(self._items) else None

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open an entry in its form."""
        event.stop()
        self.action_change()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        """Do by touch what the keys do."""
        event.stop()
        match event.button.id:
            case "change":
                self.action_change()
            case "new":
                self.action_new()
            case "drop":
                self.action_drop()
            case "earlier":
                self.action_move(-1)
            case _:
                self.action_move(1)

    def action_change(self) -> None:
        """Open the chosen entry in a form."""
        place = self.chosen
        if place is None:
            self.action_new()
            return

        def taken(item: dict[str, Any] | None) -> None:
            if item is not None:
                self._items[place] = item
                self.list_items(place)

        self._open(self._items[place], place, taken)

    def action_new(self) -> None:
        """Open an empty form; the entry goes in after the chosen one."""
        after = self.chosen
        place = 0 if after is None else after + 1

        def taken(item: dict[str, Any] | None) -> None:
            if item is not None:
                self._unread = ""
                self._items.insert(place, item)
                self.list_items(place)

        self._open(None, place, taken)

    def _open(self, item: dict[str, Any] | None, place: int, taken: Any) -> None:
        from floorboard.screens.setup_screen.item_form import ItemForm

        title = f"{self._field.words}, no {place + 1}{'' if item else ' (new)'}"
        form = ItemForm(self._shop, title, self._section, self._field, item)
        self.app.push_screen(form, taken)

    def action_drop(self) -> None:
        """Remove the chosen entry; leaving the whole form brings it back."""
        place = self.chosen
        if place is not None:
            del self._items[place]
            self.list_items(place)

    def action_move(self, by: int) -> None:
        """Move the chosen entry up or down."""
        place = self.chosen
        if place is not None and 0 <= place + by < len(self._items):
            self._items.insert(place + by, self._items.pop(place))
            self.list_items(place + by)
