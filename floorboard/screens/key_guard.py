"""Stands between the keyboard and the screens: only what a hand meant goes through.

Without a terminal (pictures, tests) there is no keyboard to guard, and keys go straight through.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.message import Message
from textual.widgets import Input

from floorboard.screens.actions import touch_of_action
from floorboard.screens.confirm_gate import TWICE
from floorboard.screens.key_bar import KeyBar
from floorboard.screens.key_bursts import GAP_SECONDS, KeyBursts, Touch
from floorboard.screens.saying import say, say_too

if TYPE_CHECKING:
    from textual import events
    from textual.screen import Screen
    from textual.widget import Widget

    from floorboard.screens.app import BoardApp

TOO_FAST = "Keys came faster than a hand types them, so nothing was done. Press again."
TELL_AFTER_SECONDS = 0.15
READ_FIRST = "That came faster than a hand types. Look at it, then press Enter to take it."
# A little more than the gap, so that the pause is over when the timer looks.
LOOK_AFTER_SECONDS = GAP_SECONDS + 0.003


class LabelScanned(Message):
    """A scanner read a label; `chosen_before` is the mold that was chosen before it did."""

    def __init__(self, text: str, chosen_before: str | None) -> None:
        super().__init__()
        self.text = text
        self.chosen_before = chosen_before


class KeyGuard:
    """Holds back keys of one app."""

    def __init__(self, app: BoardApp) -> None:
        self._app = app
        self._bursts = KeyBursts()
        self._held: events.Key | None = None
        self._chosen_before: str | None = None
        self._twice = False

    async def takes(self, event: events.Key) -> bool:
        """Return whether a key is not (or not yet) to be carried out."""
        screen = self._app.screen
        touch = touch_of(screen, event)
        # The look at the pause is late if the board was busy: what it would have done goes first.
        await self._settle(event.time)
        chosen = getattr(screen, "chosen", None)
        verdict = self._bursts.read(event.key, event.character, event.time, touch)
        if self._bursts.fresh:
            self._chosen_before = chosen
        match verdict.fate:
            case "now":
                return False
            case "hold":
                self._held = event
                self._light(event.key)
                self._app.set_timer(LOOK_AFTER_SECONDS, self._look)
            case "again" | "drop":
                self._twice = self._twice or verdict.fate == "again"
                self._app.set_timer(LOOK_AFTER_SECONDS, self._look)
            case "scan":
                self._held, self._twice = None, False
                self._light("")
                self._scan(screen, verdict.text)
        return True

    async def _look(self) -> None:
        # A message is stamped with the same clock as the keys are.
        await self._settle(Message().time)

    async def _settle(self, at: float) -> None:
        """Let the held key go, or tell that keys were dropped, once keys have paused."""
        match self._bursts.quiet(at):
            case "release":
                await self._release()
            case "garbage":
                self._held, self._twice = None, False
                self._light("")
                say(self._app.screen, TOO_FAST)
            case "nothing":
                pass
        if self._twice and self._held is None:
            self._twice = False
            # The key that counts goes through the screen's queue and says its own first.
            self._app.set_timer(TELL_AFTER_SECONDS, self._tell_twice)

    def _tell_twice(self) -> None:
        say_too(self._app.screen, TWICE)

    def _light(self, key: str) -> None:
        """Light a key in the bar at the foot as long as it is held back."""
        for bar in self._app.screen.query(KeyBar):
            bar.light(key)

    async def _release(self) -> None:
        event, self._held = self._held, None
        self._light("")
        if event is not None:
            await self._app.pass_on(event)

    def _scan(self, screen: Screen[Any], text: str) -> None:
        # It goes the way its characters went, so that it comes after them.
        focused = screen.focused
        if is_field(focused):
            # The text is in the field; taking it is left to a hand.
            say(screen, READ_FIRST)
            return
        (focused or screen).post_message(LabelScanned(text, self._chosen_before))


def touch_of(screen: Screen[Any], event: events.Key) -> Touch:
    """Return how carefully a key has to be taken on a screen."""
    if is_field(screen.focused):
        return "free" if event.is_printable else "held"
    if event.character is not None and event.character.isdigit():
        return "free" if getattr(screen, "digits_choose", False) else "held"
    active = screen.active_bindings.get(event.key)
    if active is not None:
        return touch_of_action(active.binding.id or "")
    return "held" if event.is_printable or event.key == "enter" else "free"


def is_field(widget: Widget | None) -> bool:
    """Return whether a widget is one that text is typed into."""
    # A text area takes long to import, so it is not named: whatever is one has this of it.
    return isinstance(widget, Input) or hasattr(widget, "insert")
