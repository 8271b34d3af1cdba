"""What one press of the confirm key would log.

A press either ends what a person has in hand or begins the next thing the plan asks of them. It is
worked out before the key is pressed, so that the screen can say what the key will do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from floorboard.floor.waits import next_wait

if TYPE_CHECKING:
    from floorboard.floor.batch import Batch
    from floorboard.floor.casting import Casting
    from floorboard.floor.floor import Floor, InHand
    from floorboard.planning.plan import Plan, PlannedTask

PressKind = Literal[
    "begin casting",
    "mold readied",
    "begin batch",
    "wet batch",
    "begin layer",
    "end layer",
    "begin demold",
    "end demold",
    "begin step",
    "end step",
]

# The presses that take up something new rather than end what is in hand.
BEGINNINGS = frozenset({"begin casting", "begin batch", "begin demold", "begin step"})


@dataclass(frozen=True, slots=True)
class Press:
    """One press: what it does, for whom and to what.

    `castings` are serial numbers; for "begin casting" there is none yet and `mold` says where. For
    "begin batch" `servings` lists (casting, layer) in the order they are applied, `percents` the
    (material, percentage) pairs that differ from the mix, `tare_grams` what the scale shows first.
    """

    kind: PressKind
    person: str
    mold: str
    castings: tuple[str, ...] = ()
    index: int = 0
    batch: str | None = None
    servings: tuple[tuple[str, int], ...] = ()
    order: str | None = None
    percents: tuple[tuple[str, float], ...] = ()
    tare_grams: float = 0.0


def next_press(floor: Floor, plan: Plan, person: str) -> Press | None:
    """Return what confirm would do for a person: end what is in hand, else begin what is next."""
    task = floor.in_hand(person)
    if task is not None:
        return press_in_hand(floor, task)
    for planned in plan.for_person(person):
        press = press_planned(floor, plan, planned)
        if press is not None:
            return press
    return None


def press_in_hand(floor: Floor, task: InHand) -> Press | None:
    """Return the press that takes a task in hand one stage on."""
    if task.kind == "batch":
        return press_for_batch(floor, floor.batches[task.batch or ""], task.person)
    casting = floor.castings[task.casting or ""]
    serial = (casting.serial,)
    if task.kind == "ready":
        return Press("mold readied", task.person, casting.mold, serial)
    if task.kind == "layer":
        return Press("end layer", task.person, casting.mold, serial, task.index)
    if task.kind == "demold":
        return Press("end demold", task.person, casting.mold, serial)
    return Press("end step", task.person, casting.mold, task.castings, task.index)


def press_for_batch(floor: Floor, batch: Batch, person: str) -> Press | None:
    """Return the press that takes a batch one stage on; None if no layer waits for it."""
    serving = next(iter(floor.still_served(batch)), None)
    if serving is None:
        return None
    casting = floor.castings[serving.casting]
    kind: PressKind = "begin layer"
    if batch.wetted_at is None:
        kind = "wet batch"
    elif casting.coats[serving.layer].begun_at is not None:
        kind = "end layer"
    return Press(kind, person, casting.mold, (serving.casting,), serving.layer, batch.serial)


def press_planned(floor: Floor, plan: Plan, task: PlannedTask) -> Press | None:
    """Return the press that begins a planned task, or None if it was begun or done meanwhile."""
    if task.fixed:
        return None
    if task.kind == "ready":
        mold = _mold_of(floor, plan, task.castings[0])
        if not mold or floor.casting_in(mold) is not None:
            return None
        order = next((c.order for c in plan.castings if c.id == task.castings[0]), None)
        return Press("begin casting", task.person, mold, order=order)
    if task.kind in {"batch", "layer"}:
        return _planned_batch(floor, plan, task)
    castings = [c for c in map(floor.castings.get, task.castings) if c is not None]
    wanted = [c for c in castings if _waits_for(c, task.kind, task.index)]
    if not wanted:
        return None
    serials = tuple(casting.serial for casting in wanted)
    kind: PressKind = "begin demold" if task.kind == "demold" else "begin step"
    return Press(kind, task.person, wanted[0].mold, serials, task.index)


def _planned_batch(floor: Floor, plan: Plan, task: PlannedTask) -> Press | None:
    batch = plan.batch(task.batch) if task.batch else None
    if batch is None or batch.fixed:
        return None
    in_buckets = {
        (serving.casting, serving.layer)
        for begun in floor.open_batches()
        if begun.sets_at is None or begun.sets_at > plan.made_at
        for serving in floor.still_served(begun)
    }
    servings = []
    for serving in batch.servings:
        casting = _casting_of(floor, plan, serving.casting)
        if casting is None or not _waits_for(casting, "layer", serving.layer):
            continue
        if (casting.serial, serving.layer) not in in_buckets:
            servings.append((casting.serial, serving.layer))
    if not servings:
        return None
    mold = floor.castings[servings[0][0]].mold
    serials = tuple(serial for serial, _ in servings)
    return Press(
        "begin batch", task.person, mold, serials, servings[0][1], servings=tuple(servings)
    )


def _mold_of(floor: Floor, plan: Plan, casting: str) -> str:
    if casting in floor.castings:
        return floor.castings[casting].mold
    return next((planned.mold for planned in plan.castings if planned.id == casting), "")


def _casting_of(floor: Floor, plan: Plan, casting: str) -> Casting | None:
    """Return a planned casting as it is on the floor; one begun since is found by its mold."""
    if casting in floor.castings:
        return floor.castings[casting]
    mold = _mold_of(floor, plan, casting)
    return floor.casting_in(mold) if mold else None


def _waits_for(casting: Casting, kind: str, index: int) -> bool:
    wait = next_wait(casting)
    return wait is not None and wait.begun_at is None and wait.kind == kind and wait.index == index


def press_for_mold(floor: Floor, mold: str, person: str) -> Press | None:
    """Return what confirm would do for a chosen mold, whatever the plan says."""
    casting = floor.casting_in(mold)
    if casting is None:
        return Press("begin casting", person, mold)
    return press_for_casting(floor, casting, person)


def press_for_casting(floor: Floor, casting: Casting, person: str) -> Press | None:
    """Return what confirm would do for a chosen casting, whatever the plan says."""
    wait = next_wait(casting)
    if wait is None:
        return None
    serial = (casting.serial,)
    for batch in floor.open_batches():
        if any(s.casting == casting.serial for s in floor.still_served(batch)):
            return press_for_batch(floor, batch, batch.person or person)
    if wait.kind == "ready":
        return Press("mold readied", person, casting.mold, serial)
    if wait.kind == "layer":
        if wait.begun_at is not None:
            return Press("end layer", person, casting.mold, serial, wait.index)
        servings = ((casting.serial, wait.index),)
        return Press("begin batch", person, casting.mold, serial, wait.index, servings=servings)
    if wait.kind == "demold":
        kind: PressKind = "end demold" if wait.begun_at else "begin demold"
        return Press(kind, person, casting.mold, serial)
    kind = "end step" if wait.begun_at else "begin step"
    return Press(kind, person, casting.mold, serial, wait.index)
