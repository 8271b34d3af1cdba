"""The tables as the log says they should be: every row, from the first entry to the last."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import astuple, dataclass, field
from typing import TYPE_CHECKING, Any

from floorboard.store.ledger import BatchMark, CastingMark, Ledger
from floorboard.store.moments import to_text, to_text_or_none
from floorboard.store.state_codec import (
    batch_from_json,
    batch_to_json,
    casting_from_json,
    casting_to_json,
)
from floorboard.store.take_in import Dirty, take_in
from floorboard.store.write_tables import as_column, batch_columns, casting_columns

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from floorboard.floor.batch import Batch
    from floorboard.floor.casting import Casting
    from floorboard.floor.events import AnyEvent, Entry
    from floorboard.shop.build import Build
    from floorboard.store.rows import EntryRows

Row = tuple[Any, ...]

# After so many entries what is closed leaves the floor, where each entry would look at it again.
_TIDY_EVERY = 100


@dataclass(slots=True)
class Replay:
    """A replay of the log; `tables` holds rows by key, tables by name, once it has run."""

    builds: Mapping[str, Build]
    ledger: Ledger = field(default_factory=Ledger)
    tables: dict[str, dict[Row, Row]] = field(default_factory=lambda: defaultdict(dict))
    _balances: dict[tuple[str, str], float] = field(default_factory=dict)
    _closed_castings: dict[str, tuple[str, CastingMark]] = field(default_factory=dict)
    _closed_batches: dict[str, tuple[str, BatchMark]] = field(default_factory=dict)

    def run(self, entries: Iterable[Entry]) -> None:
        """Take in the whole log, in order."""
        for count, entry in enumerate(entries):
            if count % _TIDY_EVERY == 0:
                self._put_away()
            self._bring_back(entry.event)
            rows = take_in(self.ledger, entry, self.builds, self._balance, Dirty())
            self._keep_rows(entry, rows)
        for casting in self.ledger.floor.castings.values():
            self._keep_casting(casting)
        for batch in self.ledger.floor.batches.values():
            self._keep_batch(batch)
        self._keep_the_rest()

    def _balance(self, material: str, lot: str) -> float:
        return self._balances.get((material, lot), 0.0)

    def _put_away(self) -> None:
        floor = self.ledger.floor
        castings, batches = list(floor.castings.values()), list(floor.batches.values())
        marks, batch_marks = dict(self.ledger.castings), dict(self.ledger.batches)
        self.ledger.perhaps_closed = {*floor.castings, *floor.batches}
        self.ledger.drop_closed(but=())
        for casting in castings:
            if casting.serial not in floor.castings:
                state = self._keep_casting(casting, marks[casting.serial])
                self._closed_castings[casting.serial] = state, marks[casting.serial]
        for batch in batches:
            if batch.serial not in floor.batches:
                state = self._keep_batch(batch, batch_marks[batch.serial])
                self._closed_batches[batch.serial] = state, batch_marks[batch.serial]

    def _bring_back(self, event: AnyEvent) -> None:
        wanted = {event.touched_batch()}
        back = False
        for serial in event.touched_castings():
            if serial in self._closed_castings:
                state, mark = self._closed_castings.pop(serial)
                casting = casting_from_json(state, self.builds[mark.build])
                self.ledger.floor.castings[serial] = casting
                self.ledger.castings[serial] = mark
                wanted |= {coat.batch for coat in casting.coats}
                back = True
        for name in wanted:
            if name is not None and name in self._closed_batches:
                text, batch_mark = self._closed_batches.pop(name)
                self.ledger.floor.batches[name] = batch_from_json(text)
                self.ledger.batches[name] = batch_mark
                back = True
        if back:
            self.ledger.in_log_order()

    def _keep_rows(self, entry: Entry, rows: EntryRows) -> None:
        for place, work in enumerate(rows.works):
            self.tables["works"][entry.seq, place] = _columns(work)
        for place, move in enumerate(rows.stock):
            self.tables["stock"][entry.seq, place] = _columns(move)
            lot = move.material, move.lot
            self._balances[lot] = self._balances.get(lot, 0.0) + move.grams
        if rows.weighing is not None:
            self.tables["weighings"][(entry.seq,)] = _columns(rows.weighing)
        if rows.reading is not None:
            self.tables["readings"][(entry.seq,)] = _columns(rows.reading)
        at = to_text(entry.at)
        for place, (casting, flag) in enumerate(rows.flags):
            row = (casting, flag.rule, flag.message, flag.amount_seconds, at)
            self.tables["flags"][entry.seq, place] = row

    def _keep_casting(self, casting: Casting, mark: CastingMark | None = None) -> str:
        columns = casting_columns(casting, mark or self.ledger.castings[casting.serial])
        state = casting_to_json(casting)
        self.tables["castings"][(casting.serial,)] = (*list(columns.values())[1:], state)
        return state

    def _keep_batch(self, batch: Batch, mark: BatchMark | None = None) -> str:
        columns = batch_columns(batch, mark or self.ledger.batches[batch.serial])
        state = batch_to_json(batch)
        self.tables["batches"][(batch.serial,)] = (*list(columns.values())[1:], state)
        return state

    def _keep_the_rest(self) -> None:
        floor, tables = self.ledger.floor, self.tables
        for mold, kept in floor.molds.items():
            in_service = None if kept.in_service is None else int(kept.in_service)
            rests = to_text_or_none(kept.rests_until)
            tables["molds"][(mold,)] = (kept.pulls, kept.pulls_at_care, in_service, rests)
        for person, since in floor.away.items():
            tables["away"][(person,)] = (to_text(since),)
        if floor.conditions is not None and floor.conditions_at is not None:
            data = floor.conditions.model_dump_json()
            tables["conditions"][(1,)] = (to_text(floor.conditions_at), data)


def _columns(row: Any) -> Row:
    return tuple(as_column(value) for value in astuple(row))
