"""Tells a hand at the keys from a scanner, a paste or a fist. Pure: moments are handed in.

A scanner types a label's characters a few milliseconds apart and ends with Enter; so does a paste
in a terminal that does not announce pastes; a fist lands on several keys at once. No hand means a
key within 50 ms of another. So a key that does something is held back for that long: if another
follows, neither is carried out. Keys that only choose (digits on the floor) are let through at
once, since choosing loses nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

GAP_SECONDS = 0.05
# The same logging key again within a blink is one press: a wet thumb, a bouncing pedal, a key held
# down (keyboards wait 0.25 to 0.66 s before they repeat, then repeat faster than this).
BLINK_SECONDS = 0.7
# More than any label; the rest of a paste is dropped unread.
LONGEST_SCAN = 80

Touch = Literal["free", "held", "once"]
Fate = Literal["now", "hold", "drop", "again", "scan"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What becomes of a key: done now, held back, dropped, or the end of a scan of `text`.

    "again" is a key dropped because it is the same press as the one before.
    """

    fate: Fate
    text: str = ""


NOW, HOLD, DROP, AGAIN = Verdict("now"), Verdict("hold"), Verdict("drop"), Verdict("again")


@dataclass(slots=True)
class KeyBursts:
    """Reads keys one by one, and says what becomes of each.

    `fresh` tells of the key last read whether it came after a pause.
    """

    fresh: bool = True
    _text: list[str] = field(default_factory=list)
    _last_at: float = float("-inf")
    _held: str | None = None
    _doubled: bool = False
    _dropped: bool = False
    _acted: dict[str, float] = field(default_factory=dict)

    def read(self, key: str, character: str | None, at: float, touch: Touch) -> Verdict:
        """Return what becomes of a key.

        Parameters
        ----------
        key, character
            The key's name, and the character it types, if it types one.
        at
            When it came, in seconds on a clock that only runs forward.
        touch
            "free": carrying it out loses and logs nothing, and may be repeated. "held": it does
            something. "once": it logs something, and is one press if it comes twice in a blink.
        """
        typed = character if character is not None and character.isprintable() else None
        if typed is None and key != "enter":
            # Arrows and function keys are on no label.
            self._begin(at, None)
            return self._first(key, at, touch, first="now")
        if at - self._last_at >= GAP_SECONDS:
            self._begin(at, typed)
            verdict = self._first(key, at, touch, first="now" if touch == "free" else "hold")
            self._held = key if verdict.fate == "hold" else None
            return verdict
        return self._within(key, typed, at, touch)

    def quiet(self, at: float) -> Literal["nothing", "release", "garbage"]:
        """Say what to do once keys have paused: let the held one go, or tell of garbage."""
        if at - self._last_at < GAP_SECONDS:
            return "nothing"
        held, dropped = self._held, self._dropped
        self._held, self._dropped = None, False
        if held is not None:
            return "release"
        return "garbage" if dropped else "nothing"

    def _begin(self, at: float, typed: str | None) -> None:
        self._text = [] if typed is None else [typed]
        self._last_at = at
        self.fresh = True
        self._held = None
        self._doubled = self._dropped = False

    def _first(self, key: str, at: float, touch: Touch, *, first: Fate) -> Verdict:
        if touch != "once":
            return Verdict(first)
        last = self._acted.get(key, float("-inf"))
        self._acted[key] = at
        return Verdict(first) if at - last >= BLINK_SECONDS else AGAIN

    def _within(self, key: str, typed: str | None, at: float, touch: Touch) -> Verdict:
        """Read a key that came too soon after another to be meant by itself."""
        self._last_at = at
        self.fresh = False
        if key == self._held and not self._doubled:
            # A bouncing contact: still one press. A third is no bounce any more.
            self._doubled = True
            self._add(typed)
            return AGAIN
        self._held = None
        if typed is None:
            text, self._text = "".join(self._text), []
            self._dropped = not text
            return Verdict("scan", text) if text else DROP
        self._add(typed)
        if touch == "free" and not self._dropped and len(self._text) <= LONGEST_SCAN:
            return NOW
        self._dropped = True
        return DROP

    def _add(self, typed: str | None) -> None:
        if typed is not None and len(self._text) <= LONGEST_SCAN:
            self._text.append(typed)
