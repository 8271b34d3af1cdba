"""Says what else a person has in hand, before they begin something besides: on floor and ticket alike."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.usecases.press_words import mold_label, step_name

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor, InHand
    from floorboard.shop.shop import Shop


def other_work(shop: Shop, floor: Floor, person: str) -> str:
    """Return a sentence about what a person would leave in hand, or nothing if their hands are free.

    Beginning besides is not refused, since what happened is fact; the log marks it.
    """
    task = floor.in_hand(person)
    if task is None or person not in shop.people:
        return ""
    name = shop.people[person].name
    return (
        f"{name} has other work in hand: {in_hand_words(shop, floor, task)}. "
        "Finish it first, or the log marks this as begun besides."
    )


def in_hand_words(shop: Shop, floor: Floor, task: InHand) -> str:
    """Return a task in hand in a few words: "layer 2 of mold 3", "batch B260312-04"."""
    if task.kind == "batch":
        return f"batch {task.batch}"
    casting = floor.castings[task.casting or ""]
    mold = mold_label(shop, casting.mold)
    match task.kind:
        case "ready":
            return f"readying {mold}"
        case "layer":
            return f"layer {task.index + 1} of {mold}"
        case "demold":
            return f"demolding {mold}"
        case _:
            count = len(task.castings)
            what = task.castings[0] if count == 1 else f"{count} castings"
            return f"{step_name(casting.build.piece.route[task.index])} of {what}"
