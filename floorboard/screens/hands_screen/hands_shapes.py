"""The signs of the hands chart, and what each means in words. Pure."""

from __future__ import annotations

NOW, BEGINS, AWAY, CURES = "│", "▏", "·", "╌"
ASCII_NOW, ASCII_BEGINS, ASCII_AWAY, ASCII_CURES = "|", "[", ".", "-"

# The sign, the sign where only ASCII shows, and what it means.
MEANINGS: tuple[tuple[str, str, str], ...] = (
    ("3·2", "3.2", "layer 2 of mold 3 is poured; where there is no room, the mold alone"),
    ("m", "m", "mix: weighing and mixing a batch"),
    ("r", "r", "ready: cleaning a mold and making it ready"),
    ("d", "d", "demold: taking a casting out"),
    ("s", "s", "step: finishing, such as trimming or sealing; 2x step takes two castings"),
    ("1", "1", "in a mold's row: its first layer is poured"),
    (BEGINS, ASCII_BEGINS, "a job begins"),
    (CURES, ASCII_CURES, "a casting cures in its mold"),
    (AWAY, ASCII_AWAY, "at a break, or not at work"),
    (NOW, ASCII_NOW, "now"),
)


def legend(ascii_only: bool = False) -> list[tuple[str, str]]:
    """Return each sign, as this terminal is sent it, with what it means."""
    return [(plain if ascii_only else sign, words) for sign, plain, words in MEANINGS]
