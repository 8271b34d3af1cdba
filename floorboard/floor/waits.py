"""What a casting waits for: its next hands-on step, when that opens and when it closes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from floorboard.floor.casting import Casting

TaskKind = Literal["ready", "layer", "demold", "step"]


@dataclass(frozen=True, slots=True)
class Wait:
    """The next hands-on step of a casting.

    `opens_at` is when the wait before it is over, `closes_at` the last moment to start (None: any
    time will do). `begun_at` is set while the step is in hand. `behind` names the passive time.
    """

    kind: TaskKind
    index: int
    opens_at: dt.datetime
    closes_at: dt.datetime | None
    begun_at: dt.datetime | None
    behind: Literal["", "partial cure", "full cure", "drying", "cure"]
    since: dt.datetime

    @property
    def key(self) -> tuple[TaskKind, int]:
        """Kind and index, as plans name tasks."""
        return self.kind, self.index


def next_wait(casting: Casting) -> Wait | None:
    """Return what the casting waits for, or None if it is closed."""
    if casting.closed:
        return None
    if casting.demolded_at is not None:
        return _step_wait(casting)
    applied = casting.layers_applied
    if casting.readied_at is None and applied == 0 and casting.coats[0].begun_at is None:
        at = casting.begun_at
        return Wait("ready", 0, at, None, at, "", at)
    if applied < len(casting.coats):
        return _layer_wait(casting, applied)
    return _demold_wait(casting)


def _layer_wait(casting: Casting, layer: int) -> Wait:
    begun = casting.coats[layer].begun_at
    if layer == 0:
        since = casting.readied_at or casting.begun_at
        return Wait("layer", 0, since, None, begun, "", since)
    opens, closes = recoat_window(casting, layer)
    before = casting.coats[layer - 1].applied_at or casting.begun_at
    return Wait("layer", layer, opens, closes, begun, "partial cure", before)


def recoat_window(casting: Casting, layer: int) -> tuple[dt.datetime, dt.datetime | None]:
    """Return when layer `layer` (1 or more, counted from 0) opens and closes.

    The clocks of a cure never stop for breaks or nights.
    """
    before = casting.coats[layer - 1]
    since = before.applied_at or casting.begun_at
    spec = casting.build.piece.layers[layer - 1]
    opens = since + dt.timedelta(seconds=spec.partial_cure * before.cure_factor)
    if spec.recoat_by is None:
        return opens, None
    return opens, since + dt.timedelta(seconds=spec.recoat_by * before.cure_factor)


def _demold_wait(casting: Casting) -> Wait:
    last = casting.coats[-1]
    since = last.applied_at or casting.begun_at
    opens = since + dt.timedelta(seconds=casting.build.piece.full_cure * last.cure_factor)
    return Wait("demold", 0, opens, None, casting.demold_begun_at, "full cure", since)


def _step_wait(casting: Casting) -> Wait:
    index = casting.next_step
    route = casting.build.piece.route
    since, passive_seconds, behind = _passive_before(casting, index)
    opens = since + dt.timedelta(seconds=passive_seconds)
    start_by = route[index].start_by
    closes = None if start_by is None else opens + dt.timedelta(seconds=float(start_by))
    return Wait("step", index, opens, closes, casting.steps[index].begun_at, behind, since)


def _passive_before(
    casting: Casting, index: int
) -> tuple[dt.datetime, float, Literal["", "partial cure", "full cure", "drying", "cure"]]:
    """Return since when, for how many seconds and in what passive time the casting has been."""
    route = casting.build.piece.route
    seconds, behind = 0.0, ""
    position = index - 1
    while position >= 0 and route[position].passive:
        seconds += float(route[position].takes)
        behind = behind or ("drying" if route[position].kind == "dry" else "cure")
        position -= 1
    before = casting.steps[position].done_at if position >= 0 else casting.demolded_at
    since = before or casting.demolded_at or casting.begun_at
    if casting.sent_back_at is not None and casting.sent_back_at > since:
        since = casting.sent_back_at
    return since, seconds, behind  # type: ignore[return-value]
