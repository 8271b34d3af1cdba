"""Shops of a chosen size for benchmarks: repeatable from a seed, of the usual kind of work."""

from __future__ import annotations

import random
from typing import Any

from floorboard.shop.shop import Shop

SHIFT_HOURS = 8


def made_shop(molds: int, people: int, seed: int = 1, *, stations: bool = False) -> Shop:
    """Return a shop with so many molds and people, of one piece for every three molds or so.

    Layers are worked 4-8 min by hand and cure 12-25 min; windows stay open 6-25 min; a bucket
    holds two or three layers. Whatever can be cast is wanted: there are no orders. The shift of
    eight hours has two short breaks and lunch.
    """
    rng = random.Random(seed * 1000 + molds * 10 + people)
    mixes = {f"mix-{n}": _mix(rng, stations) for n in range(1, 2 + molds // 15 + 1)}
    pieces = {f"piece-{n}": _piece(rng, sorted(mixes), stations) for n in range(max(1, molds // 3))}
    names = sorted(pieces)
    return Shop.model_validate(
        {
            "shop": {"name": "Made", "zone": "UTC", "pour_margin": "30 s"},
            "people": {f"person-{n}": _person(n) for n in range(people)},
            "materials": {
                "powder": {"name": "Powder", "form": "powder"},
                "water": {"name": "Water", "form": "liquid"},
            },
            "mixes": mixes,
            "pieces": pieces,
            "molds": {
                f"mold-{n}": {"number": n + 1, "piece": names[n % len(names)]} for n in range(molds)
            },
            "stations": {
                "mixer": {"name": "Mixer", "places": max(1, people // 2)},
                "frame": {"name": "Frame", "places": max(1, people // 2)},
            }
            if stations
            else {},
        }
    )


def _person(number: int) -> dict[str, Any]:
    return {
        "name": f"Person {number + 1}",
        "shifts": [{"days": "mon-fri", "start": "08:00", "end": "16:00"}],
        "breaks": [
            {"days": "mon-fri", "start": "10:00", "end": "10:15"},
            {"days": "mon-fri", "start": "12:00", "end": "12:30"},
            {"days": "mon-fri", "start": "14:15", "end": "14:30"},
        ],
        "hourly": 15,
    }


def _mix(rng: random.Random, stations: bool) -> dict[str, Any]:
    return {
        "name": "Mix",
        "parts": [{"material": "powder", "parts": 2}, {"material": "water", "parts": 1}],
        "weigh": f"{rng.choice([60, 90, 120])} s",
        "mix": f"{rng.choice([30, 60, 90])} s",
        "working_time": f"{rng.randint(14, 24)} min",
        "largest_batch": f"{rng.choice([1500, 2000, 2500])} g",
        "loss": {"each": "20 g"},
        **({"station": "mixer"} if stations else {}),
    }


def _piece(rng: random.Random, mixes: list[str], stations: bool) -> dict[str, Any]:
    layers = []
    for _ in range(rng.randint(2, 4)):
        cure = rng.randint(12, 25)
        layers.append(
            {
                "mix": rng.choice(mixes),
                "amount": f"{rng.randint(4, 9) * 100} g",
                "apply": f"{rng.randint(8, 16) * 30} s",
                "partial_cure": f"{cure} min",
                "recoat_by": f"{cure + rng.randint(6, 25)} min",
                **({"station": "frame"} if stations and rng.random() < 0.3 else {}),
            }
        )
    return {
        "name": "Piece",
        "ready": f"{rng.randint(3, 6)} min",
        "full_cure": f"{rng.randint(30, 60)} min",
        "demold": f"{rng.randint(3, 6)} min",
        "layers": layers,
        "route": [{"kind": "trim", "takes": f"{rng.randint(3, 6)} min"}],
    }
