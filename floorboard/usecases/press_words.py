"""What a press does, in the words the screen shows before the key is pressed."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor
    from floorboard.shop.pieces import Step
    from floorboard.shop.shop import Shop
    from floorboard.usecases.presses import Press

STEP_VERBS = {
    "trim": "Trim",
    "flatten": "Flatten the base of",
    "sand": "Sand",
    "inspect": "Inspect",
    "repair": "Repair",
    "wash": "Wash",
    "dry": "Dry",
    "seal": "Seal",
    "cure": "Cure",
    "pack": "Pack",
}


def mold_label(shop: Shop, mold: str) -> str:
    """Return a mold as people call it: by its number."""
    found = shop.molds.get(mold)
    return f"mold {found.number}" if found is not None else f"mold {mold}"


def step_name(step: Step) -> str:
    """Return a step of the route as people call it."""
    return step.name or step.kind


def press_words(shop: Shop, floor: Floor, press: Press) -> str:
    """Return the task in a few words, such as "Weigh and mix for mold 3 and mold 5"."""
    mold = mold_label(shop, press.mold)
    if press.kind == "begin casting":
        return f"Clean and ready {mold}"
    if press.kind == "mold readied":
        return f"{mold.capitalize()} is ready"
    if press.kind == "begin batch":
        return f"Weigh for {_molds(shop, floor, press)}"
    if press.kind == "wet batch":
        return f"Wet and mix for {_molds(shop, floor, press)}"
    if press.kind == "begin layer":
        return f"Pour layer {press.index + 1} into {mold}"
    if press.kind == "end layer":
        return f"Layer {press.index + 1} of {mold} is in"
    if press.kind == "begin demold":
        return f"Demold {mold}"
    if press.kind == "end demold":
        return f"{mold.capitalize()} is demolded"
    return _step_words(floor, press)


def _molds(shop: Shop, floor: Floor, press: Press) -> str:
    serials = [serial for serial, _ in press.servings] or _still_to_serve(floor, press)
    labels = [
        f"{mold_label(shop, floor.castings[serial].mold)} layer {layer + 1}"
        for serial, layer in (press.servings or _layers_to_serve(floor, press))
        if serial in floor.castings
    ]
    return " and ".join(labels) or ", ".join(serials)


def _layers_to_serve(floor: Floor, press: Press) -> tuple[tuple[str, int], ...]:
    batch = floor.batches.get(press.batch or "")
    return () if batch is None else tuple((s.casting, s.layer) for s in floor.still_served(batch))


def _still_to_serve(floor: Floor, press: Press) -> list[str]:
    return [serial for serial, _ in _layers_to_serve(floor, press)]


def _step_words(floor: Floor, press: Press) -> str:
    casting = floor.castings[press.castings[0]]
    step = casting.build.piece.route[press.index]
    count = len(press.castings)
    what = press.castings[0] if count == 1 else f"{count} castings of {casting.build.piece.name}"
    verb = STEP_VERBS[step.kind]
    named = f" ({step.name})" if step.name else ""
    if press.kind == "begin step":
        return f"{verb} {what}{named}"
    return f"{step_name(step).capitalize()} of {what} is done"


def key_words(press: Press) -> str:
    """Return what the confirm key itself does: begin or finish."""
    words = {
        "begin casting": "begin",
        "mold readied": "done",
        "begin batch": "begin",
        "wet batch": "wetted now",
        "begin layer": "pouring now",
        "end layer": "done",
        "begin demold": "begin",
        "end demold": "done",
        "begin step": "begin",
        "end step": "done",
    }
    return words[press.kind]
