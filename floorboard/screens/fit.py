"""Text made to fit so many cells, never cut off mid-word without saying so."""

from __future__ import annotations

from rich.cells import cell_len, set_cell_size


def fit(text: str, width: int) -> str:
    """Return the text in exactly `width` cells: padded, or shortened at a word with "…"."""
    if width <= 0:
        return ""
    if cell_len(text) <= width:
        return set_cell_size(text, width)
    kept = ""
    for place, word in enumerate(text.split(" ")):
        longer = f"{kept} {word}" if place else word
        if cell_len(longer) > width - 1:
            break
        kept = longer
    kept = kept.rstrip(" ,;:")
    # One word too long for the place: its beginning still says more than nothing.
    if not kept:
        kept = set_cell_size(text, width - 1).rstrip()
    return set_cell_size(f"{kept}…", width)


def fit_right(text: str, width: int) -> str:
    """Return the text in exactly `width` cells, set against the right edge."""
    missing = width - cell_len(text)
    return " " * missing + text if missing >= 0 else fit(text, width)
