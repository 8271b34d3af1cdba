"""Numbers of things in words: "1 mold", "3 molds"."""

from __future__ import annotations


def counted(count: float, one: str, many: str = "") -> str:
    """Return a count with its word, singular for one; `many` where an s alone does not make it."""
    return f"{count:g} {one if count == 1 else many or one + 's'}"


def people_counted(count: int) -> str:
    """Return how many people, as within a sentence: "one person", "3 people"."""
    return "one person" if count == 1 else counted(count, "person", "people")
