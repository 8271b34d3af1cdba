"""The shop's definitions, section by section; each entry opens in a form."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from floorboard.screens.call_over import CallOver
from floorboard.screens.casting_keys import CastingKeys
from floorboard.screens.dialogs import AskChoice, AskValue
from floorboard.screens.fit import fit
from floorboard.screens.key_bar import KeyBar, items_of
from floorboard.screens.lines import Line, Span, wrap_text
from floorboard.screens.options import Options
from floorboard.screens.setup_screen.entry_form import EntryForm
from floorboard.screens.sheet import Sheet
from floorboard.shop.errors import FloorboardError
from floorboard.usecases.edit_shop import (
    SECTIONS,
    drop_entry,
    entries_of,
    entry_line,
    form_of,
    held_up,
    id_problem,
)

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from floorboard.shop.shop import Shop
    from floorboard.usecases.session import Session

FIELD_WIDTH = 20
SHOWN_AS = {"": "-", "[]": "-", "{}": "-", "true": "yes", "false": "no"}
SECTION_WORDS = {"shop": "the whole shop", "reasons": "reasons for rejects"}
SINGULAR = {
    "people": "person",
    "materials": "material",
    "mixes": "mix",
    "pieces": "piece",
    "molds": "mold",
    "stations": "station",
    "orders": "order",
    "reasons": "reason",
}


class SetupScreen(Screen[None]):
    """Sections on the left, their entries on the right."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,full_stop", "leave", "Back", key_display="Esc"),
        Binding("enter,right", "open", "Open", tooltip="Open the entry in a form"),
        Binding("left", "leave_entries", "Sections", show=False),
        Binding("n", "new", "New", tooltip="Add an entry to the section"),
        Binding("d", "drop", "Remove", tooltip="Remove the chosen entry"),
    ]
    CSS = """
    SetupScreen { background: $background; }
    SetupScreen #title { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    SetupScreen #sections { width: 22; height: 1fr; border: none; background: $panel; }
    SetupScreen #entries { width: 1fr; height: 1fr; border: none; background: $background; }
    SetupScreen #fields-shown { display: none; width: 80; height: 1fr; padding: 0 1; }
    SetupScreen #fields-shown { background: $panel; }
    SetupScreen.wall #fields-shown { display: block; }
    SetupScreen #said { height: auto; max-height: 6; padding: 0 1; background: $panel; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "narrow"), (160, "wall")]
    AUTO_FOCUS = "#sections"

    def __init__(self, session: Session, *, ascii_only: bool = False) -> None:
        super().__init__()
        self.session = session
        self._ascii = ascii_only
        self._section = SECTIONS[0]

    def compose(self) -> ComposeResult:
        """Lay out the two lists."""
        yield CallOver(self.session, ascii_only=self._ascii)
        yield Static("Shop set-up", id="title")
        with Horizontal():
            yield Options(
                *(Option(SECTION_WORDS.get(section, section), id=section) for section in SECTIONS),
                id="sections",
            )
            yield Options(id="entries")
            yield Sheet(id="fields-shown")
        yield Static("", id="said")
        yield KeyBar(items_of(self, ("leave", "open", "new", "drop")), tall=self.app.is_web)

    def on_mount(self) -> None:
        """List the first section."""
        self.query_one("#fields-shown", Sheet).can_focus = False
        self.query_one("#sections", OptionList).highlighted = 0
        self.list_entries()

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """List the section the arrows are on."""
        if event.option_list.id == "sections" and event.option.id:
            self._section = event.option.id
            self.list_entries()
        elif event.option.id:
            self.show_fields(event.option.id)

    def on_resize(self) -> None:
        """Lay the chosen entry's fields out for the new width."""
        self.call_after_refresh(self._show_highlighted)

    def _show_highlighted(self) -> None:
        entries = self.query_one("#entries", OptionList)
        if entries.highlighted is not None:
            key = entries.get_option_at_index(entries.highlighted).id
            if key:
                self.show_fields(key)

    def show_fields(self, key: str) -> None:
        """Show what stands in an entry, where there is room beside the list."""
        sheet = self.query_one("#fields-shown", Sheet)
        if not self.has_class("wall"):
            return
        lines: list[Line] = []
        for field in form_of(self.session.shop, self._section, key):
            text = SHOWN_AS.get(field.text, " ".join(field.text.split()))
            rows = wrap_text(text, max(20, sheet.width - FIELD_WIDTH))
            for place, row in enumerate(rows):
                name = fit(field.words if not place else "", FIELD_WIDTH)
                lines.append(Line((Span(name, "quiet"), Span(row))))
        sheet.show(lines)

    def list_entries(self, chosen: str = "") -> None:
        """List a section's entries by id and in a few words, with one of them chosen."""
        shop = self.session.shop
        entries = entries_of(shop, self._section)
        options = self.query_one("#entries", OptionList)
        options.clear_options()
        widest = max((len(key) for key in entries), default=0)
        options.add_options(
            Option(Content(f"{key:<{widest}}  {entry_line(shop, self._section, key)}"), id=key)
            for key in entries
        )
        if entries:
            options.highlighted = list(entries).index(chosen) if chosen in entries else 0
        else:
            self.query_one("#fields-shown", Sheet).show([])

    def action_open(self) -> None:
        """Open what is chosen: a section's entries, or an entry's form."""
        focused = self.focused
        if isinstance(focused, OptionList):
            focused.action_select()

    def action_leave_entries(self) -> None:
        """Go back to the sections."""
        self.query_one("#sections").focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Go from a section to its entries, from an entry to its form."""
        if event.option_list.id == "sections":
            self.query_one("#entries", OptionList).focus()
        elif event.option.id:
            self.open_form(event.option.id)

    def open_form(self, key: str) -> None:
        """Open an entry, or a new one, in a form."""
        form = EntryForm(self.session.shop, self._section, key)
        self.app.push_screen(form, lambda shop: self.take(shop, key))

    def take(self, shop: Shop | None, key: str = "") -> None:
        """Load the shop as the form left it."""
        if shop is None:
            return
        session = self.session
        try:
            session.store.load_shop(
                shop, source="set-up", at=session.now, person=None, station=session.station
            )
        except FloorboardError as refusal:
            self.say(str(refusal))
            return
        session.refresh()
        self.app.post_message(CastingKeys.FloorChanged())
        self.list_entries(key)
        self.say("Saved. Castings already begun keep the build they began with.")

    def action_new(self) -> None:
        """Ask for the id of a new entry and open it."""
        if self._section == "shop":
            self.say("The shop's settings are there once. Choose them to change them.")
            return

        def taken(key: str | None) -> None:
            if key:
                self.open_form(key.strip())

        def problem(key: str) -> str | None:
            if key.strip() in entries_of(self.session.shop, self._section):
                return f"There is a {word} {key.strip()} already. Choose another id."
            return id_problem(key)

        word = SINGULAR[self._section]
        question = f"A short id for the new {word}: lower-case letters, digits, hyphens."
        self.app.push_screen(AskValue(question, longest=40, check=problem), taken)

    def action_drop(self) -> None:
        """Remove the highlighted entry, after asking."""
        options = self.query_one("#entries", OptionList)
        if options.highlighted is None or self._section == "shop":
            self.say("There is nothing to remove here.")
            return
        if not options.has_focus:
            options.focus()
            self.say("Choose the entry with the arrows, then press D again.")
            return
        key = options.get_option_at_index(options.highlighted).id or ""

        def taken(answer: str | None) -> None:
            if answer == "remove":
                self.drop(key)

        choices = [("remove", f"Remove {key}"), ("leave", "Leave it")]
        self.app.push_screen(AskChoice(f"Remove {SINGULAR[self._section]} {key}?", choices), taken)

    def drop(self, key: str) -> None:
        """Remove an entry, or say what still refers to it or is under way."""
        session = self.session
        if why := held_up(session.shop, session.floor, self._section, key):
            self.say(why)
            return
        try:
            shop = drop_entry(session.shop, self._section, key)
        except FloorboardError as refusal:
            self.say(str(refusal))
            return
        self.take(shop)

    def say(self, message: str) -> None:
        """Say what was done or why not."""
        self.last_said = message
        self.query_one("#said", Static).update(Content(message))

    def action_leave(self) -> None:
        """Back from the entries to the sections, from the sections to the floor."""
        if self.query_one("#entries").has_focus:
            self.query_one("#sections").focus()
        else:
            self.dismiss()
