"""The keys at the foot of a screen: as many as fit, the most used first, each one tappable."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding
from textual.strip import Strip
from textual.widget import Widget

from floorboard.screens import looks
from floorboard.screens.actions import ACTIONS, KEY_NAMES
from floorboard.screens.views import VIEWS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events
    from textual.screen import Screen

TALL = 3
LIT = Style(reverse=True)


@dataclass(frozen=True, slots=True)
class KeyItem:
    """One key of the bar: how it is shown, and what it does, of the app or of the screen."""

    key: str
    label: str
    action: str
    everywhere: bool = False

    @property
    def cells(self) -> int:
        """A space, the key, a space, the label, a space."""
        return len(self.key) + len(self.label) + 3


def floor_items() -> list[KeyItem]:
    """Return the floor's keys, the most used first; the key sheet, which has them all, last."""
    shown = [action for action in ACTIONS if action.in_footer]
    items = [KeyItem(key_name(a.keys), a.label, a.name, a.scope == "everywhere") for a in shown]
    views = [
        KeyItem(key_name(view.keys), view.label, f"open_view('{view.name}')", True)
        for view in VIEWS
        if view.in_footer
    ]
    sheet = [item for item in items if item.action == "key_sheet"]
    return [*(item for item in items if item not in sheet), *views, *sheet]


def items_of(screen: Screen[Any], wanted: Sequence[str]) -> list[KeyItem]:
    """Return a screen's own keys by their actions, the most wanted first, and the key sheet last."""
    by_action: dict[str, Binding] = {}
    for bound in screen.BINDINGS:
        if isinstance(bound, Binding):
            by_action.setdefault(bound.action, bound)
    items = []
    for name in wanted:
        bound = by_action[name]
        key = bound.key_display or key_name(bound.key)
        items.append(KeyItem(key, bound.description, bound.action))
    sheet = [item for item in floor_items() if item.action == "key_sheet"]
    return [*items, *sheet]


def key_name(keys: str) -> str:
    """Return the first of some keys as it is printed on it."""
    key = keys.split(",")[0]
    return KEY_NAMES.get(key, key)


class KeyBar(Widget):
    """Keys and what they do, in one line, or in three where fingers tap them."""

    DEFAULT_CSS = "KeyBar { height: 1; dock: bottom; background: $panel; color: $foreground; }"

    def __init__(self, items: Sequence[KeyItem], *, tall: bool = False) -> None:
        super().__init__()
        self._items = items
        self._lit = ""
        if tall:
            self.styles.height = TALL

    def show(self, items: Sequence[KeyItem]) -> None:
        """Show other keys."""
        if items != self._items:
            self._items = items
            self.refresh()

    def light(self, key: str) -> None:
        """Light a key that is held back until it is clear that a hand meant it; "" for none."""
        name = key_name(key) if key else ""
        if name != self._lit:
            self._lit = name
            self.refresh()

    def on_click(self, event: events.Click) -> None:
        """Press the key that was tapped."""
        for start, item in laid_out(self._items, self.size.width):
            if start <= event.x < start + item.cells:
                node = self.app if item.everywhere else self.screen
                self.call_later(self.app.run_action, item.action, node)

    def render_line(self, y: int) -> Strip:
        """Draw the keys on the middle line."""
        width, plain = self.size.width, self.rich_style
        if y != self.size.height // 2:
            return Strip.blank(width, plain)
        key_style = plain + looks.palette_of(self.app.theme).key_style()
        segments: list[Segment] = []
        at = 0
        for start, item in laid_out(self._items, width):
            segments.append(Segment(" " * (start - at + 1), plain))
            lit = item.key == self._lit
            segments.append(Segment(item.key, key_style + LIT if lit else key_style))
            segments.append(Segment(f" {item.label} ", plain))
            at = start + item.cells
        return Strip(segments).adjust_cell_length(width, plain)


def laid_out(items: Sequence[KeyItem], width: int) -> list[tuple[int, KeyItem]]:
    """Return what fits of the keys, each with its first cell.

    The items are in the order in which they are wanted; the last always has a place, since it
    leads to all the others.
    """
    if not items:
        return []
    *others, last = items
    room = width - last.cells
    kept: list[KeyItem] = []
    for item in others:
        if item.cells <= room:
            kept.append(item)
            room -= item.cells
    found, at = [], 0
    for item in [*kept, last]:
        found.append((at, item))
        at += item.cells
    return found
