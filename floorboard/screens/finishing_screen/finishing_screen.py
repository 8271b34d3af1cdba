"""The finishing and drying queue as a screen: begin and end steps, alone or several together."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Static

from floorboard.records.finishing_queue import finishing_queue
from floorboard.screens.actions import bindings
from floorboard.screens.call_over import CallOver
from floorboard.screens.confirm_gate import LOOK_FIRST
from floorboard.screens.digits import DigitReader
from floorboard.screens.finishing_screen.finishing_keys import FinishingKeys
from floorboard.screens.finishing_screen.finishing_sheet import (
    coating_lines,
    detail_lines,
    row_lines,
    side_lines,
)
from floorboard.screens.finishing_screen.finishing_view import (
    details,
    finishing_rows,
    session_of,
)
from floorboard.screens.key_bar import KeyBar, items_of
from floorboard.screens.scans import read_scan
from floorboard.screens.sheet import Sheet
from floorboard.screens.whose_key import floor_beneath, person_at
from floorboard.usecases.press_words import press_words

if TYPE_CHECKING:
    import datetime as dt

    from textual import events
    from textual.app import ComposeResult

    from floorboard.floor.casting import Casting
    from floorboard.records.finishing_model import FinishingLine, FinishingQueue
    from floorboard.screens.key_guard import LabelScanned
    from floorboard.usecases.session import Session

# Drying estimates change slowly; they are worked out again so often, and after every entry.
QUEUE_SECONDS = 10.0
# The keys of the floor that mean the same here.
KEPT = (
    "confirm",
    "strike",
    "change_person",
    "let_go",
    "reject",
    "rework",
    "set_aside",
    "earlier",
    "weigh",
    "wall",
    "note",
)


class FinishingScreen(FinishingKeys):
    """Every casting out of its mold, the one that asks for hands first at the top."""

    CSS_PATH = "finishing.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(bound for bound in bindings("floor") if bound.id in KEPT),
        Binding("space", "mark", "Mark", tooltip="Mark the casting, to do several together"),
        Binding("plus", "mark_alike", "Alike", tooltip="Mark all that one session can take"),
        Binding("i", "inspect", "Inspect", tooltip="Log what was seen: passed, or its defects"),
        Binding("y", "air", "Air", tooltip="Log room temperature, humidity and surface"),
        Binding("j", "app.heard", "Heard", tooltip="Hush the call at the top"),
        Binding("f", "leave", "Back", tooltip="Back to the board"),
    ]
    SHOWN = (
        *("confirm", "mark", "mark_alike", "weigh", "inspect", "reject", "rework"),
        *("strike", "change_person", "wall", "air", "leave"),
    )
    HORIZONTAL_BREAKPOINTS = [(0, "narrow"), (110, "wide")]
    VERTICAL_BREAKPOINTS = [(0, "small"), (24, "medium"), (40, "large")]
    AUTO_FOCUS = "#queue"
    digits_choose = True

    def __init__(self, session: Session, *, ascii_only: bool = False) -> None:
        super().__init__()
        self.session = session
        self.marked = set()
        self._ascii = ascii_only
        self._queue: tuple[int, dt.datetime, FinishingQueue] | None = None
        self._digits = DigitReader()
        self._moves = 0

    # --- whose key it is -------------------------------------------------------------------------

    @property
    def active(self) -> str:
        """Whose confirm key it is: the same person's as on the floor."""
        return person_at(self.app, self.session)

    @active.setter
    def active(self, person: str) -> None:
        floor = floor_beneath(self.app)
        if floor is not None:
            floor.active = person

    # --- drawing ---------------------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        """Lay out the queue, with the details beside it or beneath."""
        yield CallOver(self.session, ascii_only=self._ascii, heard="J: heard")
        yield Static("", id="title")
        yield Sheet(id="air")
        with Horizontal(id="body"):
            with Vertical(id="left"):
                yield Sheet(id="heads")
                yield Sheet(id="queue")
            yield Sheet(id="side")
        yield Sheet(id="below")
        yield Static("", id="said")
        yield KeyBar(items_of(self, self.SHOWN), tall=self.app.is_web)

    def on_mount(self) -> None:
        """Show the queue, and every second's countdowns."""
        for name in ("#air", "#heads", "#side", "#below"):
            self.query_one(name, Sheet).can_focus = False
        self.call_after_refresh(self.show_floor)
        self.set_interval(1.0, self.show_floor)

    def on_resize(self) -> None:
        """Lay out for the new size."""
        self.call_after_refresh(self.show_floor)

    @property
    def queue(self) -> FinishingQueue:
        """The queue, worked out again after every entry and every few seconds."""
        session, now = self.session, self.session.now
        kept = self._queue
        seq = session.floor.last_seq
        stale = (
            kept is None or kept[0] != seq or abs((now - kept[1]).total_seconds()) > QUEUE_SECONDS
        )
        if kept is None or stale:
            kept = self._queue = (seq, now, finishing_queue(session.shop, session.floor, now))
        return kept[2]

    def show_floor(self) -> None:
        """Draw everything as it stands now."""
        if not self.is_mounted:
            return
        session, now, queue = self.session, self.session.now, self.queue
        self.marked &= {line.casting for line in queue.castings}
        rows = finishing_rows(session.shop, queue, now, self.marked)
        sheet = self.query_one("#queue", Sheet)
        heads, *lines = row_lines(rows, sheet.width, self._ascii)
        self.query_one("#heads", Sheet).show([heads])
        sheet.show(lines)
        self._show_words(queue, len(rows))

    def _show_words(self, queue: FinishingQueue, count: int) -> None:
        session, now = self.session, self.session.now
        wide = self.has_class("wide")
        who = session.shop.people[self.active].name
        marked = f", {len(self.marked)} marked" if self.marked else ""
        castings = "1 casting" if count == 1 else f"{count} castings"
        title = f"Finishing and drying: {castings}{marked}. Confirm is {who}'s."
        self.query_one("#title", Static).update(Content(title))
        air = self.query_one("#air", Sheet)
        air.display = not wide
        line = self.line_of(self.query_one("#queue", Sheet).cursor)
        found = details(session.shop, session.floor, line, now) if line is not None else None
        hint = self._hint()
        if wide:
            side = self.query_one("#side", Sheet)
            side.show(side_lines(session.shop, queue, found, hint, side.width))
        else:
            most = 2 if self.size.height >= 24 else 1
            shown = coating_lines(queue.coating, air.width, most)
            air.styles.height = len(shown)
            air.show(shown)
            below = self.query_one("#below", Sheet)
            below.show(detail_lines(found, hint, below.width, max(2, below.size.height)))
        said = self.last_said
        if self._digits.going_on(time.monotonic()):
            said = f"no {self._digits.text}_"
        self.query_one("#said", Static).update(Content(said))

    def choice(self) -> tuple[object, ...]:
        """Return what this hand has chosen: whose key confirm is, and what it moved to or marked."""
        return self.active, self._moves

    def _hint(self) -> str:
        answer = self.answer()
        fresh = self.must_look(answer.press)
        if answer.press is None:
            return answer.said
        if fresh:
            return f"Enter: {LOOK_FIRST}"
        words = press_words(self.session.shop, self.session.floor, answer.press)
        return f"Enter: {words}{' (asks first)' if answer.doubt else ''}"

    # --- choosing --------------------------------------------------------------------------------

    def line_of(self, casting: str) -> FinishingLine | None:
        """Return a casting's line of the queue."""
        return next((line for line in self.queue.castings if line.casting == casting), None)

    def chosen_lines(self) -> list[FinishingLine]:
        """Return the marked castings, or the one the cursor is on."""
        cursor = self.query_one("#queue", Sheet).cursor
        wanted = self.marked or {cursor}
        return [line for line in self.queue.castings if line.casting in wanted]

    def chosen_casting(self) -> Casting | None:
        """Return the casting the cursor is on, and say so if there is none."""
        casting = self.session.floor.castings.get(self.query_one("#queue", Sheet).cursor)
        if casting is None:
            self.say("No casting is in finishing.")
        return casting

    def on_sheet_cursor_moved(self) -> None:
        """Show the details of the casting the cursor was sent to."""
        self._moves += 1
        self.last_said = ""
        self.show_floor()

    def on_sheet_tapped(self, event: Sheet.Tapped) -> None:
        """Go to a tapped casting; a tap on the one the cursor is on marks it."""
        sheet = self.query_one("#queue", Sheet)
        if sheet.cursor == event.row:
            self.action_mark()
        else:
            sheet.go_to(event.row)

    def on_key(self, event: events.Key) -> None:
        """Read the digits that choose a row by its number."""
        if event.character and event.character in "0123456789":
            event.stop()
            number = self._digits.typed(event.character, time.monotonic())
            lines = self.queue.castings
            if 1 <= number <= len(lines):
                self.query_one("#queue", Sheet).go_to(lines[number - 1].casting)
            else:
                self.say(f"There is no row {number}.")

    def on_label_scanned(self, event: LabelScanned) -> None:
        """Go to the casting a scanned label names."""
        event.stop()
        scanned = read_scan(self.session.shop, self.session.floor, event.text)
        self.say(scanned.message)
        if scanned.casting is not None:
            self.query_one("#queue", Sheet).go_to(scanned.casting)
            self.say(scanned.message)

    def action_mark(self) -> None:
        """Mark the casting the cursor is on, or take its mark away."""
        cursor = self.query_one("#queue", Sheet).cursor
        if cursor:
            self.marked ^= {cursor}
            self._moves += 1
            self.say("")
            self.show_floor()

    def action_mark_alike(self) -> None:
        """Mark all castings that one session can take with the one the cursor is on."""
        cursor = self.query_one("#queue", Sheet).cursor
        alike = session_of(self.queue, cursor)
        if len(alike) < 2:
            self.say("Nothing else can be done together with that casting now.")
            return
        self.marked = set(alike)
        self._moves += 1
        self.say(f"{len(alike)} castings marked; Enter begins them together.")
        self.show_floor()

    def action_let_go(self) -> None:
        """Take all marks away; with none, go back to the floor."""
        if self.marked:
            self.marked = set()
            self._moves += 1
            self.say("")
            self.show_floor()
        else:
            self.action_leave()

    def action_leave(self) -> None:
        """Go back to the floor."""
        self.dismiss()

    def action_change_person(self) -> None:
        """Give the confirm key to the next person."""
        people = list(self.session.shop.people)
        self.active = people[(people.index(self.active) + 1) % len(people)]
        self.say(f"Confirm is now {self.session.shop.people[self.active].name}'s.")
        self.show_floor()

    def say(self, message: str) -> None:
        """Say what was done, or why it was not. The next digit begins a new number."""
        self.last_said = message
        self._digits.forget()
        self.query_one("#said", Static).update(Content(message))
