"""A tally with more of everything than any sheet holds, and names made to break a page."""

from __future__ import annotations

import datetime as dt

from floorboard.records.quality_model import PieceQuality, QualityReport, WeightChart, WeightPoint
from floorboard.records.tally_model import (
    CarriedLine,
    Counts,
    DayLine,
    MaterialLine,
    MoldLine,
    OrderLine,
    PersonLine,
    PieceLine,
    ReasonLine,
    RejectLine,
    Tally,
)

AT = dt.datetime(2026, 3, 12, 14, 0, tzinfo=dt.UTC)
HOSTILE = "<script>alert(1)</script> =1+1 猫 Ornamental bowl with a very long name " * 3


def busy(tally: Tally) -> Tally:
    """Return the tally with every list far longer than a page."""
    day = tally.first_day
    return tally.model_copy(
        update={
            "pieces": tuple(
                PieceLine(piece=f"p{n}", name=f"{n} {HOSTILE}", wanted=n, counts=Counts(good=n))
                for n in range(30)
            ),
            "days": tuple(
                DayLine(day=day + dt.timedelta(days=n), begun=9, demolded=9, good=8, scrapped=n % 3)
                for n in range(365)
            ),
            "people": tuple(_person(n) for n in range(15)),
            "reasons": tuple(
                ReasonLine(reason=f"r{n}", name=HOSTILE, rejected=n, sent_back=1) for n in range(12)
            ),
            "rejects": tuple(_reject(n) for n in range(60)),
            "carried_over": tuple(_carried(n) for n in range(200)),
            "molds": tuple(_mold(n) for n in range(40)),
            "materials": tuple(_material(n) for n in range(25)),
            "orders": tuple(_order(n) for n in range(20)),
            "notes": tuple(f"Entry {n}: {HOSTILE}" for n in range(40)),
        }
    )


def _person(n: int) -> PersonLine:
    return PersonLine(
        person=f"w{n}", name=HOSTILE, begun=1, layers=2, demolded=3, steps=4, sealed=5, packed=6,
        used_minutes=300, there_minutes=480, outside_shift_minutes=0, worker_efficiency=0.6,
    )  # fmt: skip


def _reject(n: int) -> RejectLine:
    return RejectLine(
        casting=f"260312-{n:02d}", piece="p1", mold="m1", at=AT, reason="void", stage=HOSTILE
    )


def _carried(n: int) -> CarriedLine:
    return CarriedLine(
        casting=f"260312-{n:02d}", piece="p1", name=HOSTILE, mold="m1", mold_number=n,
        in_mold=n < 40, stage="layer 2", opens_at=AT, closes_at=AT, order=None,
    )  # fmt: skip


def _mold(n: int) -> MoldLine:
    return MoldLine(
        mold=f"m{n}", number=n, piece="p1", begun=1, demolded=1, held_minutes=300,
        allocation_efficiency=0.8, utilization_efficiency=0.5, availability=0.4,
    )  # fmt: skip


def _material(n: int) -> MaterialLine:
    return MaterialLine(
        material=f"m{n}", name=HOSTILE, ticket_grams=1e5, used_grams=1e6, theory_grams=9e4,
        wasted_grams=10, cost=None,
    )  # fmt: skip


def _order(n: int) -> OrderLine:
    return OrderLine(
        order=f"o{n}", name=HOSTILE, piece="p1", quantity=10, good=3, due=AT, filled_at=None,
        state="open",
    )  # fmt: skip


def busy_quality(day: dt.date) -> QualityReport:
    """Return a report with six pieces on charts, one of them with a signal."""
    return QualityReport(
        first_day=day, last_day=day, castings=0, stages=(), rolled_share=None, rolled_low=None,
        rolled_high=None, yields=(), defects=(), sentences=(HOSTILE,) * 5,
        pieces=tuple(_piece(n) for n in range(6)),
    )  # fmt: skip


def _piece(n: int) -> PieceQuality:
    points = tuple(
        WeightPoint(
            casting=f"c{k}", mold="m1", at=AT, grams=1000 + 10 * (k % 5), wall_mm=None,
            moving_range=None, ewma=1020, ewma_lower=1000, ewma_upper=1040,
            signals=("EWMA",) if k == 70 else (),
        )
        for k in range(80)
    )  # fmt: skip
    chart = WeightChart(
        center=1020, sigma=10, lower=990, upper=1050, range_upper=36, baseline=25, settled=True,
        left_out=0, points=points, direction="steady", shift_grams=0, shift_mm=None,
        likely_layer=None, sentence="", baseline_sentence="",
    )  # fmt: skip
    return PieceQuality(
        piece=f"p{n}", name=HOSTILE, wall_mm=None, least_wall_mm=None, chart=chart, walls=(),
        sentences=(),
    )  # fmt: skip
