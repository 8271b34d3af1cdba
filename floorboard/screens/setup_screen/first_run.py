"""The first-run guide: from nothing to a first casting in a dozen plain questions."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Input, Static

from floorboard.screens.key_bar import KeyBar, KeyItem
from floorboard.screens.pad import PadDock
from floorboard.shop.shop import Shop
from floorboard.usecases.first_shop import QUESTIONS, AnswersRefused, first_shop

if TYPE_CHECKING:
    from textual.app import ComposeResult


WELCOME = (
    "Welcome. Answer what you can and change the rest later: every line has an answer already. "
    "Enter goes to the next line; F2 opens the board."
)


class FirstRun(Screen[Shop | None]):
    """The questions, each with an answer to start from."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "save", "Open the board", key_display="F2"),
        Binding("escape", "leave", "Quit", key_display="Esc"),
        Binding("f4", "keypad", "Keypad", key_display="F4"),
        Binding("down", "app.focus_next", "Next line", show=False),
        Binding("up", "app.focus_previous", "Line before", show=False),
    ]
    CSS = """
    FirstRun { background: $background; }
    FirstRun #title { height: 1; background: $panel; text-style: bold; padding: 0 1; }
    FirstRun #welcome { height: auto; padding: 0 1 1 1; }
    FirstRun #problems-scroll { height: auto; max-height: 6; display: none; }
    FirstRun #problems { height: auto; color: $error; padding: 0 1; }
    FirstRun .question { padding: 0 1; text-style: bold; }
    FirstRun Input { border: none; height: 1; background: $panel; margin: 0 1 1 1; }
    FirstRun .field { height: auto; }
    FirstRun.wall #lines { layout: grid; grid-size: 2; grid-rows: auto; grid-gutter: 0 2; }
    FirstRun Input:focus { background: $primary 20%; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "narrow"), (110, "wall")]
    AUTO_FOCUS = "Input"

    def __init__(self, zone: str) -> None:
        super().__init__()
        self._zone = zone

    def compose(self) -> ComposeResult:
        """Lay out the questions from top to bottom."""
        yield Static("Your shop, to begin with", id="title")
        yield Static(Content(WELCOME), id="welcome")
        yield VerticalScroll(Static("", id="problems"), id="problems-scroll")
        with VerticalScroll(id="lines"):
            for question in QUESTIONS:
                answer = self._zone if question.key == "zone" else question.answer
                with Vertical(classes="field"):
                    yield Static(Content(question.text), classes="question")
                    yield Input(answer, id=f"answer-{question.key}", max_length=300)
        yield PadDock()
        yield KeyBar(
            (
                KeyItem("Enter", "Next line", "next_line"),
                KeyItem("Esc", "Quit", "leave"),
                KeyItem("F4", "Keypad", "keypad"),
                KeyItem("F2", "Open the board", "save"),
            ),
            tall=self.app.is_web,
        )

    def on_mount(self) -> None:
        """Show the first question above the line that has the cursor."""
        self.call_after_refresh(self.query_one("#lines", VerticalScroll).scroll_home, animate=False)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Go to the next line; from the last, open the board."""
        if event.input.id == f"answer-{QUESTIONS[-1].key}":
            self.action_save()
        else:
            self.focus_next("Input")

    def action_next_line(self) -> None:
        """Go to the next line by touch."""
        self.focus_next("Input")

    def action_keypad(self) -> None:
        """Bring the keypad up, or put it away."""
        self.query_one(PadDock).toggle()

    def action_save(self) -> None:
        """Make the shop, or say everything that is wrong with the answers."""
        answers = {q.key: self.query_one(f"#answer-{q.key}", Input).value for q in QUESTIONS}
        try:
            shop = first_shop(answers)
        except AnswersRefused as refusal:
            self.query_one("#problems-scroll").display = True
            self.query_one("#problems", Static).update(Content(str(refusal)))
            if refusal.keys:
                self.query_one(f"#answer-{refusal.keys[0]}").focus()
            return
        self.dismiss(shop)

    def action_leave(self) -> None:
        """Make nothing."""
        self.dismiss(None)
