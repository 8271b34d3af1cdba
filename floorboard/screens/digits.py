"""Reads a mold's number from digits typed one by one."""

from __future__ import annotations

from dataclasses import dataclass

# A digit typed later than this begins a new number.
DIGIT_SECONDS = 1.5
MOST_DIGITS = 4


@dataclass(slots=True)
class DigitReader:
    """The number being typed; `text` is what of it has come so far."""

    text: str = ""
    _at: float = float("-inf")

    def typed(self, digit: str, at_seconds: float) -> int:
        """Take in a digit and return the number so far."""
        going_on = self.going_on(at_seconds)
        self.text = (self.text + digit)[-MOST_DIGITS:] if going_on else digit
        self._at = at_seconds
        return int(self.text)

    def going_on(self, at_seconds: float) -> bool:
        """Return whether a number is being typed."""
        return bool(self.text) and at_seconds - self._at <= DIGIT_SECONDS

    def forget(self) -> None:
        """Let the next digit begin a new number."""
        self.text = ""
