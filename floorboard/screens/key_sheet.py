"""Every key there is at the moment, read from the live bindings; each can be tapped instead."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from floorboard.screens.actions import KEY_NAMES
from floorboard.screens.dialogs import Dialog
from floorboard.screens.legend import Meaning, meanings
from floorboard.screens.lines import wrap_text
from floorboard.screens.options import Options

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual.app import ComposeResult
    from textual.binding import ActiveBinding
    from textual.dom import DOMNode
    from textual.screen import Screen

# What the framework binds by itself on every screen; none is a word of the shop.
FRAMEWORK_ACTIONS = ("app.", "screen.", "help_quit", "command_palette", "scroll", "page_")
SHEET_WIDTH = 80
KEY_WIDTH = 9
LABEL_WIDTH = 12
# The dialog's border and padding, and those of the list.
AROUND_LINE = 6


@dataclass(frozen=True, slots=True)
class LiveKey:
    """A key that works now: how it is shown, what it does, and where its action lives."""

    keys: str
    label: str
    tip: str
    action: str
    node: DOMNode


def live_keys(active: Mapping[str, ActiveBinding]) -> list[LiveKey]:
    """Return the keys that work on a screen, one line an action, in the order they are bound."""
    lines: dict[tuple[str, int], LiveKey] = {}
    for key, bound in active.items():
        binding = bound.binding
        # No chord is needed for anything; those there are belong to the framework.
        if not binding.description or not bound.enabled or is_framework(binding) or "+" in key:
            continue
        place = (binding.action, id(bound.node))
        found = lines.get(place)
        shown = key_name(key)
        keys = f"{found.keys} {shown}" if found else shown
        tip = binding.tooltip or binding.description
        lines[place] = LiveKey(keys, binding.description, tip, binding.action, bound.node)
    return list(lines.values())


def is_framework(binding: Binding) -> bool:
    """Return whether a binding is the framework's own."""
    return binding.system or binding.action.startswith(FRAMEWORK_ACTIONS)


def key_name(key: str) -> str:
    """Return a key as it is printed on it."""
    names = KEY_NAMES | {"escape": "Esc", "up": "Up", "down": "Down", "left": "Left"}
    names |= {"right": "Right", "backspace": "Back", "delete": "Del"}
    return names.get(key, key.upper() if len(key) > 1 else key)


class KeySheet(Dialog[LiveKey | None]):
    """The key sheet of the screen beneath."""

    DEFAULT_CSS = f"KeySheet > Vertical {{ width: {SHEET_WIDTH}; }}"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,full_stop,question_mark,f1", "dismiss_none", "Leave", key_display="Esc"),
    ]

    def __init__(self, beneath: Screen[Any], *, ascii_only: bool = False) -> None:
        super().__init__(classes="dialog")
        self._keys = live_keys(beneath.active_bindings)
        self._ascii = ascii_only

    def compose(self) -> ComposeResult:
        """Lay out one line a key."""
        width = min(SHEET_WIDTH, self.app.size.width) - AROUND_LINE
        keys = [self._told(key) for key in self._keys]
        lines = [self.answer(sheet_line(key, width), str(n)) for n, key in enumerate(keys)]
        signs = [Option(legend_line(meaning, width)) for meaning in meanings(self._ascii)]
        with Vertical():
            yield Static(Content("Keys: tap one, or press it. Shapes: beneath"), classes="question")
            yield Options(*lines, *signs)
            yield self.foot("End: the shapes. A number chooses a mold. Esc leaves.")

    def _told(self, key: LiveKey) -> LiveKey:
        """Say of the key for colours what it would bring."""
        coming = getattr(self.app, "coming_colours", None)
        if key.action != "change_colours" or coming is None:
            return key
        return replace(key, tip=coming())

    def on_mount(self) -> None:
        """Let keys reach the list."""
        self.query_one(OptionList).focus()

    def on_key(self, event: object) -> None:
        """Press the key itself."""
        pressed = key_name(str(getattr(event, "key", "")))
        found = next((key for key in self._keys if pressed in key.keys.split(" ")), None)
        if found is not None and pressed not in {"Enter", "Up", "Down", "Esc", ".", "?"}:
            self.dismiss(found)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Press the key that was tapped or chosen."""
        if event.option.id is not None:
            self.dismiss(self._keys[int(event.option.id)])

    def action_dismiss_none(self) -> None:
        """Leave without pressing anything."""
        self.dismiss(None)


def legend_line(meaning: Meaning, width: int) -> Content:
    """Return a shape with its words; a heading in bold."""
    if not meaning.shape:
        return Content.styled(f"\n{meaning.words}", "bold")
    indent = " " * KEY_WIDTH
    rows = wrap_text(meaning.words, max(10, width - KEY_WIDTH))
    return Content(f"{meaning.shape:<{KEY_WIDTH}}" + f"\n{indent}".join(rows))


def sheet_line(key: LiveKey, width: int) -> str:
    """Return a key as a line of the sheet, or as more where its words need them."""
    indent = " " * (KEY_WIDTH + LABEL_WIDTH)
    first, *more = wrap_text(key.tip, max(10, width - len(indent))) or [""]
    return "\n".join(
        [
            f"{key.keys:<{KEY_WIDTH}}{key.label:<{LABEL_WIDTH}}{first}",
            *(indent + row for row in more),
        ]
    )
