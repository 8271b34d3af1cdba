"""Codes to scan, as inline SVG: QR by segno, Code 128 by python-barcode."""

from __future__ import annotations

# A quiet zone of ten modules on both sides is part of Code 128 (ISO/IEC 15417).
QUIET_MODULES = 10


def qr_svg(content: str) -> str:
    """Return a QR code that scales to its place, with its quiet zone of four modules."""
    import segno

    code = segno.make(content, error="m", micro=False)
    width, height = code.symbol_size(border=4)
    runs = []
    for y, row in enumerate(code.matrix_iter(border=4)):
        runs += [f"M{x} {y}h{length}v1h-{length}z" for x, length in _runs(list(row))]
    return (
        f'<svg viewBox="0 0 {width:g} {height:g}" shape-rendering="crispEdges" role="img"'
        f' aria-label="QR code"><path d="{"".join(runs)}" fill="#000"/></svg>'
    )


def code128_modules(content: str) -> str:
    """Return the bars of a Code 128, a 1 for every dark module and a 0 for every light one.

    Raises
    ------
    ValueError
        For characters that Code 128 has not.
    """
    from barcode.codex import Code128
    from barcode.errors import IllegalCharacterError

    try:
        modules: str = Code128(content).build()[0]
    except IllegalCharacterError:
        raise ValueError(f"{content!r} cannot be written as Code 128; use plain letters.") from None
    return modules


def code128_svg(content: str) -> str:
    """Return a Code 128 that is stretched to the width and height of its place."""
    modules = code128_modules(content)
    bars = "".join(
        f"M{QUIET_MODULES + x} 0h{length}v1h-{length}z"
        for x, length in _runs([int(module) for module in modules])
    )
    return (
        f'<svg viewBox="0 0 {len(modules) + 2 * QUIET_MODULES} 1" preserveAspectRatio="none"'
        f' shape-rendering="crispEdges" role="img" aria-label="Code 128"><path d="{bars}"'
        ' fill="#000"/></svg>'
    )


def _runs(modules: list[int]) -> list[tuple[int, int]]:
    """Return where each run of dark modules starts, and how long it is."""
    found: list[tuple[int, int]] = []
    for place, dark in enumerate(modules):
        if not dark:
            continue
        if found and sum(found[-1]) == place:
            found[-1] = found[-1][0], found[-1][1] + 1
        else:
            found.append((place, 1))
    return found
