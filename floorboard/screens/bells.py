"""When a call rings, and in which pattern. Pure: seconds are handed in.

One pattern at a time, each call a limited number of times, and a pause between any two: a bell that
never stops is a bell that nobody hears.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.screens.calls import Call, CallKind


@dataclass(frozen=True, slots=True)
class Pattern:
    """Strokes in seconds from the first; again after `again_seconds`, at most `most` times."""

    strokes: tuple[float, ...]
    again_seconds: float
    most: int


PATTERNS: dict[CallKind, Pattern] = {
    "soon": Pattern((0.0,), 600.0, 1),
    "due": Pattern((0.0, 0.6), 120.0, 4),
    "closing": Pattern((0.0, 0.3, 0.6), 60.0, 8),
    "window lost": Pattern((0.0, 0.3, 0.6, 1.5, 1.8, 2.1), 300.0, 3),
}

# Between any two patterns, unless a more urgent call comes in.
PAUSE_SECONDS = 15.0
FORGET_SECONDS = 6 * 3600.0


@dataclass(slots=True)
class Ringer:
    """Remembers what rang when."""

    _rung: dict[str, tuple[float, int]] = field(default_factory=dict)
    _last: tuple[float, int] | None = None

    def ring(self, call: Call | None, at_seconds: float, *, quiet: bool) -> Pattern | None:
        """Return the pattern to ring now for the call shown, if any.

        Parameters
        ----------
        call
            The most urgent call, or None.
        at_seconds
            Now, on a clock that only runs forward.
        quiet
            Whether these are quiet hours. A call that still stands when they end rings then.
        """
        if call is None or quiet:
            return None
        pattern = PATTERNS[call.kind]
        last, count = self._rung.get(call.key, (None, 0))
        if count >= pattern.most:
            return None
        if last is not None and at_seconds - last < pattern.again_seconds:
            return None
        if self._last is not None:
            since, rank = at_seconds - self._last[0], self._last[1]
            more_urgent = last is None and call.rank < rank
            if since < PAUSE_SECONDS and not more_urgent:
                return None
        self._rung[call.key] = (at_seconds, count + 1)
        self._last = (at_seconds, call.rank)
        self._forget(at_seconds)
        return pattern

    def _forget(self, at_seconds: float) -> None:
        old = [key for key, (at, _) in self._rung.items() if at_seconds - at > FORGET_SECONDS]
        for key in old:
            del self._rung[key]
