"""Digits and capitals in blocks, at any whole scale, for reading from across the shop."""

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
    ".": (".", ".", ".", ".", "#"),
    "+": ("...", ".#.", "###", ".#.", "..."),
    "-": ("...", "...", "###", "...", "..."),
    "h": ("#..", "#..", "###", "#.#", "#.#"),
    "d": ("..#", "..#", "###", "#.#", "###"),
    " ": (".", ".", ".", ".", "."),
    "A": (".#.", "#.#", "###", "#.#", "#.#"),
    "B": ("##.", "#.#", "##.", "#.#", "##."),
    "C": ("###", "#..", "#..", "#..", "###"),
    "D": ("##.", "#.#", "#.#", "#.#", "##."),
    "E": ("###", "#..", "##.", "#..", "###"),
    "F": ("###", "#..", "##.", "#..", "#.."),
    "G": ("####", "#...", "#.##", "#..#", "####"),
    "H": ("#.#", "#.#", "###", "#.#", "#.#"),
    "I": ("###", ".#.", ".#.", ".#.", "###"),
    "J": ("..#", "..#", "..#", "#.#", "###"),
    "K": ("#.#", "#.#", "##.", "#.#", "#.#"),
    "L": ("#..", "#..", "#..", "#..", "###"),
    "M": ("#...#", "##.##", "#.#.#", "#...#", "#...#"),
    "N": ("#..#", "##.#", "#.##", "#..#", "#..#"),
    "O": (".##.", "#..#", "#..#", "#..#", ".##."),
    "P": ("###", "#.#", "###", "#..", "#.."),
    "Q": (".##.", "#..#", "#..#", "#.#.", ".#.#"),
    "R": ("##.", "#.#", "##.", "#.#", "#.#"),
    "S": (".##", "#..", ".#.", "..#", "##."),
    "T": ("###", ".#.", ".#.", ".#.", ".#."),
    "U": ("#.#", "#.#", "#.#", "#.#", "###"),
    "V": ("#.#", "#.#", "#.#", "#.#", ".#."),
    "W": ("#...#", "#...#", "#.#.#", "##.##", "#...#"),
    "X": ("#.#", "#.#", ".#.", "#.#", "#.#"),
    "Y": ("#.#", "#.#", ".#.", ".#.", ".#."),
    "Z": ("###", "..#", ".#.", "#..", "###"),
}
PIXEL_ROWS = 5
HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
ASCII_HALVES = {(False, False): " ", (True, False): "'", (False, True): ".", (True, True): "#"}


def block_rows(
    text: str, scale: int = 1, ascii_only: bool = False, width: int | None = None
) -> list[str]:
    """Return the text as rows of block characters, two pixel rows to a line.

    Characters without a glyph are left out. The rows are all equally wide: as wide as they come,
    or `width` cells, if that is more, with the rest shared out between the characters.
    """
    glyphs = [GLYPHS[c] for c in text if c in GLYPHS]
    gaps = _gaps(len(glyphs), scale, (width or 0) - block_width(text, scale))
    rows = [
        "".join(
            "".join(pixel * scale for pixel in glyph[row]) + "." * gap
            for glyph, gap in zip(glyphs, gaps, strict=True)
        )
        for row in range(PIXEL_ROWS)
    ]
    pixels = [row for row in rows for _ in range(scale)]
    if len(pixels) % 2:
        pixels.append("." * len(pixels[0]))
    halves = ASCII_HALVES if ascii_only else HALVES
    return [
        "".join(halves[a == "#", b == "#"] for a, b in zip(upper, lower, strict=True))
        for upper, lower in zip(pixels[::2], pixels[1::2], strict=True)
    ]


def _gaps(count: int, scale: int, spare: int) -> list[int]:
    """Return the gap after each of so many characters; none follows the last."""
    places = max(1, count - 1)
    # Never so far apart that a number falls into single figures.
    spare = min(max(0, spare), places * scale)
    gaps = [scale + spare // places + (place < spare % places) for place in range(count)]
    return [*gaps[:-1], 0] if count else []


def block_width(text: str, scale: int = 1) -> int:
    """Return how many cells wide a text is at a scale."""
    known = [c for c in text if c in GLYPHS]
    return scale * (sum(len(GLYPHS[c][0]) for c in known) + max(0, len(known) - 1))


def block_height(scale: int = 1) -> int:
    """Return how many lines a text is high at a scale."""
    return (PIXEL_ROWS * scale + 1) // 2


def largest_scale(text: str, width: int, height: int) -> int:
    """Return the largest scale at which a text fits so many cells, at least 1."""
    scale = 1
    while block_width(text, scale + 1) <= width and block_height(scale + 1) <= height:
        scale += 1
    return scale
