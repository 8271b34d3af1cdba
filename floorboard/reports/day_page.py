"""A tally as one HTML page: nothing fetched, no script, and one sheet of paper when printed."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.reports.page import rendered
from floorboard.reports.svg_charts import Bar, Column, Whisker, bars, columns, weights, whiskers
from floorboard.usecases.tally_text import (
    COUNT_HEADS,
    bulk_text,
    due_words,
    minutes_text,
    percent,
    when,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.mixing.weight_text import Units
    from floorboard.records.quality_model import QualityReport
    from floorboard.records.tally_model import CarriedLine, Counts, DayLine, Tally

# What is shown at most of each list; what is left out is said to be.
MOST = {
    "pieces": 10,
    "reasons": 6,
    "rejects": 2,
    "people": 6,
    "orders": 6,
    "materials": 8,
    "notes": 3,
}
# A letter sheet is shorter.
LETTER_MOST = {**MOST, "pieces": 8, "materials": 7, "orders": 5}
# Heights on the sheet in mm, for what is to fit on one: by measuring the page.
SHEETS = {"A4": 272.0, "letter": 254.0}
ROW, SMALL_ROW, BAR, HEAD = 4.35, 3.9, 4.4, 6.5
CHART, COLUMNS, TOP = 26.5, 23.0, 36.0
MOST_CARRIED = 60
LEAST_CARRIED = 6
# Longer stretches are drawn by the month.
MOST_DAYS = 45


def day_page(tally: Tally, quality: QualityReport | None = None, units: Units = "metric") -> str:
    """Return the page.

    Parameters
    ----------
    quality
        Of the weeks up to the tally's last day: its weight charts and what they say go on the page.
    """
    from markupsafe import Markup

    zone = ZoneInfo(tally.zone)
    found = quality.pieces if quality is not None else ()
    # The pieces most looked at come first: those with something to say, then the most weighed.
    charts = sorted(
        (piece for piece in found if piece.chart is not None),
        key=lambda piece: (not piece.sentences, -len(piece.chart.points if piece.chart else ())),
    )
    sentences = quality.sentences[:2] if quality is not None else ()
    paper = "letter" if units == "us" else "A4"
    most = LETTER_MOST if paper == "letter" else MOST
    shown, carried = _what_fits(tally, len(charts), len(sentences), SHEETS[paper], most)
    return rendered(
        "day_page.html.j2",
        tally=tally,
        paper=paper,
        as_of=f"{tally.as_of.astimezone(zone):%Y-%m-%d %H:%M}",
        over=tally.as_of >= tally.end,
        most={**most, "carried": carried},
        heads=COUNT_HEADS,
        count_row=_count_row,
        wanted=sum(line.wanted for line in tally.pieces),
        tiles=_tiles(tally),
        hands=Markup(_hands(tally)),
        yields=Markup(_yields(tally)),
        molds=Markup(_molds(tally)),
        days=Markup(_days(tally.days)) if len(tally.days) > 1 else "",
        weight_charts=[
            Markup(weights(piece.chart, piece.name))
            for piece in charts[:shown]
            if piece.chart is not None
        ],
        sentences=sentences,
        percent=percent,
        minutes=minutes_text,
        when=lambda moment: when(moment, tally),
        due=lambda moment: due_words(moment, tally),
        weight=lambda grams: bulk_text(grams, units),
        place=_place,
        broken=[check.sentence for check in tally.checks if not check.holds],
    )


def _what_fits(
    tally: Tally, charts: int, sentences: int, sheet: float, most: dict[str, int]
) -> tuple[int, int]:
    """Return how many weight charts and carried-over castings still fit on the sheet."""

    def rows(name: str, parts: Sequence[object]) -> int:
        return min(most[name], len(parts))

    days = HEAD + COLUMNS if len(tally.days) > 1 else 0.0
    left = days + HEAD + BAR * rows("people", tally.people) + HEAD + COLUMNS
    left += HEAD + ROW * (1 + rows("orders", tally.orders))
    right = HEAD + BAR * 4 + HEAD + ROW * (1 + rows("reasons", tally.reasons))
    right += SMALL_ROW * (1 + rows("rejects", tally.rejects))
    right += HEAD + ROW * (1 + rows("materials", tally.materials)) + SMALL_ROW
    used = TOP + ROW * (3 + rows("pieces", tally.pieces)) + 2 * SMALL_ROW + 2 * ROW * sentences
    used += max(left, right) + SMALL_ROW * (1 + rows("notes", tally.notes)) + HEAD + SMALL_ROW
    used += ROW * 2 * (not tally.reconciled)
    least = SMALL_ROW * min(len(tally.carried_over), LEAST_CARRIED) / 2
    shown = min(charts, 4)
    while shown > 0 and used + least + HEAD + CHART * ((shown + 1) // 2) > sheet:
        shown -= 1
    free = sheet - used - (HEAD + CHART * ((shown + 1) // 2) if shown else 0.0)
    fitting = 2 * max(0, int(free / SMALL_ROW))
    return shown, max(0, min(MOST_CARRIED, fitting))


def _count_row(counts: Counts, wanted: int) -> list[int]:
    return [getattr(counts, name) if name else wanted for _, name in COUNT_HEADS]


def _tiles(tally: Tally) -> list[tuple[str, str, str]]:
    """Return the page's large figures: number, word, and a line beneath."""
    counts, first = tally.counts, tally.yields[1]
    share = "" if first.share is None else f"{percent(first.share)} of {first.total}"
    wanted = sum(line.wanted for line in tally.pieces)
    return [
        (str(counts.good), "good", share),
        (str(counts.scrapped), "scrapped", ""),
        (str(counts.demolded), "demolded", f"{counts.begun} begun"),
        (str(counts.packed), "packed", f"{counts.sealed} sealed"),
        (str(counts.carried_over), "in progress", ""),
        (
            f"{tally.orders_on_time} of {tally.orders_due}" if tally.orders_due else "-",
            "orders in time" if tally.orders_due else "no order due",
            f"{wanted} castings due" if wanted else "",
        ),
    ]


def _hands(tally: Tally) -> str:
    rows = [
        Bar(
            line.name,
            line.used_minutes,
            line.there_minutes,
            f"{minutes_text(line.used_minutes)} of {minutes_text(line.there_minutes)}",
        )
        for line in tally.people[: MOST["people"]]
    ]
    return bars(rows, "Hands used of hands there") if rows else ""


def _yields(tally: Tally) -> str:
    rows = [
        Whisker(
            line.name,
            line.share,
            line.low or 0.0,
            line.high or 0.0,
            f"{line.good} of {line.total}, {percent(line.share)}",
        )
        for line in tally.yields
        if line.share is not None
    ]
    return whiskers(rows, "Yields with their 95 % intervals") if rows else ""


def _molds(tally: Tally) -> str:
    """Open hours that each mold held a casting: needed by its build below, waiting above."""
    rows = []
    for line in tally.molds:
        held = 100 * min(1.0, line.allocation_efficiency or 0.0)
        needed = held * (line.utilization_efficiency or 0.0)
        label = str(line.number) if line.number is not None else line.mold[:3]
        rows.append(Column(label, (("part", needed), ("whole", held - needed))))
    return columns(rows, "Mold use in per cent of open hours") if rows else ""


def _days(days: Sequence[DayLine]) -> str:
    rows: dict[str, tuple[str, int, int]] = {}
    for line in days:
        by_month = len(days) > MOST_DAYS
        key = f"{line.day:%Y-%m}" if by_month else line.day.isoformat()
        label = f"{line.day:%b}" if by_month else str(line.day.day)
        _, good, scrapped = rows.get(key, (label, 0, 0))
        rows[key] = (label, good + line.good, scrapped + line.scrapped)
    found = [
        Column(label, (("part", good), ("scrap", scrapped)), str(good) if good else "")
        for label, good, scrapped in rows.values()
    ]
    return columns(found, "Good castings, and scrap on top of them")


def _place(line: CarriedLine) -> str:
    return f"mold {line.mold_number or line.mold}" if line.in_mold else ""
