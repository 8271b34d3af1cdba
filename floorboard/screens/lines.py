"""Lines of text with what each part of them is for, before any drawing. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from rich.cells import cell_len

from floorboard.screens.fit import fit

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from floorboard.floor.standing import State

Role = Literal["plain", "bold", "quiet", "key", "tone", "badge"]


@dataclass(frozen=True, slots=True)
class Span:
    """A run of text; `state` gives the colour of a tone or a badge."""

    text: str
    role: Role = "plain"
    state: State = "empty"


@dataclass(frozen=True, slots=True)
class Line:
    """One line; `row` names what a tap on it, or the cursor, is about."""

    spans: tuple[Span, ...] = ()
    row: str = ""

    @property
    def text(self) -> str:
        """The line without its roles."""
        return "".join(span.text for span in self.spans)

    @property
    def cells(self) -> int:
        """How many cells the line takes."""
        return sum(cell_len(span.text) for span in self.spans)


def line(text: str = "", role: Role = "plain", state: State = "empty", row: str = "") -> Line:
    """Return a line of one part."""
    return Line((Span(text, role, state),) if text else (), row)


def fit_line(given: Line, width: int) -> Line:
    """Return a line in exactly so many cells: padded, or shortened at a word with "…"."""
    spans: list[Span] = []
    left = width
    for place, span in enumerate(given.spans):
        size = cell_len(span.text)
        more = any(later.text.strip() for later in given.spans[place + 1 :])
        if size < left or (size == left and not more):
            spans.append(span)
            left -= size
            continue
        text = span.text if size > left else f"{span.text}…"
        spans.append(replace(span, text=fit(text, left)))
        left = 0
        break
    if left > 0:
        spans.append(Span(" " * left))
    return replace(given, spans=tuple(spans))


def beside(columns: Sequence[Sequence[Line]], widths: Sequence[int], gap: int) -> list[Line]:
    """Return columns of lines side by side, each in its width; a line keeps the first row's name."""
    height = max((len(column) for column in columns), default=0)
    lines = []
    for y in range(height):
        spans: list[Span] = []
        row = ""
        for place, (column, width) in enumerate(zip(columns, widths, strict=True)):
            here = column[y] if y < len(column) else Line()
            if place:
                spans.append(Span(" " * gap))
            spans.extend(fit_line(here, width).spans)
            row = row or here.row
        lines.append(Line(tuple(spans), row))
    return lines


def wrap_text(text: str, width: int, indent: str = "") -> list[str]:
    """Return a sentence in lines of whole words; further lines are indented."""
    lines: list[str] = []
    rest = text.split()
    while rest and width > len(indent) + 1:
        start = indent if lines else ""
        built = start + rest.pop(0)
        while rest and cell_len(built) + 1 + cell_len(rest[0]) <= width:
            built += " " + rest.pop(0)
        lines.append(fit(built, width).rstrip())
    return lines


def wrap_spans(spans: Iterable[Span], width: int, gap: str = "   ") -> list[Line]:
    """Return parts that belong together one after the other, as many to a line as fit."""
    lines: list[Line] = []
    built: list[Span] = []
    used = 0
    for span in spans:
        size = cell_len(span.text)
        if built and used + len(gap) + size > width:
            lines.append(Line(tuple(built)))
            built, used = [], 0
        if built:
            built.append(Span(gap))
            used += len(gap)
        built.append(span)
        used += size
    if built:
        lines.append(Line(tuple(built)))
    return lines
