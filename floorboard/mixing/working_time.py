"""Working time and cure of a mix: from its table, its temperature factors, or as it stands.

Between the points of the shop's own table the time runs along a monotone curve
(`floorboard.mixing.monotone`). Past the ends of a table the value at the end is given, and said
to be that: a remark comes with it and `within_table` is false.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from floorboard.mixing.maturity import CureConstants, age_factor
from floorboard.mixing.monotone import Monotone
from floorboard.mixing.refusal import refuse
from floorboard.shop.base import Definition
from floorboard.shop.mixes import WorkingTimeTable

if TYPE_CHECKING:
    from floorboard.shop.mixes import Mix

ROUNDING = 1e-9


class WorkingTime(Definition):
    """Working time in seconds, and how it was come by.

    `cure_seconds` is the partial cure the table gives for this percentage, None without one.
    `factor` multiplies every time of the mix for the temperature and is already in both times.
    `within_table` is false when a table was read past one of its ends; `remarks` say which.
    """

    seconds: float
    cure_seconds: float | None = None
    percent: float | None = None
    factor: float = 1.0
    within_table: bool = True
    remarks: tuple[str, ...] = ()


def working_seconds(
    mix: Mix, percent: float | None = None, temperature: float | None = None
) -> float:
    """Seconds from the start of a batch's clock until it can no longer be applied."""
    return working_time(mix, percent, temperature).seconds


def working_time(
    mix: Mix, percent: float | None = None, temperature: float | None = None
) -> WorkingTime:
    """Work out the working time of a batch.

    Parameters
    ----------
    mix : the mix; its own percentage of the table's additive counts unless another is given.
    percent : of the additive the table is about, taken on that additive's base.
    temperature : of room and water in C; None for the temperature the times were taken at.
    """
    factor, remarks = temperature_factor(mix, temperature)
    within = not remarks
    if not isinstance(mix.working_time, WorkingTimeTable):
        return WorkingTime(
            seconds=float(mix.working_time) * factor,
            factor=factor,
            within_table=within,
            remarks=remarks,
        )
    table = mix.working_time
    taken = own_percent(mix) if percent is None else float(percent)
    if not 0 <= taken < float("inf"):
        raise refuse("percent", f"found {taken:g} % of {table.additive}, expected 0 % or more")
    curve, cures = _working_curve(table), _cure_curve(table)
    remarks += _past_end(table.additive, taken, curve, "working time")
    if cures is not None:
        remarks += _past_end(table.additive, taken, cures, "cure")
    cure = _cure(table, taken)
    return WorkingTime(
        seconds=curve.at(taken) * factor,
        cure_seconds=None if cure is None else cure * factor,
        percent=taken,
        factor=factor,
        within_table=within and not remarks,
        remarks=remarks,
    )


def cure_factor(mix: Mix, percent: float | None = None, temperature: float | None = None) -> float:
    """What every partial cure, recoat window and full cure after this batch is multiplied by.

    The waits of a piece are those of its mix as written. A batch with another percentage of the
    table's additive cures in the ratio of the table's cures; temperature multiplies all of it.
    """
    factor, _ = temperature_factor(mix, temperature)
    if percent is None or not isinstance(mix.working_time, WorkingTimeTable):
        return factor
    taken = _cure(mix.working_time, float(percent))
    usual = _cure(mix.working_time, own_percent(mix))
    return factor * taken / usual if taken and usual else factor


def own_percent(mix: Mix) -> float:
    """Percentage of the table's additive in the mix as written; 0 where it takes none."""
    if not isinstance(mix.working_time, WorkingTimeTable):
        raise refuse(
            "working_time", f"found no table on the mix {mix.name!r}, only one fixed working time"
        )
    name = mix.working_time.additive
    return sum(float(item.percent) for item in mix.additives if item.material == name)


def percent_for(mix: Mix, seconds: float, temperature: float | None = None) -> float:
    """Least percentage of the table's additive that gives the wanted working time.

    Raises
    ------
    MixingError
        If the mix has no table, or the wanted time lies outside it at this temperature.
    """
    if not isinstance(mix.working_time, WorkingTimeTable):
        own_percent(mix)
        raise AssertionError("own_percent refuses a mix without a table")
    factor, _ = temperature_factor(mix, temperature)
    curve = _working_curve(mix.working_time)
    if not 0 <= seconds < float("inf"):
        raise refuse("working_time", f"found a wanted {seconds:g} s, expected nothing or more")
    low, high = min(curve.ys) * factor, max(curve.ys) * factor
    percent = None
    # Dividing by the factor must not push a time at an end just past it.
    if low * (1 - ROUNDING) <= seconds <= high * (1 + ROUNDING):
        percent = curve.least_x_for(min(max(seconds / factor, min(curve.ys)), max(curve.ys)))
    if percent is None:
        raise refuse(
            "working_time",
            f"found a wanted {minutes_text(seconds)}, expected between {minutes_text(low)} and "
            f"{minutes_text(high)}, the ends of the table for {mix.working_time.additive}",
        )
    return percent


def temperature_factor(mix: Mix, temperature: float | None) -> tuple[float, tuple[str, ...]]:
    """What every time of the mix is multiplied by at a temperature in C, and what to say of it.

    The shop's own table of factors comes first; without one, the maturity clock where the mix
    has its constants: an hour at this temperature is worth `age_factor` hours at the reference.
    """
    if temperature is None:
        return 1.0, ()
    if not math.isfinite(temperature):
        raise refuse("temperature", f"found {temperature:g} C, expected a temperature")
    if not mix.temperature:
        return _maturity_factor(mix, temperature), ()
    points = sorted((float(point.at), point.factor) for point in mix.temperature)
    if len(points) == 1:
        at, factor = points[0]
        if temperature == at:
            return factor, ()
        return factor, (
            f"The temperature table has the one point {at:g} C; its factor {factor:g} is used "
            f"at {temperature:g} C.",
        )
    try:
        curve = Monotone.through([at for at, _ in points], [factor for _, factor in points])
    except ValueError as error:
        raise refuse("temperature", str(error)) from None
    if curve.holds(temperature):
        return curve.at(temperature), ()
    end = curve.xs[0] if temperature < curve.xs[0] else curve.xs[-1]
    return curve.at(temperature), (
        f"{temperature:g} C is past the end of the temperature table at {end:g} C: "
        f"the factor {curve.at(end):g} holds for {end:g} C.",
    )


def _maturity_factor(mix: Mix, temperature: float) -> float:
    if mix.maturity is None:
        return 1.0
    try:
        constants = CureConstants(mix.maturity.q_kelvin, mix.maturity.reference)
        return 1.0 / age_factor(temperature, constants)
    except ValueError as error:
        raise refuse("temperature", str(error)) from None


def minutes_text(seconds: float) -> str:
    """Write seconds as "7 min", "6 min 30 s" or "45 s"."""
    whole = round(seconds)
    minutes, rest = divmod(whole, 60)
    if not minutes:
        return f"{rest} s"
    return f"{minutes} min {rest} s" if rest else f"{minutes} min"


def _working_curve(table: WorkingTimeTable) -> Monotone:
    return Monotone.through(
        [float(point.percent) for point in table.points],
        [float(point.working_time) for point in table.points],
    )


def _cure_curve(table: WorkingTimeTable) -> Monotone | None:
    points = [
        (float(point.percent), float(point.cure))
        for point in table.points
        if point.cure is not None
    ]
    if len(points) < 2:
        return None
    return Monotone.through([at for at, _ in points], [cure for _, cure in points])


def _cure(table: WorkingTimeTable, percent: float) -> float | None:
    curve = _cure_curve(table)
    if curve is not None:
        return curve.at(percent)
    # A single cure speaks for its own percentage only.
    return next(
        (
            float(point.cure)
            for point in table.points
            if point.cure is not None and point.percent == percent
        ),
        None,
    )


def _past_end(additive: str, percent: float, curve: Monotone, what: str) -> tuple[str, ...]:
    if curve.holds(percent):
        return ()
    end = curve.xs[0] if percent < curve.xs[0] else curve.xs[-1]
    return (
        f"{percent:g} % of {additive} is past the table's end: the {what} of "
        f"{minutes_text(curve.at(end))} holds for {end:g} %.",
    )
