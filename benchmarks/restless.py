"""A user who cannot keep their hands off the board: what they press next, at random but repeatable."""

from __future__ import annotations

import collections
from typing import TYPE_CHECKING

from textual.css.query import NoMatches
from textual.widgets import Input

from floorboard.screens.actions import ACTIONS
from floorboard.screens.casting_keys import CastingKeys
from floorboard.screens.views import VIEWS

if TYPE_CHECKING:
    import random
    from collections.abc import Callable

    from textual.pilot import Pilot

# What people type where they are asked, and what they should not.
TYPED = (
    "5", "0", "12.5", "1 lb 4 oz", "3/8 in", "420 g", "-1", "1e309", "9" * 40, "420 bananas", "",
    "[bold red]x[/]", "\\[", "=1+1", "@SUM(A1)", "مزهرية", "Ваза №3", "👩‍🏭", "x" * 300, "a\u200bb",
    "../../etc/passwd", "C:\\CON", "%s %d {0}", "'; DROP TABLE entries;--",
)  # fmt: skip
SIZES = ((80, 24), (120, 40), (73, 27), (200, 60), (40, 12), (20, 5), (300, 100))
EVERYWHERE = ("escape", "tab", "up", "down", "left", "right", "pageup", "pagedown", "home", "end",
              "enter", "enter", "space", "ctrl+p", "ctrl+u", "f5", "shift+tab", "delete", "ctrl+z",
              "backspace", "minus")  # fmt: skip
LOOKING = ("down", "up", "right", "left", "pagedown", "tab")
QUITS = {"q"}


def board_keys() -> tuple[str, ...]:
    """Return every key the board knows, but the one that ends it, and every digit."""
    named = [key for action in ACTIONS for key in action.keys.split(",")]
    views = [key for view in VIEWS for key in view.keys.split(",")]
    found = dict.fromkeys([*named, *views, *"0123456789", "y", "j", "z"])
    return tuple(key for key in found if key not in QUITS)


class RestlessUser:
    """Presses, taps, types, resizes; `seen` counts the screens they pressed keys on, by class."""

    def __init__(self, pilot: Pilot[None], rng: random.Random) -> None:
        self.pilot, self.rng = pilot, rng
        self.seen: collections.Counter[str] = collections.Counter()
        self._keys = board_keys()

    async def fidget(self) -> str:
        """Do one thing; return what it was."""
        ways: tuple[tuple[Callable[[], object], int], ...] = (
            (self.press_board_key, 10),
            (self.press_any_key, 4),
            (self.type_text, 3),
            (self.tap, 3),
            (self.resize, 1),
            (self.leave, 3),
            (self.open_and_close, 5),
        )
        way = self.rng.choices([w for w, _ in ways], [n for _, n in ways])[0]
        return str(await way())

    async def press(self, *keys: str) -> None:
        """Press keys, each as a press of its own rather than a bounce of the one before."""
        for key in keys:
            screen = self.pilot.app.screen
            if isinstance(screen, CastingKeys):
                screen.gate.forget()
            self.seen[type(screen).__name__] += 1
            await self.pilot.press(key)

    async def press_board_key(self) -> str:
        key = self.rng.choice(self._keys)
        await self.press(key)
        return key

    async def press_any_key(self) -> str:
        key = self.rng.choice(EVERYWHERE)
        await self.press(key)
        return key

    async def type_text(self) -> str:
        """Type into the field that has the cursor, if one has, and mostly send it."""
        field = self.pilot.app.focused
        if not isinstance(field, Input):
            return await self.press_any_key()
        text = self.rng.choice(TYPED)
        field.value = text
        if self.rng.random() < 0.8:
            await self.press("enter")
        return f"typed {text[:20]!r}"

    async def tap(self) -> str:
        width, height = self.pilot.app.size
        spot = self.rng.randrange(max(1, width)), self.rng.randrange(max(1, height))
        # What is under a tap may be gone by the time it lands.
        try:
            await self.pilot.click(offset=spot)
        except NoMatches:
            return "tapped nothing"
        return f"tapped {spot}"

    async def resize(self) -> str:
        size = self.rng.choice(SIZES)
        await self.pilot.resize_terminal(*size)
        return f"resized to {size}"

    async def open_and_close(self) -> str:
        """Open any view from the floor, look around in it, and go back."""
        await self.leave()
        view = self.rng.choice(VIEWS)
        await self.press(view.keys.split(",")[0])
        await self.pilot.app.workers.wait_for_complete()
        await self.press(*self.rng.choices(LOOKING, k=self.rng.randrange(4)))
        await self.leave()
        return f"opened and closed {view.name}"

    async def leave(self) -> str:
        """Go back to the floor from wherever it is."""
        for _ in range(6):
            if len(self.pilot.app.screen_stack) <= 2:
                break
            await self.press("escape")
        return "left"
