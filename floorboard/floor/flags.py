"""Flags: what is odd about an entry that is taken all the same."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor.casting import Casting, Flag, Rule

if TYPE_CHECKING:
    from floorboard.floor.events import Entry

# Two readings of the same clock may differ by a blink; no cure is flagged for that.
GRACE_SECONDS = 1.0


def flag(casting: Casting, entry: Entry, rule: Rule, message: str, seconds: float = 0.0) -> None:
    """Put a flag on a casting."""
    casting.flags.append(Flag(entry.seq, rule, message, seconds))


def in_words(seconds: float) -> str:
    """Return a length of time as people say it."""
    whole = round(seconds)
    return f"{whole} s" if whole < 120 else f"{round(whole / 60)} min"
