"""The shop's definitions, section by section; each entry opens in a form."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static
from textual.widgets.option_list import Option

from floorboard.screens.dialogs import AskChoice, AskValue
from floorboard.screens.setup_screen.entry_form import EntryForm
from floorboard.shop.errors import FloorboardError
from floorboard.usecases.edit_shop import SECTIONS, drop_entry, entries_of

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from floorboard.shop.shop import Shop
    from floorboard.usecases.session import Session

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
        Binding("escape", "leave", "Back", key_display="Esc"),
        Binding("n", "new", "New"),
        Binding("d", "drop", "Remove"),
    ]
    CSS = """
    SetupScreen { background: $background; }
    SetupScreen #title { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    SetupScreen #sections { width: 24; height: 1fr; border: none; background: $panel; }
    SetupScreen #entries { width: 1fr; height: 1fr; border: none; background: $background; }
    SetupScreen #said { height: auto; max-height: 6; padding: 0 1; background: $panel; }
    """
    AUTO_FOCUS = "#sections"

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self._section = SECTIONS[0]

    def compose(self) -> ComposeResult:
        """Lay out the two lists."""
        yield Static("Shop set-up", id="title")
        with Horizontal():
            yield OptionList(
                *(Option(SECTION_WORDS.get(section, section), id=section) for section in SECTIONS),
                id="sections",
            )
            yield OptionList(id="entries")
        yield Static("", id="said")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """List the first section."""
        self.list_entries()

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """List the section the arrows are on."""
        if event.option_list.id == "sections" and event.option.id:
            self._section = event.option.id
            self.list_entries()

    def list_entries(self) -> None:
        """List a section's entries by id and name."""
        entries = entries_of(self.session.shop, self._section)
        options = self.query_one("#entries", OptionList)
        options.clear_options()
        options.add_options(
            Option(Content(f"{key:<18} {getattr(entry, 'name', None) or ''}"), id=key)
            for key, entry in entries.items()
        )

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Go from a section to its entries, from an entry to its form."""
        if event.option_list.id == "sections":
            self.query_one("#entries", OptionList).focus()
        elif event.option.id:
            self.open_form(event.option.id)

    def open_form(self, key: str) -> None:
        """Open an entry, or a new one, in a form."""
        self.app.push_screen(EntryForm(self.session.shop, self._section, key), self.take)

    def take(self, shop: Shop | None) -> None:
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
        self.list_entries()
        self.say("Saved. Castings already begun keep the build they began with.")

    def action_new(self) -> None:
        """Ask for the id of a new entry and open it."""
        if self._section == "shop":
            self.say("The shop's settings are there once. Choose them to change them.")
            return

        def taken(key: str | None) -> None:
            if key:
                self.open_form(key.strip())

        word = SINGULAR[self._section]
        question = f"A short id for the new {word}: lower-case letters, digits, hyphens."
        self.app.push_screen(AskValue(question, longest=40), taken)

    def action_drop(self) -> None:
        """Remove the highlighted entry, after asking."""
        options = self.query_one("#entries", OptionList)
        if options.highlighted is None or self._section == "shop":
            self.say("Choose an entry on the right first.")
            return
        key = options.get_option_at_index(options.highlighted).id or ""

        def taken(answer: str | None) -> None:
            if answer == "remove":
                self.drop(key)

        choices = [("remove", f"Remove {key}"), ("leave", "Leave it")]
        self.app.push_screen(AskChoice(f"Remove {SINGULAR[self._section]} {key}?", choices), taken)

    def drop(self, key: str) -> None:
        """Remove an entry, or say what still refers to it."""
        try:
            shop = drop_entry(self.session.shop, self._section, key)
        except FloorboardError as refusal:
            self.say(str(refusal))
            return
        self.take(shop)

    def say(self, message: str) -> None:
        """Say what was done or why not."""
        self.query_one("#said", Static).update(Content(message))

    def action_leave(self) -> None:
        """Back from the entries to the sections, from the sections to the floor."""
        if self.query_one("#entries").has_focus:
            self.query_one("#sections").focus()
        else:
            self.dismiss()
