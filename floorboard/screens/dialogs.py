"""Small questions over the screen: choose one of several, or type a value."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
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

    def on_resize(self) -> None:
        """Give the list the room there is."""
        for options in self.query(OptionList):
            options.styles.max_height = max(3, self.size.height - AROUND_LIST)


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
