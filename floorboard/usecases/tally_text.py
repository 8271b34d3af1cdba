"""A tally as lines of text, no wider than a terminal of 80 columns."""

from __future__ import annotations

from itertools import chain
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.mixing.weight_text import weight_text
from floorboard.usecases.columns import table, wrapped

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Sequence

    from floorboard.mixing.weight_text import Units
    from floorboard.records.tally_model import Counts, Tally

WIDTH = 80
# Carried-over castings told one by one; the counts by stage cover all of them.
MOST_CARRIED = 40

COUNT_HEADS = (
    ("wanted", ""),
    ("begun", "begun"),
    ("demold", "demolded"),
    ("good", "good"),
    ("scrap", "scrapped"),
    ("rework", "sent_back"),
    ("done", "finished"),
    ("sealed", "sealed"),
    ("packed", "packed"),
    ("left", "carried_over"),
)


def tally_lines(tally: Tally, units: Units = "metric") -> Iterator[str]:
    """Yield the tally for a person to read."""
    sections = (
        _head(tally),
        _pieces(tally),
        _rejects(tally),
        _yields(tally),
        _people(tally),
        _orders(tally),
        _carried(tally),
        _molds(tally),
        _materials(tally, units),
        _checks(tally),
    )
    first = True
    for section in sections:
        lines = list(section)
        if lines and not first:
            yield ""
        yield from lines
        first = first and not lines


def minutes_text(minutes: float) -> str:
    """Return a length of time as "6h05"."""
    whole = round(minutes)
    return f"{whole // 60}h{whole % 60:02d}"


def bulk_text(grams: float, units: Units = "metric") -> str:
    """Return a weight that need not be weighed again: from 10 kg up in kilograms."""
    if units == "metric" and abs(grams) >= 10_000:
        return f"{grams / 1000:.1f} kg"
    return weight_text(grams, 1.0 if units == "metric" else 28.349523125, units)


def percent(share: float | None) -> str:
    """Return a share in per cent, or a dash."""
    return "-" if share is None else f"{100 * share:.0f} %"


def when(moment: dt.datetime, tally: Tally) -> str:
    """Return a moment in the shop's zone: the time alone on the tally's last day."""
    local = moment.astimezone(ZoneInfo(tally.zone))
    if local.date() == tally.last_day:
        return f"{local:%H:%M}"
    return f"{local:%a} {local.day} {local:%b %H:%M}"


def _head(tally: Tally) -> Iterator[str]:
    zone = ZoneInfo(tally.zone)
    yield from wrapped(f"{tally.shop}: {tally.title}", WIDTH)
    if tally.start <= tally.as_of < tally.end:
        yield f"As of {tally.as_of.astimezone(zone):%H:%M}; the day is not over."


def _counts(counts: Counts, wanted: int) -> list[str]:
    return [str(getattr(counts, name) if name else wanted) for _, name in COUNT_HEADS]


def _pieces(tally: Tally) -> Iterator[str]:
    rows = [[line.name, *_counts(line.counts, line.wanted)] for line in tally.pieces]
    wanted = sum(line.wanted for line in tally.pieces)
    rows.append(["all", *_counts(tally.counts, wanted)])
    yield from table(["castings", *(head for head, _ in COUNT_HEADS)], rows, WIDTH)
    for check in tally.checks[:2]:
        yield from wrapped(check.sentence, WIDTH)


def _rejects(tally: Tally) -> Iterator[str]:
    rows = [[line.name, str(line.rejected), str(line.sent_back)] for line in tally.reasons]
    yield from table(["reason", "rejected", "sent back"], rows, WIDTH)
    names = {line.reason: line.name for line in tally.reasons}
    for reject in tally.rejects[:MOST_CARRIED]:
        yield from wrapped(
            f"  {reject.casting} {_piece(tally, reject.piece)}, {when(reject.at, tally)}:"
            f" {names.get(reject.reason, reject.reason).lower()}, {reject.stage}",
            WIDTH,
            "    ",
        )


def _piece(tally: Tally, piece: str) -> str:
    return next((line.name for line in tally.pieces if line.piece == piece), piece)


def _yields(tally: Tally) -> Iterator[str]:
    rows = [
        [
            line.name,
            f"{line.good} of {line.total}",
            percent(line.share),
            f"{percent(line.low)} to {percent(line.high)}" if line.total else "",
        ]
        for line in tally.yields
    ]
    yield from table(["yield", "good", "share", "95 % interval"], rows, WIDTH)


def _people(tally: Tally) -> Iterator[str]:
    rows = [
        [
            line.name,
            str(line.begun),
            str(line.layers),
            str(line.demolded),
            str(line.steps),
            str(line.sealed),
            str(line.packed),
            minutes_text(line.used_minutes),
            minutes_text(line.there_minutes),
            percent(line.worker_efficiency),
        ]
        for line in tally.people
    ]
    head = "hands|begun|layers|demold|steps|sealed|packed|used|there|used/there"
    yield from table(head.split("|"), rows, WIDTH)


def _orders(tally: Tally) -> Iterator[str]:
    rows = []
    for line in tally.orders:
        state = line.state
        if line.filled_at is not None:
            state_text = f"{state}, {when(line.filled_at, tally)}"
        else:
            state_text = state
        due = due_words(line.due, tally)
        good = f"{line.good} of {line.quantity}"
        rows.append([line.name, _piece_short(line.piece), good, due, state_text])
    yield from table(["order", "piece", "good", "due", "state"], rows, WIDTH)
    if tally.orders_due:
        yield f"{tally.orders_on_time} of {tally.orders_due} due orders filled in time."


def _piece_short(piece: str) -> str:
    return piece if len(piece) <= 16 else piece[:15] + "…"


def due_words(due: dt.datetime, tally: Tally) -> str:
    """Return when an order is due: a day alone where it is due by its end."""
    local = due.astimezone(ZoneInfo(tally.zone))
    if (local.hour, local.minute) == (0, 0):
        # A date means its end, the midnight after it.
        day = local.date().fromordinal(local.date().toordinal() - 1)
        return f"{day:%a} {day.day} {day:%b}"
    return f"{local:%a} {local.day} {local:%b %H:%M}"


def _carried(tally: Tally) -> Iterator[str]:
    if not tally.stages:
        return
    stages = ", ".join(f"{line.stage} ({line.castings})" for line in tally.stages)
    yield from wrapped(f"In progress: {stages}.", WIDTH)
    for line in tally.carried_over[:MOST_CARRIED]:
        mold = f", mold {line.mold_number or line.mold}" if line.in_mold else ""
        text = f"  {line.casting} {line.name}{mold}: {line.stage}"
        if line.opens_at is not None:
            text += f" from {when(line.opens_at, tally)}"
        if line.closes_at is not None:
            text += f" till {when(line.closes_at, tally)}"
        yield from wrapped(text, WIDTH, "    ")
    left = len(tally.carried_over) - MOST_CARRIED
    if left > 0:
        yield f"  and {left} more"


def _molds(tally: Tally) -> Iterator[str]:
    rows = [
        [
            f"mold {line.number if line.number is not None else line.mold} ({line.piece})",
            str(line.begun),
            str(line.demolded),
            minutes_text(line.held_minutes),
            percent(line.allocation_efficiency),
            percent(line.utilization_efficiency),
        ]
        for line in tally.molds
    ]
    head = "mold|begun|demold|held|allocation|utilization"
    yield from table(head.split("|"), rows, WIDTH)


def _materials(tally: Tally, units: Units) -> Iterator[str]:
    if tally.batches:
        parts = [
            f"{line.name} {line.batches}" + (f" ({line.lost} lost)" if line.lost else "")
            for line in tally.batches
        ]
        yield from wrapped(f"Batches: {', '.join(parts)}.", WIDTH)
    rows = [
        [
            line.name,
            *(
                bulk_text(grams, units)
                for grams in (
                    line.ticket_grams,
                    line.used_grams,
                    line.theory_grams,
                    line.over_theory_grams,
                    line.wasted_grams,
                )
            ),
            "-" if line.cost is None else f"{line.cost:.2f}",
        ]
        for line in tally.materials
    ]
    head = ["material", "ticket", "used", "theory", "over", "wasted", tally.currency or "cost"]
    yield from table(head, rows, WIDTH)
    cost = tally.cost
    if cost is not None and cost.total:
        each = "" if cost.per_good is None else f", {cost.per_good:.2f} a good casting"
        text = (
            f"Cost {tally.currency} {cost.total:.2f}: materials {cost.materials:.2f}, hands"
            f" {cost.hands:.2f}{each}."
        ).replace("Cost  ", "Cost ")
        yield from wrapped(text, WIDTH)
    if cost is not None and cost.unpriced:
        yield from wrapped(f"Without a price: {', '.join(cost.unpriced)}.", WIDTH)


def _checks(tally: Tally) -> Iterator[str]:
    broken: Sequence[str] = [check.sentence for check in tally.checks if not check.holds]
    if broken:
        yield "DOES NOT RECONCILE"
    yield from chain.from_iterable(wrapped("  " + text, WIDTH, "    ") for text in broken)
    yield from chain.from_iterable(wrapped(note, WIDTH) for note in tally.notes)
