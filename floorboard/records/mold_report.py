"""Pulls, care and wear of the molds from the log, and when a new one must be ordered.

A mold taken out of service as worn out, and not put back, counts as worn out at the pulls it had
made; one in service, or taken out for another reason, as having lasted so far. Where the log does
not say why one was taken out, it counts as worn out only if it had made the pulls that the shop
retires its molds at.
"""

from __future__ import annotations

import datetime as dt
import math
import zoneinfo
from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from floorboard.records.mold_life import mold_forecast
from floorboard.records.mold_report_model import DemandLine, MoldLine, MoldReport, WearNote

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from floorboard.floor import history_rows as h
    from floorboard.records.mold_life import MoldForecast
    from floorboard.shop.shop import Shop

# The reason for a reject that tells of the mold's own wear.
WEAR_REASONS = frozenset({"mold-tear"})
# Notes shown of each mold.
MOST_NOTES = 5


@dataclass(frozen=True, slots=True)
class MoldPast:
    """What is read for the report.

    Parameters
    ----------
    pulls
        Pulls logged of each mold, and those at its last care.
    recent
        Pulls of each mold in the last `recent_days` days.
    missing
        Castings that open orders still miss, as (local due day, piece, number), earliest first.
    under_way
        Castings in progress by piece: they come to fill what is missing without another pull.
    """

    shop: Shop
    pieces_of_molds: Mapping[str, str]
    pulls: Mapping[str, tuple[int, int]]
    recent: Mapping[str, int]
    recent_days: int
    events: Sequence[h.MoldEventRow] = ()
    notes: Sequence[h.MoldEventRow] = ()
    wear_rejects: Mapping[str, int] = field(default_factory=dict)
    missing: Sequence[tuple[dt.date, str, int]] = ()
    under_way: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Use:
    """What is to become of the molds in service, by piece.

    `serving` counts them; `pours` are the pulls that open orders still ask of them up to each due
    day.
    """

    serving: Mapping[str, int]
    pours: Mapping[str, Sequence[tuple[dt.date, int]]]


def mold_report(past: MoldPast, now: dt.datetime, lead_days: int) -> MoldReport:
    """Return the report as of a moment.

    Parameters
    ----------
    lead_days
        From ordering a mold until it can be used.
    """
    today = now.astimezone(zoneinfo.ZoneInfo(past.shop.shop.zone)).date()
    serving = {mold for mold in _molds(past) if in_service(past, mold)}
    use = _Use(
        serving=Counter(_piece(past, mold) for mold in serving),
        pours={piece: _to_pour(past, piece) for _, piece, _ in past.missing},
    )
    lines = [
        _line(past, mold, today, lead_days, use if mold in serving else None)
        for mold in _molds(past)
    ]
    lines.sort(key=lambda line: (line.number or 10**9, line.mold))
    demand = _demand(past, lines, use)
    sentences = [
        f"{_label(line)} is due for care: {line.pulls_since_care} pulls since the last."
        for line in lines
        if line.care_due and line.in_service
    ]
    sentences += [
        _order(line, line.order_by, today)
        for line in lines
        if line.order_by is not None and line.order_by <= today + dt.timedelta(days=lead_days)
    ]
    sentences += [line.sentence for line in demand if line.short_before is not None]
    return MoldReport(as_of=now, molds=tuple(lines), demand=demand, sentences=tuple(sentences))


def _order(line: MoldLine, by: dt.date, today: dt.date) -> str:
    when = "now" if by <= today else f"by {day_words(by)}"
    left = "no pulls" if line.pulls_left == 0 else f"{line.pulls_left} pulls"
    return f"Order a new mold of {line.name} {when}: {_label(line)} has {left} left."


def day_words(date: dt.date) -> str:
    """Return a day as people write it."""
    return f"{date.day} {date:%B %Y}"


def _molds(past: MoldPast) -> list[str]:
    return list(dict.fromkeys([*past.shop.molds, *past.pulls]))


def _label(line: MoldLine) -> str:
    return f"Mold {line.number if line.number is not None else line.mold}"


def _pulls(past: MoldPast, mold: str) -> int:
    known = past.shop.molds.get(mold)
    return (known.pulls if known is not None else 0) + past.pulls.get(mold, (0, 0))[0]


def in_service(past: MoldPast, mold: str) -> bool:
    """Whether a mold is in service: as last logged, else as the shop has it."""
    last = _last_change(past, mold)
    if last is not None:
        return last.kind == "mold put back"
    known = past.shop.molds.get(mold)
    return known.in_service if known is not None else False


def _worn_out(past: MoldPast, mold: str) -> bool:
    """Whether a mold is out of service because it wore out."""
    if in_service(past, mold):
        return False
    last = _last_change(past, mold)
    if last is not None and last.cause is not None:
        return last.cause == "worn out"
    known = past.shop.molds.get(mold)
    retire_at = known.retire_at if known is not None else None
    return retire_at is not None and _pulls(past, mold) >= retire_at


def _last_change(past: MoldPast, mold: str) -> h.MoldEventRow | None:
    """Return the last entry that took a mold out of service or put it back."""
    changes = (e for e in reversed(past.events) if e.mold == mold and e.kind != "mold cared for")
    return next(changes, None)


def _piece(past: MoldPast, mold: str) -> str:
    known = past.shop.molds.get(mold)
    return known.piece if known is not None else past.pieces_of_molds.get(mold, "")


def _forecast(past: MoldPast, mold: str) -> MoldForecast:
    """Forecast from all molds of the piece that made a pull."""
    piece = _piece(past, mold)
    alike = [m for m in _molds(past) if _piece(past, m) == piece and _pulls(past, m) > 0]
    known = past.shop.molds.get(mold)
    label = f"Mold {known.number}" if known is not None else f"Mold {mold}"
    return mold_forecast(
        label,
        _pulls(past, mold),
        [float(_pulls(past, m)) for m in alike],
        [_worn_out(past, m) for m in alike],
    )


def _line(past: MoldPast, mold: str, today: dt.date, lead_days: int, use: _Use | None) -> MoldLine:
    """Return what is said of a mold; `use` is None of one that is not in service."""
    known = past.shop.molds.get(mold)
    pulls, forecast = _pulls(past, mold), _forecast(past, mold)
    logged, at_care = past.pulls.get(mold, (0, 0))
    care_every = known.care_every if known is not None else None
    since_care = logged - at_care
    if known is not None and not any(
        e.mold == mold and e.kind == "mold cared for" for e in past.events
    ):
        # Before the log, a mold is taken to have had its care whenever it was due.
        since_care += known.pulls % care_every if care_every else known.pulls
    retire_at = known.retire_at if known is not None else None
    limits = [limit for limit in (retire_at, forecast.retire_at_pulls) if limit is not None]
    left = max(0, min(limits) - pulls) if limits else None
    rate = past.recent.get(mold, 0) / past.recent_days
    piece = _piece(past, mold)
    used_up = None if use is None else _used_up_on(use, piece, today, left, rate)
    order_by = None if used_up is None else used_up - dt.timedelta(days=lead_days)
    pieces = past.shop.pieces
    return MoldLine(
        mold=mold,
        number=known.number if known is not None else None,
        piece=piece,
        name=pieces[piece].name if piece in pieces else piece,
        in_service=use is not None,
        pulls=pulls,
        pulls_since_care=since_care,
        care_every=care_every,
        care_due=care_every is not None and since_care >= care_every,
        rejects_for_wear=past.wear_rejects.get(mold, 0),
        retire_at=retire_at,
        method=forecast.method,
        expected_left=forecast.remaining_pulls,
        advised_pulls=forecast.retire_at_pulls,
        pulls_left=left,
        pulls_a_day=rate,
        used_up_on=used_up,
        order_by=order_by,
        sentence=forecast.sentence,
        notes=_notes(past, mold),
    )


def _used_up_on(
    use: _Use, piece: str, today: dt.date, left: int | None, rate: float
) -> dt.date | None:
    """Return the day a mold's pulls are used up: at the recent rate, or by orders if sooner."""
    by_orders = None
    if left is not None:
        # The molds of a piece are taken to share what is to be poured evenly.
        all_left, pours = left * use.serving[piece], use.pours.get(piece, ())
        by_orders = next((max(due, today) for due, pulls in pours if pulls > all_left), None)
    days = (by_orders, _day_after(today, left, rate))
    return min((day for day in days if day is not None), default=None)


def _to_pour(past: MoldPast, piece: str) -> list[tuple[dt.date, int]]:
    """Return the pulls that open orders still ask of a piece's molds up to each due day."""
    found, pulls = [], -past.under_way.get(piece, 0)
    for due, of, number in past.missing:
        if of == piece:
            pulls += number
            found.append((due, max(0, pulls)))
    return found


def _day_after(today: dt.date, left: int | None, rate: float) -> dt.date | None:
    if left == 0:
        return today
    if left is None or rate <= 0:
        return None
    days = math.floor(left / rate)
    # Beyond ten years the rate says nothing.
    return None if days > 3650 else today + dt.timedelta(days=days)


def _notes(past: MoldPast, mold: str) -> tuple[WearNote, ...]:
    rows = [row for row in (*past.events, *past.notes) if row.mold == mold]
    told = [row for row in rows if row.note or row.kind == "mold taken out"]
    latest = sorted(told, key=lambda row: row.seq)[-MOST_NOTES:]
    return tuple(WearNote(at=row.at, what=row.kind, note=row.note) for row in latest)


def _demand(past: MoldPast, lines: Sequence[MoldLine], use: _Use) -> tuple[DemandLine, ...]:
    """Hold the pulls left in a piece's molds against what open orders still miss, by due day."""
    found = []
    for piece in dict.fromkeys(piece for _, piece, _ in past.missing):
        molds = [line for line in lines if line.piece == piece and line.in_service]
        lefts = [line.pulls_left for line in molds]
        left = None if any(one is None for one in lefts) else sum(one or 0 for one in lefts)
        missing = sum(number for _, of, number in past.missing if of == piece)
        pours = use.pours[piece]
        short_before = next((due for due, n in pours if left is not None and n > left), None)
        known = past.shop.pieces.get(piece)
        name = known.name if known is not None else piece
        found.append(
            DemandLine(
                piece=piece,
                name=name,
                molds_in_service=len(molds),
                missing=missing,
                pulls_left=left,
                short_before=short_before,
                sentence=_say(name, len(molds), missing, left, short_before),
            )
        )
    return tuple(found)


def _say(
    name: str, molds: int, missing: int, left: int | None, short_before: dt.date | None
) -> str:
    if not molds:
        return f"No mold of {name} is in service; open orders miss {missing} castings."
    have = f"The mold of {name} has" if molds == 1 else f"The {molds} molds of {name} have"
    if left is None:
        return (
            f"Open orders miss {missing} castings of {name}; what its molds have left is unknown."
        )
    if short_before is None:
        return f"{have} {left} pulls left; open orders miss {missing}."
    return (
        f"{have} {left} pulls left and open orders miss {missing}: a new one is needed before"
        f" {day_words(short_before)}."
    )
