"""How long the stage of work that a press ends should take, by the casting's own build."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.usecases.presses import BEGINNINGS

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor
    from floorboard.shop.mixes import Mix
    from floorboard.usecases.presses import Press


def stage_seconds(floor: Floor, press: Press) -> float:
    """Return the seconds from the press before until this one is due; 0 for one that begins work."""
    if press.kind in BEGINNINGS:
        return 0.0
    casting = floor.castings[press.castings[0]]
    piece = casting.build.piece
    match press.kind:
        case "mold readied":
            return float(piece.ready)
        case "wet batch":
            return _mix(floor, press).seconds_before_wet
        case "begin layer":
            return _mix(floor, press).seconds_wet_to_ready
        case "end layer":
            return float(piece.layers[press.index].apply)
        case "end demold":
            return float(piece.demold)
        case _:
            step = piece.route[press.index]
            return float(step.takes) + (len(press.castings) - 1) * float(step.each_more)


def _mix(floor: Floor, press: Press) -> Mix:
    casting = floor.castings[press.castings[0]]
    return casting.build.mixes[floor.batches[press.batch or ""].mix]
