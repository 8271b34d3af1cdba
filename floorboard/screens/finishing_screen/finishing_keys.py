"""What the keys of the finishing screen log: steps begun and ended, weighings, defects, the air."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.screens.casting_keys import CastingKeys
from floorboard.screens.dialogs import AskChoice, AskValue
from floorboard.screens.finishing_screen.finishing_press import press_of_castings
from floorboard.screens.finishing_screen.read_air import air_problem, read_air
from floorboard.usecases.press_words import press_words

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.records.finishing_model import FinishingLine
    from floorboard.screens.finishing_screen.finishing_press import Answer
    from floorboard.usecases.presses import Press


class FinishingKeys(CastingKeys):
    """A screen with the finishing queue's keys: one method an action. `marked` are serials."""

    marked: set[str]

    @abstractmethod
    def chosen_lines(self) -> list[FinishingLine]:
        """Return the marked castings, or the one the cursor is on."""

    def answer(self) -> Answer:
        """Return what Enter does for the chosen castings."""
        floor = self.session.floor
        return press_of_castings(floor, self.chosen_lines(), self.active)

    def action_confirm(self) -> None:
        """Begin or end the next step of the chosen castings, as of now."""
        if not self.refused():
            self.confirm_at(self.answer(), None)

    def confirm_at(self, answer: Answer, at: dt.datetime | None) -> None:
        """Begin or end the next step of the castings that were chosen, as of a moment."""
        press = answer.press
        if press is None:
            self.say(answer.said)
            return
        if not answer.doubt:
            self._confirm(press, at)
            return

        def taken(choice: str | None) -> None:
            if choice == "begin":
                self._confirm(press, at)

        choices = [("leave", "Leave it"), ("begin", "Begin all the same; it is taken as fact")]
        self.app.push_screen(AskChoice(answer.doubt, choices), taken)

    def _confirm(self, press: Press, at: dt.datetime | None) -> None:
        words = press_words(self.session.shop, self.session.floor, press)

        def verb() -> str:
            self.session.confirm(press, at)
            self.marked = set()
            return f"Logged: {words}."

        self.attempt_confirm(verb)

    def action_earlier(self) -> None:
        """Confirm with the time it really happened, in minutes ago."""
        # What was asked about is logged, whatever has become of the queue by the time it is answered.
        answer = self.answer()
        self.ask_minutes_ago(lambda at: self.confirm_at(answer, at))

    def action_inspect(self) -> None:
        """Log what was seen in the casting the cursor is on."""
        if casting := self.chosen_casting():
            self.ask_inspection(casting)

    def action_rework(self) -> None:
        """Send the casting back on its route."""
        if casting := self.chosen_casting():
            self.ask_rework(casting)

    def action_note(self) -> None:
        """Write a note on the casting."""
        if casting := self.chosen_casting():
            self.ask_note(casting, None)

    def action_air(self) -> None:
        """Log room temperature, humidity and surface temperature."""
        before = self.session.floor.conditions or e.ConditionsRead()

        def taken(text: str | None) -> None:
            if text is not None:
                # Readings of other things, such as the water, stand as they were.
                event = before.model_copy(update=read_air(text))
                self.log_event("Air read.", event)

        question = "Room temperature, humidity and surface temperature, such as 21 C, 55 %, 18 C"
        self.app.push_screen(
            AskValue(question, placeholder="21 C, 55 %, 18 C", check=air_problem), taken
        )
