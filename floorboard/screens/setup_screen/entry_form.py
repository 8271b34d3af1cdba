"""One definition in a form; it is saved only once nothing is wrong with it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Button, Footer, Input, Static, TextArea

from floorboard.shop.errors import FloorboardError
from floorboard.usecases.edit_shop import form_of, put_entry

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from floorboard.shop.shop import Shop
    from floorboard.usecases.edit_shop import FormField

LONGEST_NESTED_LINES = 14


class EntryForm(Screen["Shop | None"]):
    """The fields of one entry, each typed as in the shop file."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", key_display="Esc"),
        Binding("f2", "save", "Save", key_display="F2"),
    ]
    CSS = """
    EntryForm { background: $background; }
    EntryForm #title { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    EntryForm #problems { height: auto; max-height: 8; color: $error; padding: 0 1; }
    EntryForm .label { text-style: bold; padding: 0 1; }
    EntryForm .about { color: $text-muted; padding: 0 1; }
    EntryForm Input { border: none; height: 1; background: $panel; margin: 0 1 1 1; }
    EntryForm Input:focus { background: $primary 20%; }
    EntryForm TextArea { height: auto; border: none; margin: 0 1 1 1; }
    EntryForm #buttons { height: 3; }
    EntryForm Button { margin: 0 1; }
    """

    def __init__(self, shop: Shop, section: str, key: str) -> None:
        super().__init__()
        self._shop = shop
        self._section = section
        self._key = key
        self._fields = form_of(shop, section, key)

    def compose(self) -> ComposeResult:
        """Lay out the fields from top to bottom."""
        title = self._section if self._section == "shop" else f"{self._section}: {self._key}"
        yield Static(Content(title), id="title")
        yield Static("", id="problems")
        with VerticalScroll():
            for field in self._fields:
                yield from self._field(field)
        with Horizontal(id="buttons"):
            yield Button("Save", id="save", variant="success")
            yield Button("Leave", id="leave")
        yield Footer(show_command_palette=False)

    def _field(self, field: FormField) -> ComposeResult:
        needed = "" if field.required else ", may be left empty"
        words = field.name.replace("_", " ")
        about = "" if field.about == words else f"  {field.about}"
        yield Static(
            Content.assemble((f"{words}{needed}", "bold"), (about, "dim")), classes="label"
        )
        if field.nested:
            area = TextArea(field.text, id=f"field-{field.name}", tab_behavior="focus")
            area.styles.max_height = LONGEST_NESTED_LINES
            yield area
        else:
            yield Input(field.text, id=f"field-{field.name}", max_length=2000)

    def typed(self) -> dict[str, str]:
        """Return what stands in each field."""
        values = {}
        for field in self._fields:
            widget = self.query_one(f"#field-{field.name}")
            values[field.name] = widget.text if isinstance(widget, TextArea) else ""
            if isinstance(widget, Input):
                values[field.name] = widget.value
        return values

    def on_button_pressed(self, event: Button.Pressed) -> None:
        """Save or leave by touch."""
        if event.button.id == "save":
            self.action_save()
        else:
            self.action_leave()

    def action_save(self) -> None:
        """Give the changed shop back, or say everything that is wrong with it."""
        try:
            shop = put_entry(self._shop, self._section, self._key, self.typed())
        except FloorboardError as refusal:
            self.query_one("#problems", Static).update(Content(str(refusal)))
            return
        self.dismiss(shop)

    def action_leave(self) -> None:
        """Leave everything as it was."""
        self.dismiss(None)
