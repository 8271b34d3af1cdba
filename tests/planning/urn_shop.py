"""A small shop and a plan for it made by hand, for tests of the checker."""

import datetime as dt

from floorboard.floor.floor import Floor
from floorboard.planning.plan import (
    Plan,
    PlannedBatch,
    PlannedCasting,
    PlannedCure,
    PlannedServing,
    PlannedTask,
)
from floorboard.shop.shop import Shop

# A Monday.
EIGHT = dt.datetime(2026, 3, 9, 8, 0, tzinfo=dt.UTC)


def minutes(after_eight: float) -> dt.datetime:
    return EIGHT + dt.timedelta(minutes=after_eight)


URN = {
    "name": "Urn",
    "ready": "5 min",
    "full_cure": "30 min",
    "demold": "4 min",
    "layers": [
        {
            "mix": "face",
            "amount": "400 g",
            "apply": "3 min",
            "partial_cure": "10 min",
            "recoat_by": "20 min",
            "station": "frame",
        },
        {"mix": "face", "amount": "400 g", "apply": "3 min"},
    ],
    "route": [
        {"kind": "dry", "takes": "20 min", "station": "rack"},
        {"kind": "sand", "takes": "5 min", "start_by": "60 min"},
        {"kind": "seal", "takes": "3 min", "together": 2, "each_more": "1 min"},
    ],
}

SHOP = {
    "shop": {"name": "Hillside", "zone": "UTC", "pour_margin": "30 s"},
    "people": {
        "ana": {
            "name": "Ana",
            "shifts": [{"days": "mon-fri", "start": "08:00", "end": "16:00"}],
            "breaks": [{"days": "mon-fri", "start": "12:00", "end": "12:30"}],
        },
        "ben": {
            "name": "Ben",
            "shifts": [{"days": "mon-fri", "start": "08:00", "end": "16:00"}],
            "breaks": [{"days": "mon-fri", "start": "12:00", "end": "12:30"}],
            "skills": ["ready", "finish"],
        },
    },
    "materials": {
        "powder": {"name": "Powder", "form": "powder"},
        "water": {"name": "Water", "form": "liquid"},
    },
    "mixes": {
        "face": {
            "name": "Face",
            "parts": [{"material": "powder", "parts": 2}, {"material": "water", "parts": 1}],
            "weigh": "60 s",
            "mix": "30 s",
            "working_time": "10 min",
            "largest_batch": "1 kg",
            "loss": {"each": "20 g"},
            "station": "mixer",
        },
        "other": {
            "name": "Other",
            "parts": [{"material": "powder", "parts": 1}, {"material": "water", "parts": 1}],
            "weigh": "60 s",
            "mix": "30 s",
            "working_time": "10 min",
            "largest_batch": "1 kg",
        },
    },
    "pieces": {"urn": URN},
    "molds": {
        "urn-1": {"number": 1, "piece": "urn"},
        "urn-2": {"number": 2, "piece": "urn"},
    },
    "stations": {
        "mixer": {"name": "Mixer", "places": 1},
        "frame": {"name": "Frame", "places": 1},
        "rack": {"name": "Rack", "places": 2},
    },
}


def shop_with(**changes: object) -> Shop:
    """The shop with whole sections replaced."""
    return Shop.model_validate({**SHOP, **changes})


def settings(**changes: object) -> dict[str, object]:
    return {**SHOP["shop"], **changes}


def task(
    kind: str, person: str, start: float, end: float, *castings: str, **more: object
) -> PlannedTask:
    return PlannedTask(
        kind=kind, person=person, start=minutes(start), end=minutes(end), castings=castings, **more
    )


def batch(name: str, start: float, layer: int, *castings: str) -> PlannedBatch:
    return PlannedBatch(
        id=name,
        mix="face",
        person="ana",
        start=minutes(start),
        wet=minutes(start + 1),
        ready=minutes(start + 1.5),
        end=minutes(start + 1.5 + 3 * len(castings)),
        grams=400 * len(castings) + 20,
        servings=tuple(PlannedServing(casting=c, layer=layer, grams=400) for c in castings),
    )


def hand_made_plan() -> Plan:
    """Two urns from shared batches, demolded, dried, sanded and sealed together."""
    return Plan(
        made_at=EIGHT,
        until=minutes(480),
        seq=0,
        tasks=(
            task("ready", "ana", 0, 5, "new-1"),
            task("ready", "ben", 0, 5, "new-2"),
            task("batch", "ana", 5, 6.5, "new-1", "new-2", batch="b1"),
            task("layer", "ana", 6.5, 9.5, "new-1", batch="b1"),
            task("layer", "ana", 9.5, 12.5, "new-2", batch="b1"),
            task("batch", "ana", 18, 19.5, "new-1", "new-2", batch="b2"),
            task("layer", "ana", 19.5, 22.5, "new-1", batch="b2", index=1),
            task("layer", "ana", 22.5, 25.5, "new-2", batch="b2", index=1),
            task("demold", "ana", 53, 57, "new-1"),
            task("demold", "ana", 57, 61, "new-2"),
            task("step", "ben", 77, 82, "new-1", index=1),
            task("step", "ben", 82, 87, "new-2", index=1),
            task("step", "ben", 87, 91, "new-1", "new-2", index=2),
        ),
        batches=(batch("b1", 5, 0, "new-1", "new-2"), batch("b2", 18, 1, "new-1", "new-2")),
        cures=(
            cure("new-1", "partial cure", 0, 9.5, 19.5),
            cure("new-1", "full cure", 1, 22.5, 52.5),
            cure("new-1", "drying", 0, 57, 77),
        ),
        castings=(casting("new-1", "urn-1", 57, 91), casting("new-2", "urn-2", 61, 91)),
    )


def cure(casting: str, kind: str, index: int, start: float, end: float) -> PlannedCure:
    return PlannedCure(
        casting=casting, kind=kind, index=index, start=minutes(start), end=minutes(end)
    )


def casting(name: str, mold: str, demolded: float, finished: float) -> PlannedCasting:
    return PlannedCasting(
        id=name,
        mold=mold,
        piece="urn",
        new=True,
        demolded_at=minutes(demolded),
        finished_at=minutes(finished),
    )


def empty_floor() -> Floor:
    return Floor()
