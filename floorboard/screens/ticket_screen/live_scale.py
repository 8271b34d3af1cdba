"""The bench scale's last reading, for the ticket in hand."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from floorboard.floor.clock import steady_seconds
from floorboard.mixing.scale_line import ScaleReading
from floorboard.usecases.bench_scale import UNPLUGGED

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.usecases.bench_scale import BenchScale

# A reading older than this says nothing of what is on the scale now.
FRESH_SECONDS = 2.0
# How often an unplugged scale is looked for again.
REPLUG_SECONDS = 2.0


class LiveScale:
    """Listens to a scale and keeps its last reading. Without a scale it says nothing."""

    def __init__(
        self, scale: BenchScale | None, steady: Callable[[], float] = steady_seconds
    ) -> None:
        self.scale = scale
        self._steady = steady
        self._reading: ScaleReading | None = None
        self._at = 0.0
        self._ended = threading.Event()

    def listen(self, tell: Callable[[ScaleReading], object]) -> None:
        """Read the scale in a thread of its own until `close`; `tell` is called from there."""
        if self.scale is not None:
            threading.Thread(
                target=self._listen, args=(tell,), name="bench-scale", daemon=True
            ).start()

    def _listen(self, tell: Callable[[ScaleReading], object]) -> None:
        while not self._ended.is_set():
            tell(self.read())
            if self.scale is None or not self.scale.plugged_in:
                self._ended.wait(REPLUG_SECONDS)

    def read(self) -> ScaleReading:
        """Wait for the scale's next line; plug it in again if need be."""
        if self.scale is None:
            return ScaleReading(grams=None, sentence=UNPLUGGED)
        if not self.scale.plugged_in:
            why = self.scale.replug()
            if why is not None:
                return why
        return self.scale.read()

    def take(self, reading: ScaleReading) -> None:
        """Keep a reading as the last."""
        self._reading, self._at = reading, self._steady()

    @property
    def reading(self) -> ScaleReading | None:
        """The last reading if it is fresh, what is wrong if it is not; None without a scale."""
        if self.scale is None:
            return None
        if self._reading is None or self._steady() - self._at > FRESH_SECONDS:
            return ScaleReading(grams=None, sentence="The scale has sent nothing yet.")
        return self._reading

    def close(self) -> None:
        """Let go of the scale."""
        self._ended.set()
        if self.scale is not None:
            self.scale.close()
