"""Small questions over the screen: choose one of several, mark some, or type a value."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Button, Input, OptionList, Static
from textual.widgets.option_list import Option

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual import events
    from textual.app import ComposeResult

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
"""
# Border, question with its space below, and the line that says which keys there are.
AROUND_LIST = 5


class Dialog(ModalScreen[Result]):
    """A question over the screen, never higher than the screen."""

    DEFAULT_CSS = DIALOG_CSS
    around_list = AROUND_LIST

    def on_resize(self) -> None:
        """Give the list the room there is."""
        for options in self.query(OptionList):
            options.styles.max_height = max(3, self.size.height - self.around_list)


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
            yield OptionList(
                *(
                    Option(Content(f"{index + 1:>2}  {text}"), id=key)
                    for index, (key, text) in enumerate(self._choices)
                )
            )
            yield Static(Content("A digit or Enter chooses, Esc leaves."))

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
            yield OptionList(
                *(
                    Option(self._shown(place), id=key)
                    for place, (key, _) in enumerate(self._choices)
                )
            )
            yield Button("Take what is marked", id="take", compact=True)
            yield Static(Content("A digit or Space marks, Enter takes, Esc leaves."))

    def _shown(self, place: int) -> Content:
        key, text = self._choices[place]
        mark = "[x]" if key in self._marked else "[ ]"
        return Content(f"{place + 1:>2}  {mark} {text}")

    def on_mount(self) -> None:
        """Let keys reach the list."""
        self.query_one(OptionList).focus()

    def mark(self, place: int) -> None:
        """Mark an answer, or take its mark away."""
        self._marked ^= {self._choices[place][0]}
        options = self.query_one(OptionList)
        options.replace_option_prompt_at_index(place, self._shown(place))
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

    def action_take(self) -> None:
        """Take what is marked."""
        self.dismiss([key for key, _ in self._choices if key in self._marked])

    def action_dismiss_none(self) -> None:
        """Leave without answering."""
        self.dismiss(None)


class AskValue(Dialog[str | None]):
    """Type a value; it is taken only once `check` finds nothing wrong with it."""

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
    ) -> None:
        super().__init__(classes="dialog")
        self._question = question
        self._placeholder = placeholder
        self._check = check
        self._longest = longest

    def compose(self) -> ComposeResult:
        """Lay out the question and the line to type on."""
        with Vertical():
            yield Static(Content(self._question), classes="question")
            yield Input(placeholder=self._placeholder, max_length=self._longest)
            yield Static("", classes="problem")
            yield Static(Content("Enter takes it, Esc leaves."))

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
