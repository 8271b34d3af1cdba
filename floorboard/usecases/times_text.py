"""Learned times as lines of text, no wider than a terminal of 80 columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.usecases.columns import table, wrapped
from floorboard.usecases.tally_text import percent

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.records.times_model import TimeLine, TimesReport

WIDTH = 80
MOST_DAYS = 10


def times_lines(report: TimesReport) -> Iterator[str]:
    """Yield the report for a person to read."""
    yield from wrapped(
        f"Times in minutes, {report.first_day} to {report.last_day}. Planned is what covers"
        f" {100 * report.quantile:.0f} % of the logged times, from {report.least_samples} times up;"
        " below that the shop's own time.",
        WIDTH,
    )
    yield ""
    head = "task|own|middle|planned|from|times|set aside"
    yield from table(head.split("|"), [_row(line) for line in report.times], WIDTH)
    refused = [line for line in report.times if line.decided is not None]
    for line in refused:
        yield from wrapped(f"{line.task}: {line.reason}", WIDTH)
    people = [line for line in report.times if len(line.people) > 1]
    if people:
        yield ""
        for line in people:
            told = ", ".join(
                f"{one.name} {one.median_minutes:.1f} ({one.samples})" for one in line.people
            )
            yield from wrapped(f"{line.name}: {told}", WIDTH)
    yield ""
    yield from wrapped(report.sentence, WIDTH)
    rows = [
        [
            f"{day.day}",
            str(day.tasks),
            percent(day.off),
            f"{100 * day.bias:+.0f} %",
            percent(day.stated_off),
        ]
        for day in report.days[-MOST_DAYS:]
    ]
    yield from table(["day", "tasks", "off", "bias", "own times off"], rows, WIDTH)


def _row(line: TimeLine) -> list[str]:
    return [
        line.task,
        f"{line.stated_minutes:.1f}",
        "-" if line.median_minutes is None else f"{line.median_minutes:.1f}",
        f"{line.planned_minutes:.1f}",
        "log" if line.uses == "learned" else "own, as decided" if line.decided else "own",
        str(line.samples),
        str(line.set_aside),
    ]
