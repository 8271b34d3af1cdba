"""Moments as the database writes them: UTC, ISO 8601, always six decimals.

All are equally long, so that the order of the texts is the order of the moments.
"""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

UTC = dt.UTC


@lru_cache(maxsize=4096)
def to_text(moment: dt.datetime) -> str:
    """Write an aware moment; the same ones are written again with every entry of a casting."""
    if moment.tzinfo is not UTC:
        moment = moment.astimezone(UTC)
    return moment.isoformat(timespec="microseconds")


def to_text_or_none(moment: dt.datetime | None) -> str | None:
    """Write an aware moment, if there is one."""
    return None if moment is None else to_text(moment)


def from_text(text: str) -> dt.datetime:
    """Read a moment."""
    return dt.datetime.fromisoformat(text)


def from_text_or_none(text: str | None) -> dt.datetime | None:
    """Read a moment, if there is one."""
    return None if text is None else dt.datetime.fromisoformat(text)
