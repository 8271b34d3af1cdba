"""The bench of four layers: common practice of the trade, no source.

One person works each layer 7 min by hand after 90 s of mixing; 15 min partial cures, 35 min full
cure. Readying and demolding, which common practice leaves out of this figure, take no time.
"""

from typing import Any

from floorboard.shop.shop import Shop


def four_layer_shop(molds: int = 1, *, mix_ahead: bool = True, **settings: Any) -> Shop:
    layer = {"mix": "coat", "amount": "500 g", "apply": "7 min", "partial_cure": "15 min"}
    return Shop.model_validate(
        {
            "shop": {"name": "Bench", "zone": "UTC", "mix_ahead": mix_ahead, **settings},
            "people": {
                "ana": {
                    "name": "Ana",
                    "shifts": [{"days": "mon-sun", "start": "08:00", "end": "16:00"}],
                    "hourly": 20,
                }
            },
            "materials": {
                "powder": {"name": "Powder", "form": "powder", "price": "20.00 for 25 kg"},
                "water": {"name": "Water", "form": "liquid"},
            },
            "mixes": {
                "coat": {
                    "name": "Coat",
                    "parts": [
                        {"material": "powder", "parts": 2},
                        {"material": "water", "parts": 1},
                    ],
                    "weigh": "60 s",
                    "mix": "30 s",
                    "working_time": "12 min",
                    "largest_batch": "600 g",
                }
            },
            "pieces": {
                "shell": {
                    "name": "Shell",
                    "ready": "0 s",
                    "demold": "0 s",
                    "full_cure": "35 min",
                    "layers": [dict(layer, recoat_by="40 min") for _ in range(4)],
                }
            },
            "molds": {f"shell-{n}": {"number": n, "piece": "shell"} for n in range(1, molds + 1)},
        }
    )
