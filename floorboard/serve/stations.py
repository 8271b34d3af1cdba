"""Names of the stations a board is shown at: the bench tablet, the wall screen."""

from __future__ import annotations

import unicodedata

LONGEST_STATION_NAME = 40


class StationNameError(ValueError):
    """A station name cannot be used; the message says what to change."""


def checked_station_name(text: str) -> str:
    """Return a station name in its one spelling.

    Composed (NFC), without space at the ends, single spaces within.

    Raises
    ------
    StationNameError
        It is empty, longer than 40 characters, or holds characters that are not shown: control
        and format characters (direction overrides among them), line ends, unassigned ones.
    """
    # Split at spaces only: a line end or tab is refused below, not quietly mended.
    name = " ".join(part for part in unicodedata.normalize("NFC", text).split(" ") if part)
    if not name:
        raise StationNameError("Name this station, for instance Bench 1.")
    if len(name) > LONGEST_STATION_NAME:
        raise StationNameError(
            f"A station name has at most {LONGEST_STATION_NAME} characters; this one has {len(name)}."
        )
    for character in name:
        category = unicodedata.category(character)
        if category[0] == "C" or category in {"Zl", "Zp"}:
            raise StationNameError(
                f"A station name cannot hold the character U+{ord(character):04X}."
            )
    return name
