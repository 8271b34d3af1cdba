"""Yields of castings that came to a verdict: by stage, and by what they may depend on.

A casting came to a verdict when it was finished or scrapped. It was good the first time when it
was never sent back either.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter
from functools import partial
from typing import TYPE_CHECKING

from floorboard.records.quality_model import DefectLine, GroupYield, StageYield, YieldGroups
from floorboard.records.room_air import can_be_a_room
from floorboard.records.yields import (
    LEAST_TO_COMPARE,
    compare_yields,
    rolled_throughput_yield,
    yield_of,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from floorboard.floor import history_rows as h
    from floorboard.records.yields import RolledYield
    from floorboard.shop.shop import Shop

Names = dict[str, str]
# Temperatures are told apart in steps of so many degrees; the shop's own rule, no source.
STEP_CELSIUS = 5
# More lots than this are told by the worst of them only.
MOST_GROUPS = 30


def scrapped(row: h.CastingRow) -> bool:
    """Whether a casting was rejected."""
    return row.rejected_at is not None


def first_time(row: h.CastingRow) -> bool:
    """Whether a casting is good and was never sent back."""
    return row.rejected_at is None and row.rework == 0


def stage_yields(made: Sequence[h.MadeRow]) -> tuple[tuple[StageYield, ...], RolledYield]:
    """Return the first pass yields of every layer, of cure, demold and finishing, and them rolled.

    A casting rejected at a stage never came to the next. One rejected out of the mold before any
    step of its route was done failed at demold; one sent back, or rejected later, in finishing.
    """
    order: dict[str, int] = {}
    came: Counter[str] = Counter()
    failed: Counter[str] = Counter()
    for one in made:
        failure = _failed_at(one)
        for place, stage in _stages(one):
            order[stage] = place
            came[stage] += 1
            if stage == failure:
                failed[stage] += 1
                break
    lines, yields = [], []
    for stage in sorted(order, key=lambda stage: order[stage]):
        passed = came[stage] - failed[stage]
        found = yield_of(passed, came[stage])
        yields.append(found)
        lines.append(
            StageYield(
                stage=stage, passed=passed, total=came[stage], share=found.share, low=found.low,
                high=found.high,
            )
        )  # fmt: skip
    return tuple(lines), rolled_throughput_yield(yields)


def _stages(one: h.MadeRow) -> Iterator[tuple[int, str]]:
    """Yield the stages of a casting as far as it came, with their places in the order of work."""
    reached = 0 if one.casting.reject_layer is None else one.casting.reject_layer + 1
    for number in range(1, max(reached, len(one.coats)) + 1):
        yield number, f"layer {number}"
    yield 1001, "curing in the mold"
    yield 1002, "demold"
    yield 1003, "finishing"


def _failed_at(one: h.MadeRow) -> str | None:
    """Return the stage a casting did not pass the first time, if there is one."""
    row = one.casting
    if not scrapped(row):
        return "finishing" if row.rework else None
    if row.demolded_at is None:
        if row.reject_layer is None:
            return "curing in the mold"
        return f"layer {row.reject_layer + 1}"
    return "demold" if row.rework == 0 and row.reject_step in {None, 0} else "finishing"


def yield_groups(
    made: Sequence[h.MadeRow],
    shop: Shop,
    lots: Mapping[str, set[tuple[str, str]]],
    air: Sequence[h.AirRow],
) -> tuple[YieldGroups, ...]:
    """Return yields by piece, mold, person, mix lot and temperature."""
    molds = {key: f"mold {mold.number} ({mold.piece})" for key, mold in shop.molds.items()}
    people = {key: person.name for key, person in shop.people.items()}
    pieces = {key: piece.name for key, piece in shop.pieces.items()}
    # A reading that cannot be tells nothing: the one before it stands.
    air = [row for row in air if can_be_a_room(row.room_celsius)]
    moments = [row.at for row in air]

    def temperature(one: h.MadeRow) -> Iterable[str]:
        place = bisect_right(moments, one.casting.begun_at)
        if place == 0:
            return ()
        low = int(air[place - 1].room_celsius // STEP_CELSIUS) * STEP_CELSIUS
        return (f"{low} to {low + STEP_CELSIUS} C",)

    return (
        _groups("piece", made, lambda one: (one.casting.piece,), pieces),
        _groups("mold", made, lambda one: (one.casting.mold,), molds),
        _groups("person", made, layers_by, people),
        _groups("temperature", made, temperature, {}),
        *_by_lot(made, shop, lots),
    )


def _by_lot(
    made: Sequence[h.MadeRow], shop: Shop, lots: Mapping[str, set[tuple[str, str]]]
) -> Iterator[YieldGroups]:
    """Yield the lots of each material of which castings took more than one.

    Lots of different materials are in the same castings and cannot be told apart by them.
    """
    taken: dict[str, list[tuple[h.MadeRow, str]]] = {}
    for one in made:
        batches = [coat.batch for coat in one.coats if coat.batch]
        for material, lot in sorted({pair for b in batches for pair in lots.get(b, ())}):
            taken.setdefault(material, []).append((one, lot))
    for material, pairs in sorted(taken.items()):
        by_casting: dict[str, list[str]] = {}
        for one, lot in pairs:
            by_casting.setdefault(one.casting.serial, []).append(lot)
        if len({lot for _, lot in pairs}) > 1:
            known = shop.materials.get(material)
            name = known.name if known is not None else material
            some = [one for one in made if one.casting.serial in by_casting]
            yield _groups(f"lot of {name}", some, partial(_lots_of, by_casting), {})


def _lots_of(by_casting: Mapping[str, Sequence[str]], one: h.MadeRow) -> Sequence[str]:
    return by_casting[one.casting.serial]


def layers_by(one: h.MadeRow) -> tuple[str, ...]:
    """Return who applied the most of a casting's layers; no one if none is known."""
    people = Counter(coat.person for coat in one.coats if coat.person)
    if not people:
        return ()
    most = max(people.values())
    return (min(person for person, count in people.items() if count == most),)


def _groups(
    by: str,
    made: Sequence[h.MadeRow],
    groups_of: Callable[[h.MadeRow], Iterable[str]],
    names: Names,
) -> YieldGroups:
    counts: dict[str, list[int]] = {}
    for one in made:
        for group in groups_of(one):
            sums = counts.setdefault(group, [0, 0, 0])
            sums[0] += 1
            sums[1] += not scrapped(one.casting)
            sums[2] += first_time(one.casting)
    lines = []
    for group in sorted(counts, key=_in_order):
        total, good, first = counts[group]
        found = yield_of(first, total)
        lines.append(
            GroupYield(
                group=group,
                name=names.get(group, group),
                good=good,
                first_time=first,
                total=total,
                share=found.share,
                low=found.low,
                high=found.high,
            )
        )
    if len(lines) > MOST_GROUPS:
        lines.sort(key=lambda line: (line.high or 0.0, line.group))
        lines = sorted(lines[:MOST_GROUPS], key=lambda line: _in_order(line.group))
    return YieldGroups(by=by, groups=tuple(lines), sentence=_compared(lines))


def _in_order(group: str) -> tuple[tuple[int, int, str], ...]:
    """Sort groups as people count: 5 to 10 C before 10 to 15 C, lot 9 before lot 10."""
    parts = re.findall(r"^-?[0-9]+|[0-9]+|[^0-9]+", group)
    return tuple(
        (0, int(part), "") if part.lstrip("-").isdecimal() else (1, 0, part) for part in parts
    )


def _compared(lines: Sequence[GroupYield]) -> str:
    """Say which groups differ; those of a handful of castings are counted, not compared."""
    enough = {
        line.name: (line.first_time, line.total) for line in lines if line.total >= LEAST_TO_COMPARE
    }
    sentence = compare_yields(enough).sentence
    few = len(lines) - len(enough)
    if few:
        are = "1 is not compared: it has" if few == 1 else f"{few} are not compared: they have"
        sentence += f" {are} under {LEAST_TO_COMPARE} castings."
    return sentence


def defect_lines(
    made: Sequence[h.MadeRow],
    inspections: Sequence[h.InspectionRow],
    reworks: Sequence[h.ReworkRow],
    shop: Shop,
) -> tuple[DefectLine, ...]:
    """Return defects by reason and layer, in how many castings each, most first.

    A casting counts once for a reason and layer, whether the defect was seen at inspection, sent
    it back or had it rejected.
    """
    seen: dict[tuple[str, int | None], set[str]] = {}
    for row in inspections:
        for defect in row.defects:
            layer = None if row.layer is None else row.layer + 1
            seen.setdefault((defect, layer), set()).add(row.casting)
    for back in reworks:
        seen.setdefault((back.reason, _layer_seen(seen, back.reason, back.casting)), set()).add(
            back.casting
        )
    rejected: Counter[tuple[str, int | None]] = Counter()
    for one in made:
        row_ = one.casting
        if row_.rejected_at is None:
            continue
        reason = row_.reason or "other"
        layer = row_.reject_layer
        known = layer + 1 if layer is not None else _layer_seen(seen, reason, row_.serial)
        seen.setdefault((reason, known), set()).add(row_.serial)
        rejected[reason, known] += 1
    names = {key: reason.name for key, reason in shop.reasons.items()}
    lines = [
        DefectLine(
            reason=reason,
            name=names.get(reason, reason),
            layer=layer,
            castings=len(castings),
            rejected=rejected[reason, layer],
        )
        for (reason, layer), castings in seen.items()
    ]
    return tuple(sorted(lines, key=lambda line: (-line.castings, line.reason, line.layer or 0)))


def _layer_seen(
    seen: Mapping[tuple[str, int | None], set[str]], reason: str, casting: str
) -> int | None:
    """Return the layer an inspection gave for the same defect of the same casting."""
    return next(
        (layer for (one, layer), castings in seen.items() if one == reason and casting in castings),
        None,
    )
