"""A form of fields from top to bottom; what is wrong with any of them is said at once."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.suggester import SuggestFromList
from textual.widgets import Button, Input, Static, TextArea

from floorboard.screens.key_bar import KeyBar, items_of
from floorboard.screens.pad import PadDock, PadInput
from floorboard.screens.setup_screen.item_list import ItemList
from floorboard.shop.errors import FloorboardError
from floorboard.usecases.form_fields import REFERENCES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from floorboard.shop.shop import Shop
    from floorboard.usecases.form_fields import FormField

Result = TypeVar("Result")

LONGEST_TOML_LINES = 10
# More values than these are suggested as they are typed, but not named.
MOST_NAMED = 12


class FieldsForm(Screen[Result]):
    """Fields with their names and what they are about; F2 saves, Esc leaves all as it was."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "save", "Save", key_display="F2"),
        Binding("escape", "leave", "Leave as it was", key_display="Esc"),
        Binding("f4", "keypad", "Keypad", key_display="F4", tooltip="Type by taps"),
        Binding("down", "app.focus_next", "Next field", show=False),
        Binding("up", "app.focus_previous", "Field before", show=False),
    ]
    HORIZONTAL_BREAKPOINTS = [(0, "narrow"), (160, "wall")]
    CSS_PATH = "forms.tcss"

    def __init__(self, shop: Shop, title: str, section: str, fields: Sequence[FormField]) -> None:
        super().__init__(classes="form")
        self.shop = shop
        self._title = title
        self._section = section
        self._fields = fields

    def compose(self) -> ComposeResult:
        """Lay out the fields from top to bottom."""
        yield Static(Content(self._title), id="form-title")
        yield VerticalScroll(Static("", id="problems"), id="problems-scroll")
        with VerticalScroll(id="fields"):
            for field in self._fields:
                with Vertical(classes="field"):
                    yield Static(about_field(field), classes="label")
                    yield self._widget(field)
        with Horizontal(id="buttons"):
            yield Button("Save (F2)", id="save", variant="success", compact=True)
            yield Button("Leave as it was (Esc)", id="leave", compact=True)
        yield PadDock()
        yield KeyBar(items_of(self, ("save", "leave", "keypad")), tall=self.app.is_web)

    def _widget(self, field: FormField) -> Input | TextArea | ItemList:
        name = f"field-{field.name}"
        if field.kind == "items" and field.item is not None:
            return ItemList(self.shop, self._section, field, id=name)
        if field.kind == "toml":
            area = TextArea(field.text, id=name, tab_behavior="focus")
            area.styles.max_height = LONGEST_TOML_LINES
            return area
        suggester = SuggestFromList(field.choices) if field.choices else None
        line = PadInput(
            field.text,
            id=name,
            max_length=2000,
            suggester=suggester,
            placeholder=field.example,
        )
        if len(field.choices) <= MOST_NAMED:
            line.quick_words = field.choices
        return line

    def on_mount(self) -> None:
        """Begin at the first field, with its name above it."""
        self.query_one("#problems-scroll").display = False
        first = self.query_one(f"#field-{self._fields[0].name}")
        first.focus(scroll_visible=False)

    def typed(self) -> dict[str, str]:
        """Return what stands in each field."""
        values = {}
        for field in self._fields:
            widget: Any = self.query_one(f"#field-{field.name}")
            values[field.name] = widget.value if isinstance(widget, Input) else widget.text
        return values

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Go to the next field; Enter alone never saves."""
        event.stop()
        self.focus_next()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        """Save or leave by touch."""
        if event.button.id == "save":
            self.action_save()
        elif event.button.id == "leave":
            self.action_leave()

    @abstractmethod
    def made(self, typed: dict[str, str]) -> Result:
        """Return what the form makes of what was typed, or refuse it with every mistake."""

    def action_save(self) -> None:
        """Give back what was made, or say everything that is wrong with it."""
        try:
            made = self.made(self.typed())
        except FloorboardError as refusal:
            self.tell(str(refusal))
            return
        self.dismiss(made)

    def tell(self, problems: str) -> None:
        """Say what is wrong, and go to the first field that is named in it."""
        scroll = self.query_one("#problems-scroll", VerticalScroll)
        scroll.display = True
        self.query_one("#problems", Static).update(Content(problems))
        scroll.scroll_home(animate=False)
        first = problems.split("\n", 1)[0]
        for field in self._fields:
            if first.startswith((f"{field.name}:", f"{field.name}[", f"{field.name}.")):
                self.query_one(f"#field-{field.name}").focus()
                return

    def action_keypad(self) -> None:
        """Bring the keypad up, or put it away."""
        self.query_one(PadDock).toggle()

    def action_leave(self) -> None:
        """Leave everything as it was."""
        self.dismiss(None)


def about_field(field: FormField) -> Content:
    """Return a field's name, whether it is needed, what it is about and what may stand in it."""
    parts: list[str | tuple[str, str]] = [(field.words, "bold")]
    if not field.required:
        parts.append(("  may be left empty", "dim"))
    # How an id is spelt matters less than which ones there are.
    if field.about and field.name not in REFERENCES:
        parts.append((f"  {field.about}", "dim"))
    if field.kind == "words":
        parts.append(("  with commas between", "dim"))
    if field.choices and len(field.choices) <= MOST_NAMED:
        parts.append((f"  known: {', '.join(field.choices)}", "dim"))
    return Content.assemble(*parts)
