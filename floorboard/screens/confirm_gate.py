"""Whether a press of confirm is taken: once, and only for what the hand can have seen. Pure.

What confirm would log may change under a hand that is on its way to the key: another station logs
something, a new plan comes in. So what has only just come up is not logged; the screen says so, and
the next press counts. Two presses within a blink are one. Moments are handed in.
"""

from __future__ import annotations

from dataclasses import dataclass

# Two presses of confirm within a blink are one: a wet thumb, a bouncing pedal.
BLINK_SECONDS = 0.35
# As long as it takes to see that the words have changed, and to stop the hand.
LOOK_AGAIN_SECONDS = 1.5
TWICE = "Pressed twice within a blink; it counts once."
CHANGED = "This has only just changed. Look again, then press."
# In the place of what confirm does, as long as it does nothing.
LOOK_FIRST = "changed: look"


@dataclass(slots=True)
class ConfirmGate:
    """What confirm does as the screen shows it, since when, and when it was pressed last."""

    what: object = None
    since: float = float("-inf")
    _pressed_at: float = float("-inf")

    def shows(self, what: object, at: float, *, mine: bool = False) -> bool:
        """Take in what confirm does now; return whether that has to be looked at first.

        Parameters
        ----------
        what
            Anything that is equal as long as confirm does the same; None if it does nothing.
        at
            Seconds on a clock that only runs forward.
        mine
            This hand brought it up, by choosing a mold or by carrying on what it has in hand, so
            there is nothing to look at again.
        """
        if mine:
            self.since = float("-inf")
        elif what != self.what and what is not None:
            self.since = at
        self.what = what
        return self.fresh(at)

    def fresh(self, at: float) -> bool:
        """Return whether what confirm does has only just come up."""
        return self.what is not None and at - self.since < LOOK_AGAIN_SECONDS

    def refusal(self, at: float) -> str:
        """Take in a press; return why it is not carried out, in a sentence, or nothing if it is."""
        if at - self._pressed_at < BLINK_SECONDS:
            return TWICE
        if self.fresh(at):
            return CHANGED
        self._pressed_at = at
        return ""

    def forget(self) -> None:
        """Take the next press whatever came before it."""
        self.since = self._pressed_at = float("-inf")
