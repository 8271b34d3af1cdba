"""Small questions over the screen: choose one of several, mark some, or type a value.

Each can be answered by taps alone. Where fingers tap, an answer is three rows high; a value is typed
on the keypad, which a tap brings up, and which is there from the start in a browser.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Button, Input, OptionList, Static
from textual.widgets.option_list import Option

from floorboard.screens.options import Options
from floorboard.screens.pad import Pad, Tap, Tapline, wants_pad
from floorboard.screens.pad_keys import PadLegend, Page, units_for

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual import events
    from textual.app import ComposeResult
    from textual.widget import Widget

Result = TypeVar("Result")

DIALOG_CSS = """
Dialog { align: center middle; }
Dialog > Vertical {
    width: 60; max-width: 100%; height: auto; max-height: 100%;
    background: $panel; border: tall $primary; padding: 0 1;
}
Dialog .question { text-style: bold; padding-bottom: 1; }
Dialog .problem { color: $error; }
Dialog OptionList { height: auto; background: $panel; padding: 0; }
Dialog OptionList, Dialog OptionList:focus { border: none; }
Dialog .taps { height: 3; margin: 1 0 0 0; }
Dialog.padded .question { padding-bottom: 0; }
Dialog.padded Input, Dialog.padded Input:focus { border: none; height: 1; padding: 0; }
Dialog.padded Input { background: $background; }
Dialog.padded .hint { display: none; }
Dialog Pad { display: none; }
Dialog.padded Pad { display: block; }
"""
# Border, question with its space below, and the line that says which keys there are.
AROUND_LIST = 5
TAPS_ROWS = 4


class Dialog(ModalScreen[Result]):
    """A question over the screen, never higher than the screen."""

    DEFAULT_CSS = DIALOG_CSS
    around_list = AROUND_LIST

    def on_resize(self) -> None:
        """Give the list the room there is."""
        around = self.around_list + (TAPS_ROWS - 1 if wants_pad(self.app) else 0)
        for options in self.query(OptionList):
            options.styles.max_height = max(3, self.size.height - around)

    def answer(self, text: str, key: str | None = None) -> Option:
        """Return one line to choose; where fingers tap it is three rows high."""
        shown = f"\n{text}\n" if wants_pad(self.app) else text
        return Option(Content(shown), id=key)

    def foot(self, hint: str, *taps: Tap) -> Widget:
        """Return the last line: which keys there are, or where fingers tap, what to tap."""
        if wants_pad(self.app):
            return Horizontal(*taps, Tap("Leave", id="leave"), classes="taps")
        return Tapline(hint, id="leave")

    def on_tap_tapped(self, event: Tap.Tapped) -> None:
        """Do what was tapped."""
        event.stop()
        self.tapped(event.tap.id or "")

    def tapped(self, name: str) -> None:
        """Do what a tap names; every question can be left."""
        if name == "leave":
            self.dismiss(None)


class AskChoice(Dialog[str | None]):
    """Choose one of several, by its digit, by arrows and Enter, or by touch."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,full_stop", "dismiss_none", "Leave", key_display="Esc"),
    ]

    def __init__(self, question: str, choices: Sequence[tuple[str, str]]) -> None:
        super().__init__(classes="dialog")
        self._question = question
        self._choices = list(choices)

    def compose(self) -> ComposeResult:
        """Lay out the question and its numbered answers."""
        with Vertical():
            yield Static(Content(self._question), classes="question")
            yield Options(
                *(
                    self.answer(f"{index + 1:>2}  {text}", key)
                    for index, (key, text) in enumerate(self._choices)
                )
            )
            yield self.foot("A digit or Enter chooses, Esc leaves.")

    def on_mount(self) -> None:
        """Let keys reach the list."""
        self.query_one(OptionList).focus()

    def on_key(self, event: events.Key) -> None:
        """Choose by digit."""
        character = event.character
        if character and character in "123456789":
            # The screen beneath, back on top by then, must not take the digit for one of its own.
            event.stop()
            index = int(character) - 1
            if index < len(self._choices):
                self.dismiss(self._choices[index][0])

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Choose by Enter or touch."""
        self.dismiss(event.option.id)

    def action_dismiss_none(self) -> None:
        """Leave without choosing."""
        self.dismiss(None)


class AskSeveral(Dialog[list[str] | None]):
    """Mark any of several, by their digits, by Space or by touch; Enter takes what is marked."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,full_stop", "dismiss_none", "Leave", key_display="Esc"),
        Binding("enter", "take", "Take", priority=True),
        Binding("space", "mark", "Mark", priority=True),
    ]
    # A longer question, and the button.
    around_list = AROUND_LIST + 2

    def __init__(self, question: str, choices: Sequence[tuple[str, str]]) -> None:
        super().__init__(classes="dialog")
        self._question = question
        self._choices = list(choices)
        self._marked: set[str] = set()

    def compose(self) -> ComposeResult:
        """Lay out the question, its answers and the button that takes them."""
        with Vertical():
            yield Static(Content(self._question), classes="question")
            yield Options(
                *(
                    self.answer(self._shown(place), key)
                    for place, (key, _) in enumerate(self._choices)
                )
            )
            if not wants_pad(self.app):
                yield Button("Take what is marked", id="take", compact=True)
            yield self.foot(
                "A digit or Space marks, Enter takes, Esc leaves.",
                Tap("Take what is marked", id="marked"),
            )

    def _shown(self, place: int) -> str:
        key, text = self._choices[place]
        mark = "[x]" if key in self._marked else "[ ]"
        return f"{place + 1:>2}  {mark} {text}"

    def on_mount(self) -> None:
        """Let keys reach the list."""
        self.query_one(OptionList).focus()

    def mark(self, place: int) -> None:
        """Mark an answer, or take its mark away."""
        self._marked ^= {self._choices[place][0]}
        options = self.query_one(OptionList)
        options.replace_option_prompt_at_index(place, self.answer(self._shown(place)).prompt)
        options.highlighted = place

    def on_key(self, event: events.Key) -> None:
        """Mark by digit."""
        character = event.character
        if character and character in "123456789":
            event.stop()
            if int(character) <= len(self._choices):
                self.mark(int(character) - 1)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Mark by touch."""
        self.mark(event.option_index)

    def action_mark(self) -> None:
        """Mark the answer the arrows are on."""
        highlighted = self.query_one(OptionList).highlighted
        if highlighted is not None:
            self.mark(highlighted)

    def on_button_pressed(self) -> None:
        """Take what is marked, by touch."""
        self.action_take()

    def tapped(self, name: str) -> None:
        """Take what is marked, or leave."""
        if name == "marked":
            self.action_take()
        else:
            super().tapped(name)

    def action_take(self) -> None:
        """Take what is marked."""
        self.dismiss([key for key, _ in self._choices if key in self._marked])

    def action_dismiss_none(self) -> None:
        """Leave without answering."""
        self.dismiss(None)


class AskValue(Dialog[str | None]):
    """Type a value; it is taken only once `check` finds nothing wrong with it.

    `placeholder` is an example: the keypad offers the units of its kind. `words` are offered whole.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss_none", "Leave", key_display="Esc"),
    ]

    def __init__(
        self,
        question: str,
        *,
        placeholder: str = "",
        check: Callable[[str], str | None] | None = None,
        longest: int = 2000,
        words: Sequence[str] = (),
    ) -> None:
        super().__init__(classes="dialog")
        self._question = question
        self._placeholder = placeholder
        self._check = check
        self._longest = longest
        self._words = tuple(words)

    def compose(self) -> ComposeResult:
        """Lay out the question, the line to type on, and the keypad or what brings it up."""
        with Vertical():
            yield Static(Content(self._question), classes="question")
            yield Input(placeholder=self._placeholder, max_length=self._longest)
            yield Static("", classes="problem")
            yield Tapline("Enter takes it, Esc leaves. Tap here for a keypad.", id="pad")
            yield self._pad()
        self.set_class(wants_pad(self.app), "padded")

    def _pad(self) -> Pad:
        units = units_for(self._placeholder)
        page: Page = "digits"
        if not units and not any(c.isdigit() for c in self._placeholder):
            page = "words" if self._words else "letters"
        return Pad(PadLegend(units, self._words), page=page)

    def tapped(self, name: str) -> None:
        """Bring the keypad up; from now on it comes by itself."""
        if name == "pad":
            self.app.taps = True  # type: ignore[attr-defined]
            self.add_class("padded")

    def on_pad_left(self) -> None:
        """Leave without a value, by a tap."""
        self.dismiss(None)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the value, or say what is wrong with it."""
        problem = self._check(event.value) if self._check is not None else None
        if problem is None:
            self.dismiss(event.value)
        else:
            self.query_one(".problem", Static).update(Content(problem))

    def action_dismiss_none(self) -> None:
        """Leave without a value."""
        self.dismiss(None)
