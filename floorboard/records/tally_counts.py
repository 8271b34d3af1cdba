"""The counts of a stretch: castings by piece and reason, and the checks that they reconcile."""

from __future__ import annotations

import zoneinfo
from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from floorboard.records.tally_model import CheckLine, Counts, DayLine, RejectLine, YieldLine
from floorboard.records.tally_past import stand_at
from floorboard.records.yields import yield_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from floorboard.floor import history_rows as h
    from floorboard.records.tally_past import Past, Stand, Stretch

_FIELDS = tuple(Counts.model_fields)


@dataclass(slots=True)
class Counted:
    """Counts by piece, and how each casting stood at the two ends."""

    by_piece: dict[str, Counter[str]] = field(default_factory=dict)
    before: dict[str, Stand] = field(default_factory=dict)
    after: dict[str, Stand] = field(default_factory=dict)

    def add(self, piece: str, what: str, number: int = 1) -> None:
        """Count something of a piece."""
        self.by_piece.setdefault(piece, Counter())[what] += number

    def of_piece(self, piece: str) -> Counts:
        """Return the counts of a piece."""
        found = self.by_piece.get(piece, Counter())
        return Counts(**{name: found[name] for name in _FIELDS})

    def all(self) -> Counts:
        """Return the counts of all pieces together."""
        found: Counter[str] = sum(self.by_piece.values(), Counter())
        return Counts(**{name: found[name] for name in _FIELDS})


def count_castings(past: Past, stretch: Stretch) -> Counted:
    """Count castings by how they stood at the start and at the end, and by what was done."""
    counted, start, end = Counted(), stretch.start, stretch.end
    for row in past.castings:
        before, after = stand_at(row, start, past.at_start), stand_at(row, end, past.at_end)
        counted.before[row.serial], counted.after[row.serial] = before, after
        for what in _moves(before, after):
            counted.add(row.piece, what)
        if _within(row.demolded_at, start, end):
            counted.add(row.piece, "demolded")
        if _within(finished_moment(row, past), start, end):
            counted.add(row.piece, "finished")
    pieces = {row.serial: row.piece for row in past.castings}
    for rework in past.reworks:
        if rework.casting in pieces:
            counted.add(pieces[rework.casting], "sent_back")
    for kind in ("seal", "pack"):
        word = "sealed" if kind == "seal" else "packed"
        for serial in last_steps_done(past, kind):
            counted.add(pieces[serial], word)
    return counted


def day_lines(past: Past, counted: Counted, stretch: Stretch) -> tuple[DayLine, ...]:
    """Return the counts of each local day on which something was counted, in order.

    A casting is good on the day of its last step, if it was good at the end of the stretch.
    """
    zone = zoneinfo.ZoneInfo(past.shop.shop.zone)
    days: dict[dt.date, Counter[str]] = {}

    def count(moment: dt.datetime | None, what: str) -> None:
        if _within(moment, stretch.start, stretch.end) and moment is not None:
            days.setdefault(moment.astimezone(zone).date(), Counter())[what] += 1

    for row in past.castings:
        before, after = counted.before[row.serial], counted.after[row.serial]
        count(row.begun_at, "begun")
        count(row.demolded_at, "demolded")
        if after == "good" != before:
            count(finished_moment(row, past), "good")
        if after == "scrapped" != before:
            count(row.rejected_at, "scrapped")
    return tuple(
        DayLine(
            day=day,
            begun=found["begun"],
            demolded=found["demolded"],
            good=found["good"],
            scrapped=found["scrapped"],
        )
        for day, found in sorted(days.items())
    )


def _moves(before: Stand, after: Stand) -> list[str]:
    """Return which counts a casting makes part of, by how it stood at the two ends."""
    found = []
    if before == "not begun":
        found.append("begun")
    if before == "in progress":
        found.append("carried_in")
    if before == "good" and after != "good":
        found.append("brought_back")
    if after == "good" and before != "good":
        found.append("good")
    if after == "scrapped" and before != "scrapped":
        found.append("scrapped")
    if after == "in progress":
        found.append("carried_over")
    return found if after != "not begun" else []


def finished_moment(row: h.CastingRow, past: Past) -> dt.datetime | None:
    """Return when a casting's last step was done, as known at the end of the stretch."""
    folded = past.at_end.get(row.serial)
    return folded.finished_at if folded is not None else row.finished_at


def reworks_of(row: h.CastingRow, past: Past) -> int:
    """Return how often a casting had been sent back by the end of the stretch."""
    folded = past.at_end.get(row.serial)
    return folded.rework if folded is not None else row.rework


def last_steps_done(past: Past, kind: str) -> dict[str, h.WorkRow]:
    """Return the castings whose last step of a kind (seal, pack) was done, with that work."""
    builds = {row.serial: row.build for row in past.castings}
    last: dict[str, int] = {}
    found: dict[str, h.WorkRow] = {}
    for work in past.works:
        if work.step_kind != kind or work.casting not in builds:
            continue
        digest = builds[work.casting]
        if digest not in last:
            route = past.builds[digest].piece.route
            last[digest] = max(i for i, step in enumerate(route) if step.kind == kind)
        if work.number == last[digest]:
            found[work.casting] = work
    return found


def _within(moment: dt.datetime | None, start: dt.datetime, end: dt.datetime) -> bool:
    return moment is not None and start <= moment < end


def reject_lines(past: Past, stretch: Stretch) -> tuple[RejectLine, ...]:
    """Return the castings rejected in the stretch, in order of time."""
    found = []
    for row in past.castings:
        at = row.rejected_at
        if at is None or not stretch.start <= at < stretch.end:
            continue
        found.append(
            RejectLine(
                casting=row.serial,
                piece=row.piece,
                mold=row.mold,
                at=at,
                reason=row.reason or "other",
                stage=_reject_stage(row, past),
            )
        )
    return tuple(sorted(found, key=lambda line: (line.at, line.casting)))


def _reject_stage(row: h.CastingRow, past: Past) -> str:
    piece = past.builds[row.build].piece
    layer = "" if row.reject_layer is None else f"layer {row.reject_layer + 1}"
    if row.reject_step is not None and row.reject_step < len(piece.route):
        step = piece.route[row.reject_step]
        return ", ".join(filter(None, (step.name or step.kind, layer)))
    if row.demolded_at is not None:
        return ", ".join(filter(None, ("after the mold", layer)))
    return layer or "in the mold"


def checks(past: Past, counted: Counted) -> tuple[CheckLine, ...]:
    """Hold the counts against each other and against the log itself."""
    return (
        _flow_check(counted.all()),
        _cohort_check(counted),
        *(_log_check(count) for count in past.log_counts),
    )


def _flow_check(counts: Counts) -> CheckLine:
    came = counts.carried_in + counts.begun + counts.brought_back
    went = counts.good + counts.scrapped + counts.carried_over
    back = f" + {counts.brought_back} brought back" if counts.brought_back else ""
    sentence = (
        f"{counts.carried_in} carried in + {counts.begun} begun{back} = {counts.good} good"
        f" + {counts.scrapped} scrapped + {counts.carried_over} carried over"
    )
    if came != went:
        sentence += f": {came} is not {went}"
    return CheckLine(name="flow", holds=came == went, sentence=sentence + ".")


def _cohort_check(counted: Counted) -> CheckLine:
    ends = Counter(
        counted.after[serial] for serial, stand in counted.before.items() if stand == "not begun"
    )
    begun = sum(ends.values()) - ends["not begun"]
    right = ends["good"] + ends["scrapped"] + ends["in progress"]
    sentence = (
        f"Of {begun} begun: {ends['good']} good, {ends['scrapped']} scrapped,"
        f" {ends['in progress']} in progress."
    )
    return CheckLine(name="begun", holds=begun == right, sentence=sentence)


def _log_check(count: h.LogCount) -> CheckLine:
    """The log's own entries of a kind, less those taken for nothing, against the castings."""
    odd = f", {count.not_taken} of them twice or of nothing known" if count.not_taken else ""
    sentence = (
        f"The log has {count.entries} entries '{count.kind}'{odd}; "
        f"the castings say {count.castings}."
    )
    holds = count.castings == count.entries - count.not_taken
    return CheckLine(name=f"log: {count.kind}", holds=holds, sentence=sentence)


def yield_lines(past: Past, counted: Counted, stretch: Stretch) -> tuple[YieldLine, ...]:
    """Return the yields of what came to a verdict, and of what came out of the molds."""
    good_first = good = scrapped = 0
    for row in past.castings:
        before, after = counted.before[row.serial], counted.after[row.serial]
        if after == "good" and before != "good":
            good += 1
            good_first += reworks_of(row, past) == 0
        scrapped += after == "scrapped" and before != "scrapped"
    in_mold = sum(
        row.demolded_at is None or row.demolded_at >= (row.rejected_at or stretch.end)
        for row in past.castings
        if _within(row.rejected_at, stretch.start, stretch.end)
    )
    demolded = sum(_within(row.demolded_at, stretch.start, stretch.end) for row in past.castings)
    return (
        _line("out of the mold", demolded, demolded + in_mold),
        _line("good at last", good, good + scrapped),
        _line("good without rework", good_first, good + scrapped),
    )


def _line(name: str, good: int, total: int) -> YieldLine:
    found = yield_of(good, total)
    return YieldLine(
        name=name, good=good, total=total, share=found.share, low=found.low, high=found.high
    )


def reason_counts(past: Past, rejects: Sequence[RejectLine]) -> dict[str, tuple[int, int]]:
    """Return castings rejected and times sent back, by reason, most rejected first."""
    rejected = Counter(line.reason for line in rejects)
    known = {row.serial for row in past.castings}
    back = Counter(row.reason for row in past.reworks if row.casting in known)
    reasons = sorted(
        rejected.keys() | back.keys(), key=lambda name: (-rejected[name], -back[name], name)
    )
    return {name: (rejected[name], back[name]) for name in reasons}
