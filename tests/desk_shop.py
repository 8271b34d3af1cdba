"""An invented shop at its mix desk, on a real database and a clock that stands still.

Its mix is of common practice, no source: two parts to one by weight, accelerator at 5 % of the
liquid, glass at 6 % of all parts with a supplier's range of 3 to 12 %.
"""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from floorboard.floor import events as e
from floorboard.floor.clock import FixedClock
from floorboard.planning.plan import Plan, empty_plan
from floorboard.shop.shop import Shop
from floorboard.store.sqlite_store import open_store
from floorboard.usecases.session import Session
from tests.tiny_shop import START, tiny_shop

if TYPE_CHECKING:
    from pathlib import Path

    from floorboard.floor.floor import Floor

MATERIALS: dict[str, Any] = {
    "powder": {
        "name": "Powder A",
        "form": "powder",
        "price": "2.00 for 1 kg",
        "shelf_life": "180 d",
        "open_life": "60 d",
        "lead_time": "5 d",
        "reorder_at": "5 kg",
    },
    "liquid": {"name": "Liquid B", "form": "liquid", "price": "8.00 for 1 kg"},
    "salt": {"name": "Quick salt", "form": "powder", "price": "20.00 for 1 kg"},
    "quick": {
        "name": "Quick stock",
        "form": "liquid",
        "solution": {"active": "salt", "amount": "40 g", "water": "480 g"},
    },
    "glass": {"name": "Chopped glass", "form": "fibre", "price": "5.00 for 1 kg"},
    "wax": {"name": "Wax", "form": "liquid", "price": "10.00 for 1 kg"},
}

SHELL: dict[str, Any] = {
    "name": "Shell",
    "parts": [{"material": "powder", "parts": 2}, {"material": "liquid", "parts": 1}],
    "additives": [
        {"material": "quick", "percent": "5 %", "of": "liquid", "least": "0 %", "most": "6 %"},
        {"material": "glass", "percent": "6 %", "of": "all parts", "least": "3 %", "most": "12 %"},
    ],
    "set_density": "1.8 g/ml",
    "weigh": "2 min",
    "stages": [
        {"add": ["liquid", "powder"], "stir": "60 s", "sift": True, "starts_clock": True},
        {"add": ["quick"], "stir": "15 s"},
        {"add": ["glass"], "stir": "30 s", "stir_at_most": "60 s", "note": "slowly"},
    ],
    "working_time": {
        "additive": "quick",
        "points": [
            {"percent": "0 %", "working_time": "30 min", "cure": "90 min"},
            {"percent": "2 %", "working_time": "15 min", "cure": "45 min"},
            {"percent": "5 %", "working_time": "12 min", "cure": "30 min"},
        ],
    },
    "temperature": [
        {"at": "10 C", "factor": 1.5},
        {"at": "20 C", "factor": 1.0},
        {"at": "30 C", "factor": 0.7},
    ],
    "largest_batch": "2 kg",
    "cautions": ["dust", "fibre", "skin"],
}


def desk_shop(**changes: Any) -> Shop:
    """Return the tiny shop with a mix that has additives, stages and a table."""
    plain = tiny_shop().model_dump(mode="json")
    bowl = plain["pieces"]["bowl"]
    for layer in bowl["layers"]:
        # 200 g and 100 g of the parts, 5 g and 18 g of the additives.
        layer |= {"mix": "shell", "amount": "323 g", "apply": "4 min"}
    bowl["route"][2]["uses"] = {"wax": "12 g"}
    plain["materials"] = MATERIALS
    plain["mixes"] = {"shell": SHELL, "plain": {**plain["mixes"]["coat"], "parts": SHELL["parts"]}}
    plain["people"]["ana"]["hourly"] = 18.0
    plain["shop"] |= {"currency": "EUR", "scale_resolution": "0.1 g"}
    plain.update(changes)
    return Shop.model_validate(plain)


class NoPlans:
    """A planner that asks nothing of anyone."""

    def plan(
        self, shop: Shop, floor: Floor, now: dt.datetime, previous: Plan | None = None
    ) -> Plan:
        """Return an empty plan."""
        return empty_plan(now, now + dt.timedelta(hours=8), floor.last_seq)


class Desk:
    """A session on a new database, with the clock in hand."""

    def __init__(self, folder: Path, shop: Shop | None = None, planner: Any = None) -> None:
        self.clock = FixedClock(START)
        self.path = folder / "desk.db"
        self.store = open_store(self.path)
        if self.store.shop() is None:
            self.store.load_shop(
                shop or desk_shop(), source="desk.toml", at=START, person=None, station="bench"
            )
        self.session = Session(self.store, planner or NoPlans(), self.clock, "bench")

    @classmethod
    def reopened(cls, desk: Desk) -> Desk:
        """Return a second station at the same database, its clock showing the same."""
        again = cls(desk.path.parent)
        again.clock.at = desk.clock.at
        return again

    def forward(self, minutes: float) -> None:
        """Let time go by."""
        self.clock.forward(minutes * 60)

    def receive(self, *lots: tuple[str, str, float]) -> None:
        """Receive (material, lot, grams)."""
        for material, lot, grams in lots:
            self.session.log("ana", e.LotReceived(material=material, lot=lot, grams=grams))

    def begin(self, *molds: str) -> list[str]:
        """Begin a casting in each mold and ready it; return their serial numbers."""
        serials = []
        for mold in molds:
            for _ in range(2):
                press = self.session.press_for_mold(mold, "ana")
                assert press is not None
                self.session.confirm(press)
            casting = self.session.floor.casting_in(mold)
            assert casting is not None
            serials.append(casting.serial)
        return serials

    def close(self) -> None:
        """Let go of the database."""
        self.store.close()
