"""A screen whose confirm key is taken once, and only for what can have been seen."""

from __future__ import annotations

from abc import abstractmethod

from textual.screen import Screen

from floorboard.floor.clock import steady_seconds
from floorboard.screens.confirm_gate import ConfirmGate
from floorboard.screens.saying import say_too


class GatedKeys(Screen[None]):
    """A screen with a gate before its confirm key."""

    last_said = ""

    def __init__(self) -> None:
        super().__init__()
        self.gate = ConfirmGate()

    @abstractmethod
    def say(self, message: str) -> None:
        """Say what was done, or why it was not."""

    def refused(self) -> bool:
        """Return whether a press of confirm is not to be taken, and say why."""
        sentence = self.gate.refusal(steady_seconds())
        if sentence:
            say_too(self, sentence)
        return bool(sentence)
