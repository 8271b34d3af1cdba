"""The log as a screen: search it, look further back, strike any entry that still counts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar
from zoneinfo import ZoneInfo

from textual import work
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, Static

from floorboard.screens.call_over import CallOver
from floorboard.screens.casting_keys import CastingKeys
from floorboard.screens.dialogs import AskChoice
from floorboard.screens.key_bar import KeyBar, items_of
from floorboard.screens.lines import line, wrap_text
from floorboard.screens.log_screen.log_view import (
    cannot_be_struck,
    day_of,
    log_lines,
    sheet_lines,
    whole_entry,
)
from floorboard.screens.pad import PadDock
from floorboard.screens.screen_work import ScreenWork, lets_go
from floorboard.screens.sheet import Sheet
from floorboard.screens.whose_key import person_at
from floorboard.shop.errors import FloorboardError
from floorboard.usecases import changes

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from floorboard.floor.events import Entry
    from floorboard.screens.log_screen.log_view import LogLine
    from floorboard.usecases.changes import Hand
    from floorboard.usecases.session import Session

PAGE = 200
# Looking for words further back reads so many pages at a time before it asks to be pressed again.
MOST_PAGES = 10


class LogScreen(ScreenWork):
    """Every entry, newest first."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,full_stop,l", "leave", "Back", key_display="Esc"),
        Binding("slash", "search", "Search", key_display="/", tooltip="Search by words"),
        Binding("s,minus,backspace", "strike", "Strike", tooltip="Strike the chosen entry"),
        Binding("o", "older", "Older", tooltip="Read further back"),
        Binding("f4", "keypad", "Keypad", key_display="F4", tooltip="Type by taps"),
    ]
    CSS = """
    LogScreen { background: $background; }
    LogScreen #title { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    LogScreen #wanted { border: none; height: 1; background: $panel; padding: 0 1; }
    LogScreen #wanted:focus { background: $primary 20%; }
    LogScreen #entries { height: 1fr; padding: 0 1; }
    LogScreen #whole { height: 4; padding: 0 1; background: $panel; }
    LogScreen #said { height: auto; min-height: 1; max-height: 3; padding: 0 1; }
    LogScreen.small #whole { height: 3; }
    LogScreen #both { height: 1fr; layout: vertical; }
    LogScreen.wall #both { layout: horizontal; }
    LogScreen.wall #entries { width: 2fr; height: 1fr; }
    LogScreen.wall #whole { width: 1fr; height: 1fr; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "narrow"), (160, "wall")]
    VERTICAL_BREAKPOINTS = [(0, "small"), (24, "medium")]
    AUTO_FOCUS = "#entries"
    doing: ClassVar[dict[str, str]] = {"strike": "striking an entry"}

    @dataclass
    class Struck(Message):
        """An entry was struck; or it was not, and `refusal` says why."""

        seq: int
        refusal: str = ""

    def __init__(self, session: Session, *, ascii_only: bool = False) -> None:
        super().__init__()
        self.session = session
        self._ascii = ascii_only
        self._zone = ZoneInfo(session.shop.shop.zone)
        self._entries: list[Entry] = []
        self._all_read = False
        self._striking: int | None = None

    def compose(self) -> ComposeResult:
        """Lay out the search line, the entries and the chosen one whole."""
        yield CallOver(self.session, ascii_only=self._ascii)
        yield Static("Log, newest first", id="title")
        yield Input(
            placeholder="/ to search: a word, mold, casting, person, or 12 Mar",
            id="wanted",
            max_length=200,
        )
        with Container(id="both"):
            yield Sheet(id="entries")
            yield Sheet(id="whole")
        yield Static("", id="said")
        yield PadDock()
        keys = ("leave", "search", "strike", "older", "keypad")
        yield KeyBar(items_of(self, keys), tall=self.app.is_web)

    def on_mount(self) -> None:
        """Read the first page."""
        self.query_one("#whole", Sheet).can_focus = False
        self._entries = self._page(None)
        self.list_entries()

    def on_resize(self) -> None:
        """Lay out the chosen entry for the new width."""
        self.call_after_refresh(self.show_whole)

    def _page(self, before: int | None) -> list[Entry]:
        page = self.session.store.latest(PAGE, before)
        self._all_read = len(page) < PAGE
        return page

    def list_entries(self) -> None:
        """List the entries read, filtered."""
        shown = self._listed()
        self.query_one("#entries", Sheet).show(sheet_lines(shown))
        self.show_whole()
        self.say(f"{len(shown)} of the {self._how_far()}.")

    def _listed(self) -> list[LogLine]:
        wanted = self.query_one("#wanted", Input).value
        session = self.session
        return log_lines(self._entries, session.shop, session.castings, self._zone, wanted)

    def _how_far(self) -> str:
        count = len(self._entries)
        if self._all_read:
            return f"{count} entries there are"
        back = day_of(self._entries[-1].at, self._zone)
        return f"latest {count} entries, back to {back}; O reads older ones"

    def show_whole(self) -> None:
        """Show all of the chosen entry."""
        entry = self.chosen()
        sheet = self.query_one("#whole", Sheet)
        lines = []
        if entry is not None:
            session = self.session
            said = whole_entry(entry, session.shop, session.castings, self._zone)
            lines = [line(row) for text in said for row in wrap_text(text, sheet.width, "  ")]
        sheet.show(lines)

    def chosen(self) -> Entry | None:
        """Return the entry the cursor is on."""
        cursor = self.query_one("#entries", Sheet).cursor
        return next((entry for entry in self._entries if str(entry.seq) == cursor), None)

    def on_sheet_cursor_moved(self) -> None:
        """Show the entry the cursor came to."""
        self.show_whole()

    def on_sheet_tapped(self, event: Sheet.Tapped) -> None:
        """Go to a tapped entry."""
        self.query_one("#entries", Sheet).go_to(event.row)

    def on_input_changed(self) -> None:
        """Filter as the words are typed."""
        self.list_entries()

    def on_input_submitted(self) -> None:
        """Go to the list."""
        self.query_one("#entries").focus()

    def action_search(self) -> None:
        """Go to the search line."""
        self.query_one(Input).focus()

    def action_keypad(self) -> None:
        """Bring the keypad up for the search line, or put it away."""
        self.query_one(PadDock).toggle()

    def action_older(self) -> None:
        """Read further back; while searching, until something more is found."""
        if self._all_read:
            self.say("That is the whole log.")
            return
        before = len(self._listed())
        for _ in range(MOST_PAGES):
            self._entries += self._page(self._entries[-1].seq)
            if self._all_read or len(self._listed()) > before:
                break
        self.list_entries()

    def action_strike(self) -> None:
        """Strike the chosen entry, after asking."""
        entry = self.chosen()
        if entry is None:
            self.say("No entry is chosen.")
            return
        if refusal := cannot_be_struck(entry):
            self.say(refusal)
            return
        if self._striking is not None:
            self.say(f"Entry {self._striking} is still being struck. Strike another after it.")
            return
        seq = entry.seq

        def taken(answer: str | None) -> None:
            if answer == "strike":
                self.strike(seq)

        said = whole_entry(entry, self.session.shop, self.session.castings, self._zone)
        choices = [("leave", "Leave it"), ("strike", "Strike it; it stays readable")]
        self.app.push_screen(AskChoice(f"Strike this entry? {' '.join(said[:2])}", choices), taken)

    def strike(self, seq: int) -> None:
        """Strike an entry in a thread: far back in a long log it takes many seconds."""
        self._striking = seq
        self.say(f"Entry {seq} is being struck: what came after it is worked out again.")
        self._strike(seq, self.session.hand(person_at(self.app, self.session)))

    @work(thread=True, group="strike", exit_on_error=False)
    @lets_go
    def _strike(self, seq: int, hand: Hand) -> None:
        try:
            changes.strike(self.session.store, hand, seq)
        except FloorboardError as refusal:
            self.post_message(self.Struck(seq, str(refusal)))
            return
        self.post_message(self.Struck(seq))

    def failed(self, doing: str) -> None:
        """Say that it could not be done."""
        self._striking = None
        self.say(f"Something went wrong {doing}.")

    def on_log_screen_struck(self, event: Struck) -> None:
        """List the entries anew, or say why it was not struck."""
        self._striking = None
        if event.refusal:
            self.say(event.refusal)
            return
        session = self.session
        session.refresh()
        self.app.post_message(CastingKeys.FloorChanged())
        count = len(self._entries) + 1
        self._entries = session.store.latest(count)
        self._all_read = len(self._entries) < count
        self.list_entries()
        self.say(f"Entry {event.seq} struck.")

    def say(self, message: str) -> None:
        """Say what was done or why not."""
        self.last_said = message
        self.query_one("#said", Static).update(Content(message))

    def action_leave(self) -> None:
        """Back from the search line to the list, then to all entries, then to the floor."""
        wanted = self.query_one("#wanted", Input)
        if wanted.has_focus:
            self.query_one("#entries").focus()
        elif wanted.value:
            wanted.value = ""
        else:
            self.dismiss()
