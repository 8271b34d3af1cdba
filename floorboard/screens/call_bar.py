"""The line that calls: in the place of the top line, so that nothing moves when a call comes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.message import Message
from textual.widget import Widget

from floorboard.screens import looks
from floorboard.screens.call_desk import where
from floorboard.screens.countdown import countdown
from floorboard.screens.fit import fit

if TYPE_CHECKING:
    import datetime as dt

    from rich.console import RenderableType

    from floorboard.screens.calls import Call

WORDS = {"soon": "SOON", "due": "DUE", "closing": "CLOSING", "window lost": "LOST"}
HEARD = "Space: heard"
LEAST_WIDTH_FOR_KEY = 70


class CallBar(Widget):
    """One call across the width; tapping it takes it as heard."""

    DEFAULT_CSS = "CallBar { height: 1; display: none; }"

    class Heard(Message):
        """The call was tapped."""

    def __init__(
        self, *, ascii_only: bool = False, id: str | None = None, heard: str = HEARD
    ) -> None:
        super().__init__(id=id)
        self._ascii = ascii_only
        self._heard = heard
        self._line = ""
        self._call: Call | None = None

    def show(self, call: Call | None, now: dt.datetime, clock: str) -> None:
        """Show a call with the clock at its end, or nothing."""
        self._call = call
        if (call is not None) != self.display:
            self.display = call is not None
        if call is None:
            return
        line = call_line(call, now, clock, self.app.size.width, self._ascii, self._heard)
        if line != self._line:
            self._line = line
            self.refresh()

    def on_click(self) -> None:
        """Say that the call was heard."""
        self.post_message(self.Heard())

    def render(self) -> RenderableType:
        """Draw the call on the ground of its kind."""
        if self._call is None:
            return Text("")
        badge = looks.palette_of(self.app.theme).badge(self._call.kind)
        return Text(self._line, style=badge, no_wrap=True)


def call_line(
    call: Call, now: dt.datetime, clock: str, width: int, ascii_only: bool, heard: str = HEARD
) -> str:
    """Return a call as one line: shape, word, what it is about, its countdown, its key."""
    seconds = (call.moment - now).total_seconds()
    left = f" {looks.shape(call.kind, ascii_only)} {WORDS[call.kind]}  {where(call)}"
    count = f"  {countdown(seconds)}"
    right = f"  {heard}  {clock} " if width >= LEAST_WIDTH_FOR_KEY else f"  {clock} "
    words = f"  {call.words}"
    room = width - len(right) - len(count)
    return fit(fit(left + words, room) + count + right, width)
