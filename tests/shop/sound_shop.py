"""A small sound shop as plain data, and ways to spoil it."""

import copy
from typing import Any

SOUND: dict[str, Any] = {
    "shop": {"name": "Shop", "zone": "Europe/Lisbon", "pour_margin": "30 s"},
    "people": {
        "ana": {
            "name": "Ana",
            "shifts": [{"days": "mon-fri", "start": "07:30", "end": "17:00"}],
            "breaks": [{"days": "mon-fri", "start": "12:30", "end": "13:00"}],
        }
    },
    "stations": {"rack": {"name": "Rack", "places": 4}},
    "materials": {
        "plaster": {"name": "Plaster", "form": "powder", "density": "2.6 g/ml"},
        "binder": {"name": "Binder", "form": "liquid", "density": "1.04 g/ml"},
        "fibre": {"name": "Fibre", "form": "fibre"},
        "salt": {"name": "Salt", "form": "powder"},
        "stock": {
            "name": "Stock",
            "form": "liquid",
            "solution": {"active": "salt", "amount": "40 g", "water": "480 g"},
        },
    },
    "mixes": {
        "shell": {
            "name": "Shell",
            "parts": [{"material": "plaster", "parts": 2}, {"material": "binder", "parts": 1}],
            "additives": [
                {"material": "stock", "percent": "2 %", "of": "binder"},
                {
                    "material": "fibre",
                    "percent": "6 %",
                    "of": "all parts",
                    "least": "3 %",
                    "most": "12 %",
                },
            ],
            "set_density": "1.8 g/ml",
            "weigh": "2 min",
            "stages": [
                {"add": ["binder", "plaster"], "stir": "60 s", "starts_clock": True},
                {"add": ["stock", "fibre"], "stir": "30 s"},
            ],
            "working_time": {
                "additive": "stock",
                "points": [
                    {"percent": "1 %", "working_time": "20 min"},
                    {"percent": "3 %", "working_time": "10 min"},
                ],
            },
            "largest_batch": "2 kg",
            "loss": {"each": "20 g", "share": "10 %"},
        }
    },
    "pieces": {
        "bowl": {
            "name": "Bowl",
            "ready": "5 min",
            "full_cure": "35 min",
            "demold": "5 min",
            "layers": [
                {
                    "mix": "shell",
                    "amount": "700 g",
                    "apply": "7 min",
                    "partial_cure": "15 min",
                    "recoat_by": "45 min",
                },
                {"mix": "shell", "thickness": "2 mm", "area": "1800 cm2", "apply": "7 min"},
            ],
            "route": [
                {"kind": "trim", "takes": "6 min"},
                {"kind": "dry", "takes": "12 h", "station": "rack"},
            ],
        }
    },
    "molds": {
        "bowl-1": {"number": 1, "piece": "bowl"},
        "bowl-2": {"number": 2, "piece": "bowl"},
    },
    "orders": {"fair": {"piece": "bowl", "quantity": 2, "due": "2026-03-13"}},
}

SHELL = ("mixes", "shell")
BOWL = ("pieces", "bowl")


def changed(*changes: tuple[tuple, Any]) -> dict[str, Any]:
    """The sound shop with values put in at paths."""
    data = copy.deepcopy(SOUND)
    for path, value in changes:
        place = data
        for key in path[:-1]:
            place = place[key]
        place[path[-1]] = value
    return data
