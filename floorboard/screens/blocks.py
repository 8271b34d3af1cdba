"""A screen's text in blocks: a head over tables and sentences, laid out for a width. Pure.

A table shows less when there is less room: its columns are left out from the least wanted on,
and only the first is ever shortened, at a word.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.cells import cell_len

from floorboard.screens.fit import fit, fit_right
from floorboard.screens.lines import Line, Span, beside, line, wrap_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.floor.standing import State

GAP = 2
LEAST_FIRST = 16


@dataclass(frozen=True, slots=True)
class Column:
    """A column's head; the higher its rank, the sooner it is left out. `left` sets it left."""

    head: str
    rank: int = 0
    left: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells, one a column. `strong` names the rows set in bold, by their place."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    strong: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence; with a state it is set in that state's tone."""

    text: str
    state: State | None = None
    quiet: bool = False
    indent: str = ""


@dataclass(frozen=True, slots=True)
class Block:
    """A head and what stands beneath it."""

    head: str
    parts: tuple[Table | Said, ...]


def block_lines(block: Block, width: int) -> list[Line]:
    """Return a block in so many cells, with its head."""
    rule = "─" * max(0, width - cell_len(block.head) - 1)
    lines = [Line((Span(block.head, "bold"), Span(f" {rule}", "quiet")))]
    for part in block.parts:
        lines += table_lines(part, width) if isinstance(part, Table) else said_lines(part, width)
    return lines


def said_lines(said: Said, width: int) -> list[Line]:
    """Return a sentence in lines of whole words."""
    rows = wrap_text(said.text, width, said.indent)
    if said.state is not None:
        return [line(row, "tone", said.state) for row in rows]
    return [line(row, "quiet" if said.quiet else "plain") for row in rows]


def table_lines(table: Table, width: int) -> list[Line]:
    """Return a table in so many cells, its heads above it; nothing for a table without rows."""
    if not table.rows:
        return []
    shown, sizes = _shown(table, width)
    heads = [table.columns[place].head for place in shown]
    lines = [line(_row(table, shown, sizes, heads), "quiet")]
    for place, row in enumerate(table.rows):
        text = _row(table, shown, sizes, [row[column] for column in shown])
        lines.append(line(text, "bold" if place in table.strong else "plain"))
    return lines


def _row(table: Table, shown: Sequence[int], sizes: Sequence[int], texts: Sequence[str]) -> str:
    cells = [
        fit(text, size) if not place or table.columns[column].left else fit_right(text, size)
        for place, (column, size, text) in enumerate(zip(shown, sizes, texts, strict=True))
    ]
    return (" " * GAP).join(cells).rstrip()


def _shown(table: Table, width: int) -> tuple[list[int], list[int]]:
    """Return which columns there is room for, and how wide each is."""
    widest = [
        max(cell_len(cell) for cell in (column.head, *(row[place] for row in table.rows)))
        for place, column in enumerate(table.columns)
    ]
    least = min(widest[0], LEAST_FIRST)
    shown = list(range(len(table.columns)))
    while len(shown) > 1 and least + sum(widest[c] + GAP for c in shown[1:]) > width:
        shown.remove(max(shown[1:], key=lambda column: (table.columns[column].rank, column)))
    first = min(widest[0], width - sum(widest[c] + GAP for c in shown[1:]))
    return shown, [max(1, first), *(widest[column] for column in shown[1:])]


def in_columns(blocks: Sequence[Block], width: int, count: int, gap: int = 3) -> list[Line]:
    """Return blocks in so many columns of one width, each block whole, in reading order.

    A block goes into the shortest column so far, so that the first ones stand at the top.
    """
    each = (width - gap * (count - 1)) // count
    columns: list[list[Line]] = [[] for _ in range(count)]
    for block in blocks:
        lines = block_lines(block, each)
        shortest = min(columns, key=len)
        if shortest:
            shortest.append(Line())
        shortest.extend(lines)
    if count == 1:
        return columns[0]
    return beside(columns, [each] * count, gap)
