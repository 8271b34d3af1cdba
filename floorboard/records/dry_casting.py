"""A casting's own weighings, judged by the shop's rule of constant weight."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from floorboard.records.drying import DryRule, Weighing, drying_state
from floorboard.records.drying_forecast import drying_forecast
from floorboard.records.finishing_model import DryLine
from floorboard.records.quantiles import quantile

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.floor import casting as floor_casting
    from floorboard.shop.shop import Settings

# A weighing this many times over or under the middle one is of something else, or mistyped.
_MOST_TIMES = 2.0
_LEAST_CHANGE_PERCENT = 1e-6


def dry_rule(settings: Settings) -> DryRule:
    """Return the shop's rule: how little change, between weighings how far apart."""
    return DryRule(
        max(float(settings.constant_weight), _LEAST_CHANGE_PERCENT),
        max(float(settings.weighings_apart), 1.0) / 3600,
    )


def believable(
    weighings: Sequence[floor_casting.Weighing], since: dt.datetime
) -> tuple[list[floor_casting.Weighing], int]:
    """Return the weighings since a moment in order of time, and how many were left out.

    Left out are weights of nothing, weights far from the middle one, and all but the last of those
    taken at one moment.
    """
    recent = [w for w in weighings if w.at >= since]
    positive = [w.grams for w in recent if w.grams > 0]
    if not positive:
        return [], len(recent)
    middle = quantile(positive, 0.5)
    kept = {w.at: w for w in recent if middle / _MOST_TIMES <= w.grams <= middle * _MOST_TIMES}
    return [kept[at] for at in sorted(kept)], len(recent) - len(kept)


def dry_line(
    weighings: Sequence[floor_casting.Weighing], since: dt.datetime, settings: Settings
) -> DryLine:
    """Judge a casting that has been drying since a moment.

    A weighing just before that, as at demold, tells nothing of a wash put on later, so only those
    since then count.
    """
    kept, left_out = believable(weighings, since)
    rule = dry_rule(settings)
    samples = [Weighing((w.at - since).total_seconds() / 3600, w.grams) for w in kept]
    state = drying_state(samples, rule)
    forecast = drying_forecast(
        samples, rule, scale_step_grams=max(float(settings.scale_resolution), 1e-3)
    )

    def moment(hours: float | None) -> dt.datetime | None:
        return None if hours is None else since + dt.timedelta(hours=hours)

    again = kept[-1].at + dt.timedelta(hours=rule.gap_hours) if kept else None
    sentence = state.sentence
    if not samples:
        sentence = f"Not weighed yet: weigh it now, and again at least {rule.gap_hours:g} h later."
    if not state.dry and forecast.likely_hours is not None:
        sentence += f" {forecast.sentence}"
    return DryLine(
        dry=state.dry,
        weighings=len(kept),
        left_out=left_out,
        likely_at=moment(forecast.likely_hours),
        earliest_at=moment(forecast.earliest_hours),
        latest_at=moment(forecast.latest_hours),
        weigh_again_at=None if state.dry else again,
        sentence=sentence,
    )
