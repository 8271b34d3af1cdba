"""Castings and batches to and from JSON: the folded state, kept so that opening folds nothing."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from floorboard.floor.batch import Batch, Weighed
from floorboard.floor.casting import Casting, Coat, Flag, StepWork, Weighing
from floorboard.floor.events import Serving
from floorboard.store.moments import from_text, from_text_or_none, to_text, to_text_or_none

if TYPE_CHECKING:
    from floorboard.shop.build import Build


_encode = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode

# A part of which nothing was logged is not written; only those after the last are left out.
_NO_COAT: list[Any] = [None, None, None, None, None, 1.0]
_NO_WORK: list[Any] = [None, None, None]


def _to_the_last(parts: list[list[Any]], empty: list[Any]) -> list[list[Any]]:
    while parts and parts[-1] == empty:
        parts.pop()
    return parts


def casting_to_json(casting: Casting) -> str:
    """Return a casting's state, its build left out."""
    at = to_text_or_none
    state = {
        "serial": casting.serial,
        "mold": casting.mold,
        "begun_at": at(casting.begun_at),
        "begun_by": casting.begun_by,
        "order": casting.order,
        "readied_at": at(casting.readied_at),
        "coats": _to_the_last(
            [
                [at(c.begun_at), at(c.applied_at), c.batch, c.person, c.grams, c.cure_factor]
                for c in casting.coats
            ],
            _NO_COAT,
        ),
        "demold_begun_at": at(casting.demold_begun_at),
        "demold_by": casting.demold_by,
        "demolded_at": at(casting.demolded_at),
        "steps": _to_the_last(
            [[at(s.begun_at), at(s.done_at), s.person] for s in casting.steps], _NO_WORK
        ),
        "rejected_at": at(casting.rejected_at),
        "reject_reason": casting.reject_reason,
        "rework": casting.rework,
        "set_aside": casting.set_aside,
        "sent_back_at": at(casting.sent_back_at),
        "weighings": [[at(w.at), w.grams] for w in casting.weighings],
        "walls_mm": casting.walls_mm,
        "flags": [[f.seq, f.rule, f.message, f.amount_seconds] for f in casting.flags],
    }
    return _encode(state)


def casting_from_json(text: str, build: Build) -> Casting:
    """Return a casting from its state."""
    state: dict[str, Any] = json.loads(text)
    at = from_text_or_none
    coats, steps = state["coats"], state["steps"]
    coats += [_NO_COAT] * (len(build.piece.layers) - len(coats))
    steps += [_NO_WORK] * (len(build.piece.route) - len(steps))
    return Casting(
        serial=state["serial"],
        mold=state["mold"],
        piece_id=build.piece_id,
        build=build,
        begun_at=from_text(state["begun_at"]),
        begun_by=state["begun_by"],
        order=state["order"],
        readied_at=at(state["readied_at"]),
        coats=[
            Coat(at(begun), at(applied), batch, person, grams, factor)
            for begun, applied, batch, person, grams, factor in coats
        ],
        demold_begun_at=at(state["demold_begun_at"]),
        demold_by=state["demold_by"],
        demolded_at=at(state["demolded_at"]),
        steps=[StepWork(at(begun), at(done), person) for begun, done, person in steps],
        rejected_at=at(state["rejected_at"]),
        reject_reason=state["reject_reason"],
        rework=state["rework"],
        set_aside=state["set_aside"],
        sent_back_at=at(state["sent_back_at"]),
        weighings=[Weighing(from_text(when), grams) for when, grams in state["weighings"]],
        walls_mm=state["walls_mm"],
        flags=[Flag(*flag) for flag in state["flags"]],
    )


def flags_from_json(text: str) -> list[Flag]:
    """Return only the flags of a casting's state."""
    return [Flag(*flag) for flag in json.loads(text)["flags"]]


def batch_to_json(batch: Batch) -> str:
    """Return a batch's state."""
    at = to_text_or_none
    state = {
        "serial": batch.serial,
        "mix": batch.mix,
        "person": batch.person,
        "servings": [[s.casting, s.layer, s.grams] for s in batch.servings],
        "grams": batch.grams,
        "working_seconds": batch.working_seconds,
        "cure_factor": batch.cure_factor,
        "begun_at": to_text(batch.begun_at),
        "wetted_at": at(batch.wetted_at),
        "stages_done": batch.stages_done,
        "weighed": [[w.material, w.target_grams, w.grams, w.lot] for w in batch.weighed],
        "served": sorted(batch.served),
        "lost_at": at(batch.lost_at),
        "last_at": at(batch.last_at),
    }
    return _encode(state)


def batch_from_json(text: str) -> Batch:
    """Return a batch from its state."""
    state: dict[str, Any] = json.loads(text)
    at = from_text_or_none
    return Batch(
        serial=state["serial"],
        mix=state["mix"],
        person=state["person"],
        servings=tuple(
            Serving(casting=casting, layer=layer, grams=grams)
            for casting, layer, grams in state["servings"]
        ),
        grams=state["grams"],
        working_seconds=state["working_seconds"],
        cure_factor=state["cure_factor"],
        begun_at=from_text(state["begun_at"]),
        wetted_at=at(state["wetted_at"]),
        stages_done=state["stages_done"],
        weighed=[Weighed(*weighed) for weighed in state["weighed"]],
        served={(casting, layer) for casting, layer in state["served"]},
        lost_at=at(state["lost_at"]),
        last_at=at(state["last_at"]),
    )
