"""Keeps the calls of one board: which one is shown, what was heard, when it rings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.screens.bells import Pattern, Ringer
from floorboard.screens.calls import Call, CallBasis
from floorboard.shop.calendar import in_stretches

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.screens.speaker import Speaker
    from floorboard.shop.shop import Shop
    from floorboard.usecases.session import Session


class CallDesk:
    """The calls of one board."""

    def __init__(self, session: Session, speaker: Speaker, ring: Callable[[Pattern], None]) -> None:
        self._session = session
        self._speaker = speaker
        self._ring = ring
        self._ringer = Ringer()
        self._heard: set[str] = set()
        self._known: tuple[tuple[Shop, Floor, Plan], CallBasis] | None = None
        self.call: Call | None = None

    def look(self, at_seconds: float) -> Call | None:
        """Look what is to be called now, ring if it is time to, and return the call to show.

        Parameters
        ----------
        at_seconds
            Now, on a clock that only runs forward.
        """
        session, now = self._session, self._session.now
        calls = self._basis().at(now)
        # What no longer calls is forgotten, so that it is heard again if it comes back.
        self._heard &= {call.key for call in calls}
        self.call = next((call for call in calls if call.key not in self._heard), None)
        settings = session.shop.shop
        quiet = in_stretches(settings.quiet, settings.zone, now)
        pattern = self._ringer.ring(self.call, at_seconds, quiet=quiet)
        if pattern is not None and self.call is not None:
            self._ring(pattern)
            self._speaker.say(spoken(self.call), at_seconds)
        return self.call

    def _basis(self) -> CallBasis:
        """Return what the calls hang on, worked out anew when the floor or the plan is another."""
        session = self._session
        of = (session.shop, session.floor, session.plan)
        if self._known is None or any(a is not b for a, b in zip(self._known[0], of, strict=True)):
            self._known = of, CallBasis.of(*of)
        return self._known[1]

    def hear(self) -> Call | None:
        """Take the call shown as heard, and return it; None if there was none."""
        call = self.call
        if call is not None:
            self._heard.add(call.key)
        return call


def where(call: Call) -> str:
    """Return what a call is about, as people say it: the mold by its number, else the casting."""
    if call.mold is not None:
        return f"Mold {call.mold}"
    return f"Batch {call.subject}" if call.step == "batch" else f"Casting {call.subject}"


def spoken(call: Call) -> str:
    """Return a call as a sentence to be spoken; it never begins with a dash."""
    return f"{where(call)}: {call.words}."
