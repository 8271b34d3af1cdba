"""What an entry amounts to: work ended, material used, readings taken."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.store.rows import BatchWeighing, EntryRows, Reading, StockMove, Work

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Mapping

    from floorboard.floor.casting import Casting
    from floorboard.store.ledger import Ledger


_CASTING_WORK = frozenset({"layer begun", "layer applied", "mold readied", "demolded"})
_STOCK = frozenset({"lot received", "lot opened", "stock wasted", "stock counted"})


@dataclass(frozen=True, slots=True)
class Glimpse:
    """A casting as it was just before an entry; `begun`, `applied`, `done` of the entry's part.

    `layers_applied` and `next_step` are looked up only for an entry that rejects.
    """

    flags: int
    readied: bool
    demolded: bool
    rejected: bool
    layers_applied: int
    next_step: int
    layer: int | None
    step: int | None
    begun: bool
    applied: bool
    done: bool

    @classmethod
    def of(cls, casting: Casting, event: e.AnyEvent) -> Glimpse:
        """Look at a casting before folding an event about it."""
        # Kinds are compared, not classes: asking pydantic's classes costs more than all the rest.
        layer = step = None
        if event.kind == "layer begun" or event.kind == "layer applied":
            layer = event.layer
        elif event.kind == "step begun" or event.kind == "step done":
            step = event.step
        rejected = event.kind == "casting rejected"
        coat = casting.coats[layer] if layer is not None and layer < len(casting.coats) else None
        work = casting.steps[step] if step is not None and step < len(casting.steps) else None
        return cls(
            flags=len(casting.flags),
            readied=casting.readied_at is not None,
            demolded=casting.demolded_at is not None,
            rejected=casting.rejected_at is not None,
            layers_applied=casting.layers_applied if rejected else 0,
            next_step=casting.next_step if rejected else 0,
            layer=layer if coat is not None else None,
            step=step if work is not None else None,
            begun=coat is not None and coat.begun_at is not None,
            applied=coat is not None and coat.applied_at is not None,
            done=work is not None and work.done_at is not None,
        )

    def newly_begun(self, casting: Casting) -> bool:
        """Whether the entry began its layer."""
        if self.layer is None or self.begun:
            return False
        return casting.coats[self.layer].begun_at is not None

    def newly_applied(self, casting: Casting) -> bool:
        """Whether the entry ended its layer."""
        if self.layer is None or self.applied:
            return False
        return casting.coats[self.layer].applied_at is not None

    def newly_done(self, casting: Casting) -> bool:
        """Whether the entry ended its finishing step."""
        if self.step is None or self.done:
            return False
        return casting.steps[self.step].done_at is not None


def add_rows(
    rows: EntryRows,
    ledger: Ledger,
    entry: e.Entry,
    before: Mapping[str, Glimpse],
    balance: Callable[[str, str], float],
) -> None:
    """Add the rows of an entry just folded; `before` is how its castings were."""
    event = entry.event
    kind = event.kind
    if kind in _CASTING_WORK:
        (serial,) = event.touched_castings()
        if serial in before:
            casting = ledger.floor.castings[serial]
            _casting_work(rows, ledger, entry, casting, before[serial])
    elif event.kind == "material weighed":
        _weighed(rows, ledger, entry, event)
    elif event.kind == "step done":
        _step_work(rows, ledger, entry, event, before)
    elif event.kind == "batch lost":
        _batch_made(rows, ledger, entry, event.batch, entry.at)
    elif event.kind == "casting weighed" or event.kind == "wall read":
        if event.casting in before:
            rows.reading = _reading(ledger.floor.castings[event.casting], entry)
    elif event.kind == "solution made":
        rows.stock += _made_up(entry.at, event)
    elif kind in _STOCK:
        rows.stock.append(_stock(entry, balance))


def _work(casting: Casting, entry: e.Entry, **fields: object) -> Work:
    plain = Work(
        kind="ready",
        casting=casting.serial,
        number=0,
        step_kind=None,
        piece=casting.piece_id,
        mold=casting.mold,
        mix=None,
        batch=None,
        person=entry.person,
        station=entry.station,
        begun_at=None,
        ended_at=entry.at,
    )
    return replace(plain, **fields)  # type: ignore[arg-type]


def _casting_work(
    rows: EntryRows, ledger: Ledger, entry: e.Entry, casting: Casting, before: Glimpse
) -> None:
    event = entry.event
    if event.kind == "mold readied" and not before.readied:
        person = entry.person or casting.begun_by
        rows.works.append(_work(casting, entry, begun_at=casting.begun_at, person=person))
    elif event.kind == "demolded" and not before.demolded:
        rows.works.append(
            _work(
                casting,
                entry,
                kind="demold",
                begun_at=casting.demold_begun_at,
                person=casting.demold_by,
            )
        )
    elif event.kind == "layer begun" and before.newly_begun(casting):
        _batch_made(rows, ledger, entry, casting.coats[event.layer].batch, entry.at)
    elif event.kind == "layer applied" and before.newly_applied(casting):
        coat = casting.coats[event.layer]
        _batch_made(rows, ledger, entry, coat.batch, coat.begun_at or entry.at)
        rows.works.append(
            _work(
                casting,
                entry,
                kind="layer",
                number=event.layer,
                mix=casting.build.piece.layers[event.layer].mix,
                batch=coat.batch,
                person=coat.person,
                begun_at=coat.begun_at,
            )
        )


def _batch_made(
    rows: EntryRows, ledger: Ledger, entry: e.Entry, serial: str | None, at: dt.datetime
) -> None:
    """End the making of a batch when it is first poured, or lost before that."""
    if serial is None or serial not in ledger.batches:
        return
    mark, batch = ledger.batches[serial], ledger.floor.batches[serial]
    if mark.made_at is not None:
        return
    ledger.batches[serial] = replace(mark, made_at=at)
    rows.works.append(
        Work(
            kind="batch",
            casting=None,
            number=len(batch.servings),
            step_kind=None,
            piece=None,
            mold=None,
            mix=batch.mix,
            batch=serial,
            person=batch.person,
            station=entry.station,
            begun_at=batch.begun_at,
            ended_at=at,
        )
    )


def _step_work(
    rows: EntryRows,
    ledger: Ledger,
    entry: e.Entry,
    event: e.StepDone,
    before: Mapping[str, Glimpse],
) -> None:
    castings = [ledger.floor.castings[serial] for serial in before]
    done = [casting for casting in castings if before[casting.serial].newly_done(casting)]
    for casting in done:
        step, work = casting.build.piece.route[event.step], casting.steps[event.step]
        rows.works.append(
            _work(
                casting,
                entry,
                kind="step",
                number=event.step,
                step_kind=step.kind,
                person=work.person,
                begun_at=work.begun_at,
                shared_by=len(done),
            )
        )
        rows.stock += [
            StockMove(
                material,
                event.lots.get(material, ""),
                -float(grams),
                "step",
                entry.at,
                casting=casting.serial,
            )
            for material, grams in step.uses.items()
        ]


def _weighed(rows: EntryRows, ledger: Ledger, entry: e.Entry, event: e.MaterialWeighed) -> None:
    batch = ledger.floor.batches.get(event.batch)
    rows.weighing = BatchWeighing(
        batch=event.batch,
        mix=batch.mix if batch is not None else None,
        material=event.material,
        lot=event.lot or "",
        target_grams=event.target_grams,
        grams=event.grams,
        at=entry.at,
        person=entry.person,
    )
    rows.stock.append(
        StockMove(
            event.material, event.lot or "", -event.grams, "weighed", entry.at, batch=event.batch
        )
    )


def _reading(casting: Casting, entry: e.Entry) -> Reading:
    event = entry.event
    assert isinstance(event, e.CastingWeighed | e.WallRead)
    wall = isinstance(event, e.WallRead)
    return Reading(
        kind="wall" if wall else "weight",
        casting=casting.serial,
        piece=casting.piece_id,
        mold=casting.mold,
        value=event.millimetres if isinstance(event, e.WallRead) else event.grams,
        point=event.point if isinstance(event, e.WallRead) else "",
        at=entry.at,
        person=entry.person,
    )


def _stock(entry: e.Entry, balance: Callable[[str, str], float]) -> StockMove:
    event, at = entry.event, entry.at
    match event:
        case e.LotReceived():
            return StockMove(
                event.material,
                event.lot,
                event.grams,
                "received",
                at,
                expires=event.expires,
                cost=event.cost,
            )
        case e.LotOpened():
            return StockMove(event.material, event.lot, 0.0, "opened", at)
        case e.StockWasted():
            return StockMove(event.material, event.lot or "", -event.grams, "wasted", at)
        case e.StockCounted():
            # Sums of many weights differ in their last bits by how they were added up.
            found_more = round(event.grams - balance(event.material, event.lot), 6)
            return StockMove(event.material, event.lot, found_more, "counted", at)
        case _:
            raise TypeError(f"{event.kind} is no stock event")


def _made_up(at: dt.datetime, event: e.SolutionMade) -> list[StockMove]:
    made = StockMove(event.material, event.lot, event.grams, "made up", at, expires=event.expires)
    takings = [
        StockMove(one.material, one.lot or "", -one.grams, "into lot", at) for one in event.takings
    ]
    return [made, *takings]
