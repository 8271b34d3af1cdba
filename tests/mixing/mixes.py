"""Small mixes that the tests of the mix desk share. All of it is invented."""

from __future__ import annotations

from typing import Any

from floorboard.shop.materials import Material
from floorboard.shop.mixes import Mix


def material(form: str, **more: Any) -> Material:
    return Material.model_validate({"name": more.pop("name", form.title()), "form": form, **more})


MATERIALS = {
    "powder-a": material("powder", name="Powder A"),
    "liquid-b": material("liquid", name="Liquid B", density="1.05 g/ml"),
    "quick": material("liquid", name="Quick"),
    "glass": material("fibre", name="Glass"),
    "quick-salt": material("powder", name="Quick salt"),
    # 40 g in 480 g of water, by weight.
    "quick-stock": material(
        "liquid",
        name="Quick stock",
        solution={"active": "quick-salt", "amount": "40 g", "water": "480 g"},
    ),
}


def mix(**changes: Any) -> Mix:
    """Two parts powder to one part liquid, by weight, with what a test changes."""
    fields: dict[str, Any] = {
        "name": "Two to one",
        "parts": [
            {"material": "powder-a", "parts": 2},
            {"material": "liquid-b", "parts": 1},
        ],
        "set_density": "1.8 g/ml",
        "weigh": "60 s",
        "mix": "90 s",
        "working_time": "7 min",
        "largest_batch": "3 kg",
    }
    fields.update(changes)
    return Mix.model_validate({key: value for key, value in fields.items() if value is not None})


def additive(material: str, percent: float, of: str, **more: Any) -> dict[str, Any]:
    return {"material": material, "percent": f"{percent!r} %", "of": of, **more}


GLASS_TABLE = {
    "additive": "quick",
    "points": [
        {"percent": "0 %", "working_time": "30 min", "cure": "90 min"},
        {"percent": "2 %", "working_time": "15 min", "cure": "45 min"},
        {"percent": "5 %", "working_time": "7 min", "cure": "20 min"},
    ],
}
