"""The quality report as lines of text, no wider than a terminal of 80 columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.shop.counted import counted
from floorboard.usecases.columns import table, wrapped
from floorboard.usecases.tally_text import percent

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.records.quality_model import PieceQuality, QualityReport, YieldGroups

WIDTH = 80
MOST_DEFECTS = 20


def quality_lines(report: QualityReport) -> Iterator[str]:
    """Yield the report for a person to read: first what needs looking at, then the figures."""
    days = f"{report.first_day} to {report.last_day}"
    yield f"Quality, {days}: {counted(report.castings, 'casting')} came to a verdict."
    for sentence in report.sentences or ("No weight or wall calls for a look.",):
        yield from wrapped(sentence, WIDTH)
    yield ""
    yield from _pieces(report)
    yield ""
    yield from _stages(report)
    for groups in report.yields:
        if groups.groups:
            yield ""
            yield from _groups(groups)
    if report.defects:
        yield ""
        rows = [
            [
                line.name,
                "-" if line.layer is None else str(line.layer),
                str(line.castings),
                str(line.rejected),
            ]
            for line in report.defects[:MOST_DEFECTS]
        ]
        yield from table(["defect", "layer", "castings", "rejected"], rows, WIDTH)


def _pieces(report: QualityReport) -> Iterator[str]:
    rows = [_piece(piece) for piece in report.pieces]
    head = "weights at demold|weighed|centre|limits|last|wall from it|signals"
    yield from table(head.split("|"), rows, WIDTH)
    for piece in report.pieces:
        if piece.chart is not None and not piece.chart.settled:
            yield from wrapped(f"{piece.name}: {piece.chart.baseline_sentence}", WIDTH)
        if piece.chart is not None and piece.chart.left_out:
            count = piece.chart.left_out
            weights = "1 weight" if count == 1 else f"{count} weights"
            yield from wrapped(f"{piece.name}: {weights} left out as impossible.", WIDTH)


def _piece(piece: PieceQuality) -> list[str]:
    chart = piece.chart
    if chart is None:
        return [piece.name, "too few", "", "", "", "", ""]
    last = chart.points[-1]
    wall = "-" if last.wall_mm is None else f"{last.wall_mm:.1f} mm"
    signals = sum(bool(point.signals) for point in chart.points)
    return [
        piece.name,
        str(len(chart.points)),
        f"{chart.center:.0f} g",
        f"{chart.lower:.0f}-{chart.upper:.0f}",
        f"{last.grams:.0f} g",
        wall,
        str(signals),
    ]


def _stages(report: QualityReport) -> Iterator[str]:
    rows = [
        [
            line.stage,
            f"{line.passed} of {line.total}",
            percent(line.share),
            _interval(line.low, line.high),
        ]
        for line in report.stages
    ]
    rolled = _interval(report.rolled_low, report.rolled_high)
    rows.append(["all, rolled", "", percent(report.rolled_share), rolled])
    head = "first pass yield|passed|share|95 % interval"
    yield from table(head.split("|"), rows, WIDTH)


def _groups(groups: YieldGroups) -> Iterator[str]:
    rows = [
        [
            line.name,
            str(line.total),
            str(line.good),
            str(line.first_time),
            percent(line.share),
            _interval(line.low, line.high),
        ]
        for line in groups.groups
    ]
    head = f"by {groups.by}|castings|good|first time|share|95 % interval"
    yield from table(head.split("|"), rows, WIDTH)
    yield from wrapped(groups.sentence, WIDTH)


def _interval(low: float | None, high: float | None) -> str:
    """Return an interval as read; nothing where nothing was counted."""
    return "" if low is None or high is None else f"{percent(low)} to {percent(high)}"
