"""The far view as a screen: it draws itself, and works by the numeric keypad alone."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar
from zoneinfo import ZoneInfo

from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding, BindingType
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from floorboard.screens import looks
from floorboard.screens.actions import bindings
from floorboard.screens.call_bar import CallBar
from floorboard.screens.confirm_gate import LOOK_FIRST
from floorboard.screens.digits import DigitReader
from floorboard.screens.far_screen.far_picture import FarRow, far_rows
from floorboard.screens.far_screen.far_view import FarItem, far_items
from floorboard.screens.floor_screen.floor_keys import FloorKeys

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult

    from floorboard.usecases.presses import Press
    from floorboard.usecases.session import Session

SAID_SECONDS = 6.0
# The keys of the floor that work here too: those of the numeric keypad.
KEPT = ("confirm", "strike", "next_mold", "previous_mold", "change_person", "let_go")


class FarPicture(Widget):
    """Draws the rows of the far view."""

    DEFAULT_CSS = "FarPicture { height: 1fr; background: $background; color: $foreground; }"

    def __init__(self, *, ascii_only: bool) -> None:
        super().__init__()
        self._ascii = ascii_only
        self._items: list[FarItem] = []
        self._said = ""
        self._rows: list[FarRow] = []

    def show(self, items: list[FarItem], said: str) -> None:
        """Show these actions; draw again only the lines that changed."""
        self._items, self._said = items, said
        self._draw()

    def _draw(self) -> None:
        width, height = self.size
        if width < 1 or height < 1:
            return
        old = self._rows
        rows = far_rows(self._items, width, height, said=self._said, ascii_only=self._ascii)
        self._rows = rows
        if len(old) != len(rows):
            self.refresh()
            return
        for y, (before, after) in enumerate(zip(old, rows, strict=True)):
            if before != after:
                self.refresh(Region(0, y, width, 1))

    def on_resize(self) -> None:
        """Lay out for the new size."""
        self._rows = []
        self._draw()

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        width, plain = self.size.width, self.rich_style
        if y >= len(self._rows):
            return Strip.blank(width, plain)
        row = self._rows[y]
        return Strip([Segment(row.text, plain + self._style(row))]).adjust_cell_length(width, plain)

    def _style(self, row: FarRow) -> Style:
        palette = looks.palette_of(self.app.theme)
        if row.state is None:
            return Style(bold=row.part == "said")
        if row.part == "label":
            return palette.badge(row.state)
        if row.part == "verb":
            return Style(bold=True)
        return palette.tone(row.state)


class FarScreen(FloorKeys):
    """The next action in large, the two following beneath, and nothing else."""

    CSS = "FarScreen { background: $background; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(bound for bound in bindings("floor") if bound.id in KEPT),
        Binding("slash", "leave", "Back", tooltip="Back to the board; so does any other key"),
    ]
    digits_choose = True

    def __init__(self, session: Session, *, ascii_only: bool = False) -> None:
        super().__init__()
        self.session = session
        self.chosen: str | None = None
        self._ascii = ascii_only
        self._person: str | None = None
        self._items: list[FarItem] = []
        self._said_until = 0.0
        self._digits = DigitReader()
        self._zone = ZoneInfo(session.shop.shop.zone)
        self._call = CallBar(id="call", ascii_only=ascii_only)
        self._picture = FarPicture(ascii_only=ascii_only)

    @property
    def active(self) -> str:  # type: ignore[override]
        """Whose action is shown in large."""
        if self._items:
            return self._items[0].press.person
        return self._person or next(iter(self.session.shop.people))

    def compose(self) -> ComposeResult:
        """Lay out the line that calls, and the picture."""
        yield self._call
        yield self._picture

    def show_floor(self) -> None:
        """Draw what is next now."""
        if not self.laid_out:
            return
        session, now = self.session, self.session.now
        items = far_items(session.shop, session.floor, session.plan, now, self._person, self.chosen)
        self._items = items
        if self.must_look(self.press_of(self.active)):
            items = [replace(items[0], counts=LOOK_FIRST), *items[1:]]
        if time.monotonic() >= self._said_until:
            self.last_said = ""
        self._picture.show(items, self.last_said)
        clock = f"{now.astimezone(self._zone):%H:%M:%S %Z}"
        desk = getattr(self.app, "desk", None)
        self._call.show(desk.call if desk is not None else None, now, clock)

    # --- keys --------------------------------------------------------------------------------

    def other_key(self, event: events.Key) -> None:
        """A key that means nothing here goes back to the board."""
        if event.key not in self.active_bindings:
            event.stop()
            self.action_leave()

    def on_click(self) -> None:
        """A tap goes back to the board."""
        self.action_leave()

    def action_leave(self) -> None:
        """Go back to the board."""
        self.dismiss()

    def action_let_go(self) -> None:
        """Let go of the chosen mold, or go back to the board if none is chosen."""
        if self.chosen is None and self._person is None:
            self.action_leave()
            return
        self._person = None
        self.choose(None)

    def action_change_person(self) -> None:
        """Show everyone's next actions, or one person's after the other."""
        people: list[str | None] = [None, *self.session.shop.people]
        place = people.index(self._person) if self._person in people else 0
        self._person = people[(place + 1) % len(people)]
        self.chosen = None
        name = self.session.shop.people[self._person].name if self._person else "Everyone"
        self.say(f"{name}'s next actions.")
        self.show_floor()

    def choice(self) -> tuple[object, ...]:
        """Return what this hand has chosen: whose actions are shown, and the mold."""
        return self._person, self.chosen

    def press_of(self, person: str) -> Press | None:  # noqa: ARG002
        """Return what confirm does: what fills the screen."""
        return self._items[0].press if self._items else None

    def molds_in_order(self) -> list[str]:
        """Return the molds of the actions shown, for stepping through them."""
        molds = [item.press.mold for item in self._items if item.press.mold]
        return list(dict.fromkeys(molds))

    def say(self, message: str) -> None:
        """Say something in the last line for a while."""
        self.last_said, self._said_until = message, time.monotonic() + SAID_SECONDS
        self.show_floor()

    def choose(self, mold: str | None) -> None:
        """Fill the screen with what a mold waits for."""
        self.chosen = mold
        self.show_floor()

    def type_digit(self, digit: str) -> None:
        """Choose a mold by its number, typed digit by digit."""
        number = self._digits.typed(digit, time.monotonic())
        mold = self.session.mold_numbered(number)
        if mold is None:
            self.say(f"There is no mold {number}.")
        self.choose(mold)
