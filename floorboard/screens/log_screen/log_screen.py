"""The log as a screen: search it, look further back, strike any entry that still counts."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar
from zoneinfo import ZoneInfo

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer, Input, OptionList, Static
from textual.widgets.option_list import Option

from floorboard.screens.dialogs import AskChoice
from floorboard.screens.log_screen.log_view import log_lines
from floorboard.shop.errors import FloorboardError
from floorboard.usecases import changes

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from floorboard.floor.events import Entry
    from floorboard.usecases.session import Session

PAGE = 200


class LogScreen(Screen[None]):
    """Every entry, newest first."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Back", key_display="Esc"),
        Binding("slash", "search", "Search", key_display="/"),
        Binding("s", "strike", "Strike this"),
        Binding("o", "older", "Older"),
    ]
    CSS = """
    LogScreen { background: $background; }
    LogScreen #title { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    LogScreen #wanted { border: none; height: 1; background: $panel; }
    LogScreen #entries { height: 1fr; border: none; background: $background; }
    LogScreen #said { height: 1; padding: 0 1; background: $panel; }
    """
    AUTO_FOCUS = "#entries"

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self._zone = ZoneInfo(session.shop.shop.zone)
        self._entries: list[Entry] = []

    def compose(self) -> ComposeResult:
        """Lay out the search line and the list."""
        yield Static("Log, newest first", id="title")
        yield Input(
            placeholder="/ to search: a word, a mold, a casting, a person",
            id="wanted",
            max_length=200,
        )
        yield OptionList(id="entries")
        yield Static("", id="said")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Read the first page."""
        self.read(PAGE)

    def read(self, count: int) -> None:
        """Read so many of the latest entries and list those that are wanted."""
        self._entries = self.session.store.latest(count)
        self.list_entries()

    def list_entries(self) -> None:
        """List the entries read, filtered."""
        wanted = self.query_one("#wanted", Input).value
        session = self.session
        lines = log_lines(self._entries, session.shop, session.floor.castings, self._zone, wanted)
        options = self.query_one(OptionList)
        options.clear_options()
        options.add_options(
            Option(Text(line.text, style="strike dim" if line.struck else ""), id=str(line.seq))
            for line in lines
        )
        self.say(f"{len(lines)} of the latest {len(self._entries)} entries. O reads older ones.")

    def on_input_changed(self) -> None:
        """Filter as the words are typed."""
        self.list_entries()

    def on_input_submitted(self) -> None:
        """Go to the list."""
        self.query_one(OptionList).focus()

    def action_search(self) -> None:
        """Go to the search line."""
        self.query_one(Input).focus()

    def action_older(self) -> None:
        """Read further back."""
        self.read(len(self._entries) + PAGE)

    def action_strike(self) -> None:
        """Strike the highlighted entry, after asking."""
        options = self.query_one(OptionList)
        if options.highlighted is None:
            self.say("Choose an entry with the arrows first.")
            return
        option = options.get_option_at_index(options.highlighted)
        seq = int(option.id or 0)

        def taken(answer: str | None) -> None:
            if answer == "strike":
                self.strike(seq)

        question = f"Strike this entry? {option.prompt}"
        self.app.push_screen(
            AskChoice(
                question, [("strike", "Strike it; it stays readable"), ("leave", "Leave it")]
            ),
            taken,
        )

    def strike(self, seq: int) -> None:
        """Strike an entry, or say why it cannot be."""
        try:
            changes.strike(self.session.store, self.session.hand(None), seq)
        except FloorboardError as refusal:
            self.say(str(refusal))
            return
        self.session.refresh()
        self.read(len(self._entries))
        self.say(f"Entry {seq} struck.")

    def say(self, message: str) -> None:
        """Say what was done or why not."""
        self.query_one("#said", Static).update(Text(message))

    def action_leave(self) -> None:
        """Back from the search line to the list, from the list to the floor."""
        if self.query_one(Input).has_focus:
            self.query_one(OptionList).focus()
        else:
            self.dismiss()
