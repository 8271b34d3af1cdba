"""A tally as tables: what CSV files and sheets are made from."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.records.tally_model import Counts, TallyPart

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from floorboard.records.tally_model import Tally

Cell = str | int | float | bool | dt.datetime | dt.date | None


@dataclass(frozen=True, slots=True)
class Table:
    """A named table: heads and rows of cells."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def tally_tables(tally: Tally) -> Iterator[Table]:
    """Yield every part of a tally as a table, empty ones left out."""
    counts = tally.counts.model_dump()
    yield Table("counts", ("count", "castings"), tuple(counts.items()))
    for name in (
        "pieces",
        "days",
        "people",
        "reasons",
        "rejects",
        "stages",
        "carried_over",
        "molds",
        "batches",
        "materials",
        "orders",
        "yields",
        "checks",
    ):
        parts: Sequence[TallyPart] = getattr(tally, name)
        if parts:
            flat = [_flat(part) for part in parts]
            yield Table(name, tuple(flat[0]), tuple(tuple(row.values()) for row in flat))
    figures = tally.key_figures.model_dump()
    yield Table("key_figures", ("figure", "value"), tuple(figures.items()))
    if tally.cost is not None:
        cost = _flat(tally.cost)
        yield Table("cost", ("cost", tally.currency or "money"), tuple(cost.items()))
    if tally.notes:
        yield Table("notes", ("note",), tuple((note,) for note in tally.notes))


def _flat(part: TallyPart) -> dict[str, Cell]:
    """Fields of a part in order; counts inside it become fields of their own."""
    found: dict[str, Cell] = {}
    for name in type(part).model_fields:
        value = getattr(part, name)
        if isinstance(value, Counts):
            found |= value.model_dump()
        elif isinstance(value, tuple):
            found[name] = ", ".join(str(one) for one in value)
        else:
            found[name] = value
    return found
