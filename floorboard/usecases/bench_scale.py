"""A bench scale on a serial port, read for the ticket in hand.

The scale is a convenience: whatever it does, weights can be typed. Reading it therefore never
raises; a scale that is unplugged says so in a sentence, and what was weighed before stays.
"""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, Protocol

from floorboard.mixing.refusal import refuse
from floorboard.mixing.scale_line import ScaleReading, read_scale_line
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.mixing.weighings import Weighings

READ_SECONDS = 0.5
UNPLUGGED = "The scale does not answer: type the weight; what was weighed so far is kept."


class ScalePort(Protocol):
    """What is needed of a serial port; pyserial's `Serial` has it."""

    def readline(self) -> bytes:
        """Return the next line, or what came of it before the port's own time ran out."""
        ...

    def close(self) -> None:
        """Let go of the port."""
        ...


def open_serial(name: str, baud: int = 9600) -> ScalePort:
    """Open a serial port by name, such as "/dev/ttyUSB0" or "COM3".

    Raises
    ------
    MixingError
        In a sentence, if pyserial is not installed or the port cannot be opened.
    """
    try:
        import serial
    except ImportError:
        raise refuse(
            "scale",
            "reading a scale needs the extra 'scale': pip install 'floorboard[scale]'; "
            "until then type the weights",
        ) from None
    try:
        port: ScalePort = serial.Serial(name, baudrate=baud, timeout=READ_SECONDS)
    except (OSError, ValueError) as error:
        raise refuse("scale", f"found no scale at {name!r} ({error}); type the weights") from None
    return port


class BenchScale:
    """One scale. `plugged_in` turns false when it stops answering and true again on `replug`."""

    def __init__(self, opened: Callable[[], ScalePort]) -> None:
        self._opened = opened
        self._port: ScalePort | None = None
        self.plugged_in = False

    def replug(self) -> ScaleReading | None:
        """Open the port, again if need be; None when that worked, else a reading that says why."""
        self.close()
        try:
            self._port = self._opened()
        except (OSError, FloorboardError) as error:
            return ScaleReading(grams=None, sentence=f"{UNPLUGGED} ({error})")
        self.plugged_in = True
        return None

    def read(self) -> ScaleReading:
        """Read the next line; a weight below nothing is no weight of anything, and is not taken."""
        if self._port is None:
            return ScaleReading(grams=None, sentence=UNPLUGGED)
        try:
            line = self._port.readline()
        except (OSError, TypeError) as error:  # pyserial: TypeError when torn out while reading
            self.close()
            return ScaleReading(grams=None, sentence=f"{UNPLUGGED} ({error})")
        if not line:
            return ScaleReading(grams=None, sentence="The scale has sent nothing yet.")
        reading = read_scale_line(line)
        if reading.grams is not None and reading.grams < 0:
            return ScaleReading(
                grams=None, sentence=f"The scale shows {reading.grams:g} g: zero it, then take it."
            )
        return reading

    def take(self, weighings: Weighings, number: int) -> tuple[Weighings, str]:
        """Take the scale's reading as an addition of the ticket.

        Returns the weighings, changed only if a still weight could be taken, and the sentence
        that says why not, empty if it was.
        """
        reading = self.read()
        if reading.grams is None:
            return weighings, reading.sentence
        before = weighings.reading_before(number)
        if reading.grams < before:
            return weighings, (
                f"The scale shows {reading.grams:g} g, less than the {before:g} g that were in "
                "before: put the bucket back, then take it."
            )
        return weighings.take_reading(number, reading.grams), ""

    def close(self) -> None:
        """Let go of the port; closing twice does no harm."""
        port, self._port, self.plugged_in = self._port, None, False
        if port is not None:
            # A port whose plug was pulled can fail to close; it is gone all the same.
            with suppress(OSError):
                port.close()
