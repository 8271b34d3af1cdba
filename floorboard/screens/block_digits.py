"""Digits in blocks, at any whole scale, for reading from across the shop."""

from __future__ import annotations

# Five rows of pixels a glyph; "#" is lit.
GLYPHS: dict[str, tuple[str, ...]] = {
    "0": ("###", "#.#", "#.#", "#.#", "###"),
    "1": (".#.", "##.", ".#.", ".#.", "###"),
    "2": ("###", "..#", "###", "#..", "###"),
    "3": ("###", "..#", ".##", "..#", "###"),
    "4": ("#.#", "#.#", "###", "..#", "..#"),
    "5": ("###", "#..", "###", "..#", "###"),
    "6": ("###", "#..", "###", "#.#", "###"),
    "7": ("###", "..#", "..#", ".#.", ".#."),
    "8": ("###", "#.#", "###", "#.#", "###"),
    "9": ("###", "#.#", "###", "..#", "###"),
    ":": (".", "#", ".", "#", "."),
    "+": ("...", ".#.", "###", ".#.", "..."),
    "-": ("...", "...", "###", "...", "..."),
    "h": ("#..", "#..", "###", "#.#", "#.#"),
    "d": ("..#", "..#", "###", "#.#", "###"),
    " ": (".", ".", ".", ".", "."),
}
PIXEL_ROWS = 5
HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
ASCII_HALVES = {(False, False): " ", (True, False): "'", (False, True): ".", (True, True): "#"}


def block_rows(text: str, scale: int = 1, ascii_only: bool = False) -> list[str]:
    """Return the text as rows of block characters, two pixel rows to a line.

    Characters without a glyph are left out. The rows are all equally wide.
    """
    rows = [".".join(GLYPHS[c][row] for c in text if c in GLYPHS) for row in range(PIXEL_ROWS)]
    pixels = ["".join(pixel * scale for pixel in row) for row in rows for _ in range(scale)]
    if len(pixels) % 2:
        pixels.append("." * len(pixels[0]))
    halves = ASCII_HALVES if ascii_only else HALVES
    return [
        "".join(halves[a == "#", b == "#"] for a, b in zip(upper, lower, strict=True))
        for upper, lower in zip(pixels[::2], pixels[1::2], strict=True)
    ]


def block_width(text: str, scale: int = 1) -> int:
    """Return how many cells wide a text is at a scale."""
    known = [c for c in text if c in GLYPHS]
    return scale * (sum(len(GLYPHS[c][0]) for c in known) + max(0, len(known) - 1))


def largest_scale(text: str, width: int, height: int) -> int:
    """Return the largest scale at which a text fits so many cells, at least 1."""
    scale = 1
    while block_width(text, scale + 1) <= width and (PIXEL_ROWS * (scale + 1) + 1) // 2 <= height:
        scale += 1
    return scale
