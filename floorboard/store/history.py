"""The past, read for the records: one snapshot of the tables, whatever is logged meanwhile."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Concatenate, Literal, ParamSpec, TypeVar

from floorboard.floor.fold import fold
from floorboard.store import event_log, plain_tables, quality_rows, shelf, tally_rows
from floorboard.store.connect import connect
from floorboard.store.errors import told
from floorboard.store.state_codec import casting_from_json

if TYPE_CHECKING:
    import datetime as dt
    import sqlite3
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from floorboard.floor import history_rows as h
    from floorboard.floor.casting import Casting
    from floorboard.shop.build import Build

Asked = ParamSpec("Asked")
Answer = TypeVar("Answer")


class History:
    """See `floorboard.usecases.history_port.History`. Use it in a `with` block, in one thread."""

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        self._connection = connect(self.path, read_only=True)
        self._builds = shelf.BuildShelf(self._connection)

    def __enter__(self) -> History:
        with told(self.path):
            self._connection.execute("BEGIN")
        return self

    def __exit__(self, *_: object) -> None:
        self._connection.close()

    @property
    def builds(self) -> Mapping[str, Build]:
        """The builds castings were begun with, by digest."""
        return self._builds

    def castings(
        self, start: dt.datetime, end: dt.datetime, order: str | None = None
    ) -> list[h.CastingRow]:
        """Return the castings begun before `end` that had not ended before `start`.

        With an order, only those begun for it.
        """
        return self._read(tally_rows.castings, start, end, order)

    def works(self, start: dt.datetime, end: dt.datetime) -> list[h.WorkRow]:
        """Return the hands-on tasks that ended in `[start, end)`, in order of their ends."""
        return self._read(tally_rows.works, start, end)

    def reworks(self, start: dt.datetime, end: dt.datetime) -> list[h.ReworkRow]:
        """Return the castings sent back in `[start, end)`, in order."""
        return self._read(tally_rows.reworks, start, end)

    def batches(self, start: dt.datetime, end: dt.datetime) -> list[h.BatchSum]:
        """Return the batches begun in `[start, end)`, summed by mix."""
        return self._read(tally_rows.batches, start, end)

    def weighed_batches(self, start: dt.datetime, end: dt.datetime) -> list[h.WeighedSum]:
        """Return, by mix and material, the batches of `[start, end)` it was weighed into."""
        return self._read(tally_rows.weighed_batches, start, end)

    def materials(self, start: dt.datetime, end: dt.datetime) -> list[h.MaterialSum]:
        """Return what was weighed, used and wasted in `[start, end)`, by material."""
        return self._read(tally_rows.materials, start, end)

    def layers(self, start: dt.datetime, end: dt.datetime) -> list[h.LayerSum]:
        """Return the layers applied in `[start, end)`, summed by build and layer."""
        return self._read(tally_rows.layers, start, end)

    def presences(self, before: dt.datetime) -> list[h.Presence]:
        """Return who left and came back before a moment, in order of time."""
        return self._read(tally_rows.presences, before)

    def flags(self, start: dt.datetime, end: dt.datetime, most: int) -> list[h.FlagRow]:
        """Return the first `most` flags on entries of `[start, end)`, in order of time."""
        return self._read(tally_rows.flags, start, end, most)

    def flag_count(self, start: dt.datetime, end: dt.datetime) -> int:
        """Return how many flags there are on entries of `[start, end)`."""
        return self._read(tally_rows.flag_count, start, end)

    def log_counts(self, start: dt.datetime, end: dt.datetime) -> list[h.LogCount]:
        """Return how many entries of `[start, end)` begin, demold and reject castings."""
        return self._read(tally_rows.log_counts, start, end)

    def orders_known_since(self) -> dict[str, dt.datetime]:
        """Return when each order first stood in the shop's definitions."""
        return self._read(tally_rows.orders_known_since)

    def shop_known_since(self) -> dt.datetime | None:
        """Return when the shop was first loaded, if it was."""
        return self._read(tally_rows.shop_known_since)

    def finished_for_orders(
        self, pieces: Sequence[str], since: dt.datetime, until: dt.datetime
    ) -> Iterator[h.FinishedRow]:
        """Yield the good castings finished before `until`: those for an order, and those of
        `pieces` begun for none since a moment; in the order in which they were finished."""
        return self._read(tally_rows.finished_for_orders, pieces, since, until)

    def made(self, start: dt.datetime, end: dt.datetime) -> list[h.MadeRow]:
        """Return the castings demolded, finished or rejected in `[start, end)`, as they were begun."""
        return self._read(quality_rows.made, start, end)

    def readings(self, start: dt.datetime, end: dt.datetime) -> list[h.ReadingRow]:
        """Return the weights and walls read in `[start, end)`, in order of time."""
        return self._read(quality_rows.readings, start, end)

    def inspections(self, start: dt.datetime, end: dt.datetime) -> list[h.InspectionRow]:
        """Return the inspections of `[start, end)`, in order of time."""
        return self._read(quality_rows.inspections, start, end)

    def air(self, start: dt.datetime, end: dt.datetime) -> list[h.AirRow]:
        """Return the room's temperatures read in `[start, end)`, in order of time."""
        return self._read(quality_rows.air, start, end)

    def mold_notes(self, start: dt.datetime, end: dt.datetime) -> list[h.MoldEventRow]:
        """Return the notes on molds of `[start, end)`, in order of the log."""
        return self._read(quality_rows.mold_notes, start, end)

    def lots_of_batches(
        self, start: dt.datetime, end: dt.datetime
    ) -> dict[str, set[tuple[str, str]]]:
        """Return the (material, lot) weighed into each batch in `[start, end)`."""
        return self._read(quality_rows.lots_of_batches, start, end)

    def mold_events(self, before: dt.datetime) -> list[h.MoldEventRow]:
        """Return when molds were taken out, put back and cared for, in order of the log."""
        return self._read(quality_rows.mold_events, before)

    def pulls(self) -> dict[str, tuple[int, int]]:
        """Return the pulls logged of each mold, and those at its last care."""
        return self._read(quality_rows.pulls)

    def pulls_between(self, start: dt.datetime, end: dt.datetime) -> dict[str, int]:
        """Return how many castings begun in `[start, end)` became pulls of each mold."""
        return self._read(quality_rows.pulls_between, start, end)

    def first_begun(self) -> dt.datetime | None:
        """Return when the first casting of the log was begun, if there is one."""
        return self._read(quality_rows.first_begun)

    def decisions(self) -> dict[str, Literal["learned", "stated"]]:
        """Return the last decision on which time to plan each task with."""
        return self._read(quality_rows.decisions)

    def plain_tables(self, site: str) -> Iterator[h.PlainTable]:
        """Yield the whole history as plain tables; take the rows of each before the next."""
        return self._read(plain_tables.plain_tables, site)

    def castings_at(self, serials: Iterable[str], moment: dt.datetime) -> dict[str, Casting]:
        """Return castings as they stood at a moment: what happened before it, folded."""
        with told(self.path):
            entries = event_log.of_castings_before(self._connection, serials, moment)
            return {
                serial: casting
                for serial, theirs in entries.items()
                if any(entry.event.kind == "casting begun" for entry in theirs)
                and (casting := fold(theirs, self._builds).castings.get(serial)) is not None
            }

    def castings_now(self, serials: Iterable[str]) -> dict[str, Casting]:
        """Return castings as they stand now."""
        found = self._read(tally_rows.states, list(serials))
        return {
            serial: casting_from_json(state, self._builds[build]) for serial, build, state in found
        }

    def _read(
        self,
        query: Callable[Concatenate[sqlite3.Connection, Asked], Answer],
        *asked: Asked.args,
        **named: Asked.kwargs,
    ) -> Answer:
        with told(self.path):
            return query(self._connection, *asked, **named)
