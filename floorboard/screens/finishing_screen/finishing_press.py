"""What Enter does on the finishing screen: begin or end a step for one or several castings. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.usecases.presses import Press

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.floor.floor import Floor
    from floorboard.records.finishing_model import FinishingLine

# What may be begun without asking twice.
OPEN = frozenset({"ready", "closing"})


@dataclass(frozen=True, slots=True)
class Answer:
    """A press, or a sentence why there is none; `doubt` is to be asked about first."""

    press: Press | None
    said: str = ""
    doubt: str = ""


def press_of_castings(floor: Floor, chosen: Sequence[FinishingLine], person: str) -> Answer:
    """Return what Enter does for the chosen castings.

    Parameters
    ----------
    chosen
        The marked castings, or the one under the cursor, in the queue's order. A session in hand
        is ended as a whole, whichever of its castings is chosen.
    """
    if not chosen:
        return Answer(None, "No casting is in finishing.")
    in_hand = [line for line in chosen if line.state == "in hand"]
    if in_hand:
        if len(in_hand) < len(chosen):
            return Answer(None, "Some of the marked castings are in hand and some are not.")
        return _ended(floor, in_hand, person)
    return _begun(floor, chosen, person)


def _ended(floor: Floor, chosen: Sequence[FinishingLine], person: str) -> Answer:
    sessions = {session_in_hand(floor, line.casting): line.step for line in chosen}
    if len(sessions) > 1:
        return Answer(None, "The marked castings are in different sessions. End one at a time.")
    serials, step = next(iter(sessions.items()))
    worker = floor.castings[serials[0]].steps[step].person or person
    mold = floor.castings[serials[0]].mold
    return Answer(Press("end step", worker, mold, serials, step))


def session_in_hand(floor: Floor, casting: str) -> tuple[str, ...]:
    """Return the castings that are in hand together with this one, itself among them."""
    for task in floor.all_in_hand():
        if task.kind == "step" and casting in task.castings:
            return task.castings
    return (casting,)


def _begun(floor: Floor, chosen: Sequence[FinishingLine], person: str) -> Answer:
    first = chosen[0]
    castings = [floor.castings[line.casting] for line in chosen]
    steps = [
        casting.build.piece.route[line.step] for casting, line in zip(castings, chosen, strict=True)
    ]
    if any(
        line.step != first.step or step != steps[0]
        for line, step in zip(chosen, steps, strict=True)
    ):
        return Answer(None, "The marked castings wait for different steps. Mark alike ones.")
    if len(chosen) > steps[0].together:
        most = steps[0].together
        return Answer(
            None,
            f"{first.step_name} takes {'one casting' if most == 1 else f'{most} castings'} "
            f"at a time; {len(chosen)} are marked.",
        )
    serials = tuple(line.casting for line in chosen)
    press = Press("begin step", person, castings[0].mold, serials, first.step)
    doubts = [line for line in chosen if line.state not in OPEN]
    return Answer(press, doubt=_doubt(doubts[0]) if doubts else "")


def _doubt(line: FinishingLine) -> str:
    match line.state:
        case "drying" | "curing":
            why = f"It is still {line.state}."
        case "to weigh":
            why = "The weighings do not say yet that it is dry."
        case "set aside":
            why = "It is set aside."
        case _:
            why = line.sentence
    return f"{line.casting}: {why}"
