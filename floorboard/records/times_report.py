"""Which times the planner uses and why, and whether its predictions are getting better."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from floorboard.records.learned_times import (
    LEAST_SAMPLES,
    PLANNED_QUANTILE,
    learned_time,
    plausible_samples,
)
from floorboard.records.plan_error import day_error, error_trend
from floorboard.records.quantiles import quantile
from floorboard.records.task_times import samples_of, tasks_of
from floorboard.records.times_model import DayErrorLine, PersonTime, TimeLine, TimesReport

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping, Sequence

    from floorboard.floor import history_rows as h
    from floorboard.records.task_times import Sample, Task
    from floorboard.shop.shop import Shop

Use = Literal["learned", "stated"]
# Only so many of the latest times of a task count: a crew changes. The shop's own rule, no source.
MOST_SAMPLES = 200


def time_lines(
    works: Iterable[h.WorkRow],
    shop: Shop,
    decisions: Mapping[str, Use],
    *,
    planned_quantile: float = PLANNED_QUANTILE,
    least_samples: int = LEAST_SAMPLES,
) -> tuple[TimeLine, ...]:
    """Return every hands-on task of the shop with the time to plan it with.

    Parameters
    ----------
    decisions
        The last decision on each task, by its name.
    """
    samples = _by_task(samples_of(works, shop))
    return tuple(
        _line(
            task, samples.get(task.key, []), shop, decisions.get(task.key),
            planned_quantile, least_samples,
        )
        for task in tasks_of(shop)
        if task.stated_minutes > 0
    )  # fmt: skip


def _by_task(samples: Iterable[Sample]) -> dict[str, list[Sample]]:
    found: dict[str, list[Sample]] = {}
    for sample in samples:
        found.setdefault(sample.task, []).append(sample)
    return found


def _line(
    task: Task,
    samples: Sequence[Sample],
    shop: Shop,
    decided: Use | None,
    planned_quantile: float,
    least_samples: int,
) -> TimeLine:
    latest = samples[-MOST_SAMPLES:]
    found = learned_time(
        [sample.minutes for sample in latest],
        task.stated_minutes,
        planned_quantile=planned_quantile,
        least_samples=least_samples,
    )
    learned = found.minutes if found.source == "learned" else None
    uses: Use = "learned" if learned is not None and decided != "stated" else "stated"
    reason = found.reason
    if learned is not None and decided == "stated":
        reason = f"The shop's own {task.stated_minutes:g} min, as decided; {reason}"
    return TimeLine(
        task=task.key,
        name=task.name,
        stated_minutes=task.stated_minutes,
        learned_minutes=learned,
        planned_minutes=learned
        if learned is not None and uses == "learned"
        else task.stated_minutes,
        uses=uses,
        decided=decided,
        samples=found.used,
        set_aside=len(found.set_aside),
        median_minutes=found.median_minutes,
        reason=reason,
        people=_people(latest, shop, least_samples),
    )


def _people(samples: Sequence[Sample], shop: Shop, least: int) -> tuple[PersonTime, ...]:
    by_person: dict[str, list[float]] = {}
    for sample in samples:
        if sample.person is not None:
            by_person.setdefault(sample.person, []).append(sample.minutes)
    lines = []
    for person, minutes in sorted(by_person.items()):
        used, _ = plausible_samples(minutes)
        known = shop.people.get(person)
        if len(used) >= least:
            lines.append(
                PersonTime(
                    person=person,
                    name=known.name if known is not None else person,
                    samples=len(used),
                    median_minutes=quantile(used, 0.5),
                )
            )
    return tuple(lines)


def times_report(
    works: Sequence[h.WorkRow],
    shop: Shop,
    decisions: Mapping[str, Use],
    days: tuple[dt.date, dt.date],
    zone: dt.tzinfo,
    *,
    planned_quantile: float = PLANNED_QUANTILE,
    least_samples: int = LEAST_SAMPLES,
) -> TimesReport:
    """Return the report on the local days from first to last."""
    lines = time_lines(
        works, shop, decisions, planned_quantile=planned_quantile, least_samples=least_samples
    )
    errors = prediction_errors(
        samples_of(works, shop), shop, decisions, zone, planned_quantile, least_samples
    )
    trend = error_trend({line.day.toordinal(): line.off for line in errors})
    return TimesReport(
        first_day=days[0],
        last_day=days[1],
        quantile=planned_quantile,
        least_samples=least_samples,
        times=lines,
        days=errors,
        verdict=trend.verdict,
        sentence=trend.sentence,
    )


def prediction_errors(
    samples: Sequence[Sample],
    shop: Shop,
    decisions: Mapping[str, Use],
    zone: dt.tzinfo,
    planned_quantile: float,
    least_samples: int,
) -> tuple[DayErrorLine, ...]:
    """Return how far each day's planned times were off, planned from the days before it alone."""
    stated = {task.key: task.stated_minutes for task in tasks_of(shop) if task.stated_minutes > 0}
    by_day: dict[dt.date, list[Sample]] = {}
    for sample in samples:
        if sample.task in stated and sample.minutes > 0:
            by_day.setdefault(sample.ended_at.astimezone(zone).date(), []).append(sample)
    before: dict[str, list[float]] = {}
    lines = []
    for day in sorted(by_day):
        planned: dict[str, float] = {}
        for task in {sample.task for sample in by_day[day]}:
            found = learned_time(
                before.get(task, [])[-MOST_SAMPLES:],
                stated[task],
                planned_quantile=planned_quantile,
                least_samples=least_samples,
            )
            planned[task] = stated[task] if decisions.get(task) == "stated" else found.minutes
        error = day_error([(planned[s.task], s.minutes) for s in by_day[day]])
        by_own = day_error([(stated[s.task], s.minutes) for s in by_day[day]])
        if error is not None and by_own is not None:
            lines.append(
                DayErrorLine(
                    day=day,
                    tasks=error.tasks,
                    off=error.off,
                    bias=error.bias,
                    stated_off=by_own.off,
                )
            )
        for sample in by_day[day]:
            before.setdefault(sample.task, []).append(sample.minutes)
    return tuple(lines)
