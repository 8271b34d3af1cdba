"""A tiny shop for tests, whose times are round numbers that can be followed in the head."""

from __future__ import annotations

import datetime as dt

from floorboard.shop.shop import Shop

UTC = dt.UTC
# A Monday at 08:00 UTC, in a shop whose zone is UTC.
START = dt.datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def tiny_shop(**changes: object) -> Shop:
    """Return a shop of two people, three molds, one piece of two layers and a route of four steps."""
    definition: dict[str, object] = {
        "shop": {"name": "Tiny", "zone": "UTC", "pour_margin": "30 s", "scale_resolution": "1 g"},
        "people": {
            "ana": {
                "name": "Ana",
                "shifts": [{"days": "mon-sun", "start": "08:00", "end": "17:00"}],
            },
            "ben": {
                "name": "Ben",
                "shifts": [{"days": "mon-sun", "start": "08:00", "end": "17:00"}],
            },
        },
        "materials": {
            "powder": {"name": "Powder", "form": "powder"},
            "water": {"name": "Water", "form": "liquid"},
        },
        "mixes": {
            "coat": {
                "name": "Coat",
                "parts": [{"material": "powder", "parts": 2}, {"material": "water", "parts": 1}],
                "weigh": "2 min",
                "mix": "1 min",
                "working_time": "12 min",
                "largest_batch": "2 kg",
            }
        },
        "pieces": {
            "bowl": {
                "name": "Bowl",
                "ready": "5 min",
                "full_cure": "30 min",
                "demold": "4 min",
                "layers": [
                    {
                        "mix": "coat",
                        "amount": "300 g",
                        "apply": "5 min",
                        "partial_cure": "15 min",
                        "recoat_by": "40 min",
                    },
                    {"mix": "coat", "amount": "450 g", "apply": "6 min"},
                ],
                "route": [
                    {"kind": "trim", "takes": "4 min"},
                    {"kind": "dry", "takes": "2 h"},
                    {"kind": "seal", "takes": "3 min", "together": 4},
                    {"kind": "pack", "takes": "2 min"},
                ],
            }
        },
        "molds": {
            "m1": {"number": 1, "piece": "bowl"},
            "m2": {"number": 2, "piece": "bowl", "pulls": 7},
            "m3": {"number": 3, "piece": "bowl"},
        },
    }
    definition.update(changes)
    return Shop.model_validate(definition)


def after(minutes: float) -> dt.datetime:
    """Return the moment so many minutes after the start."""
    return START + dt.timedelta(minutes=minutes)
