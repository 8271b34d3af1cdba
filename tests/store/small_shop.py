"""A small invented shop, and a bench at which its days are logged."""

from __future__ import annotations

import datetime as dt

from floorboard.floor import events as e
from floorboard.shop.build import Build, build_of
from floorboard.shop.shop import Shop
from floorboard.store.sqlite_store import SqliteStore

START = dt.datetime(2026, 3, 12, 8, 0, tzinfo=dt.UTC)

STRETCH = {"days": "mon-fri", "start": "08:00", "end": "17:00"}

SHOP = Shop.model_validate(
    {
        "shop": {"name": "Corner shop", "zone": "Europe/Lisbon"},
        "people": {
            "ana": {"name": "Ana", "shifts": [STRETCH]},
            "bo": {"name": "Bo", "shifts": [STRETCH]},
        },
        "materials": {
            "powder": {"name": "Powder", "form": "powder"},
            "liquid": {"name": "Liquid", "form": "liquid"},
            "wax": {"name": "Wax", "form": "liquid"},
        },
        "mixes": {
            "grey": {
                "name": "Grey",
                "parts": [
                    {"material": "powder", "parts": 2},
                    {"material": "liquid", "parts": 1},
                ],
                "weigh": "1 min",
                "mix": "90 s",
                "working_time": "10 min",
                "largest_batch": "3 kg",
            }
        },
        "pieces": {
            "bowl": {
                "name": "Bowl",
                "ready": "5 min",
                "layers": [
                    {
                        "mix": "grey",
                        "amount": "300 g",
                        "apply": "5 min",
                        "partial_cure": "15 min",
                        "recoat_by": "40 min",
                    },
                    {"mix": "grey", "amount": "400 g", "apply": "7 min"},
                ],
                "full_cure": "35 min",
                "demold": "4 min",
                "route": [
                    {"kind": "trim", "takes": "6 min"},
                    {"kind": "dry", "takes": "2 h"},
                    {"kind": "seal", "takes": "4 min", "uses": {"wax": "12 g"}, "together": 4},
                ],
            },
            "tile": {
                "name": "Tile",
                "ready": "2 min",
                "layers": [{"mix": "grey", "amount": "500 g", "apply": "3 min"}],
                "full_cure": "30 min",
                "demold": "2 min",
            },
        },
        "molds": {
            "bowl-1": {"number": 1, "piece": "bowl"},
            "bowl-2": {"number": 2, "piece": "bowl"},
            "tile-1": {"number": 3, "piece": "tile"},
        },
        "orders": {
            "friday": {"piece": "bowl", "quantity": 4, "due": "2026-03-13"},
            "monday": {"piece": "tile", "quantity": 4, "due": "2026-03-16T12:00:00"},
        },
    }
)

BUILDS: dict[str, Build] = {piece: build_of(SHOP, piece) for piece in SHOP.pieces}


def minutes(count: float) -> dt.datetime:
    """Return the moment so many minutes after the day's start."""
    return START + dt.timedelta(minutes=count)


class Bench:
    """Logs at one station, a minute later each time."""

    def __init__(self, store: SqliteStore, person: str | None = "ana", station: str = "east"):
        self.store, self.person, self.station = store, person, station
        self.minute = 0.0

    def log(self, *events: e.AnyEvent, expected_seq: int | None = None) -> list[e.Entry]:
        self.minute += 1
        at = minutes(self.minute)
        return self.store.append(
            [(at, event) for event in events],
            logged_at=at,
            person=self.person,
            station=self.station,
            expected_seq=expected_seq,
        )

    def begin(self, casting: str, mold: str = "bowl-1", order: str | None = None) -> e.Entry:
        piece = SHOP.molds[mold].piece
        build = self.store.keep_build(BUILDS[piece])
        begun = e.CastingBegun(casting=casting, mold=mold, piece=piece, build=build, order=order)
        return self.log(begun)[0]

    def batch(self, serial: str, *servings: tuple[str, int], grams: float = 700.0) -> e.Entry:
        return self.log(
            e.BatchBegun(
                batch=serial,
                mix="grey",
                servings=tuple(e.Serving(casting=c, layer=n, grams=300) for c, n in servings),
                grams=grams,
                working_seconds=600,
                cure_factor=0.5,
            )
        )[0]

    def strike(self, seq: int, reason: str = "wrong key") -> e.Entry:
        self.minute += 1
        return self.store.strike(
            seq,
            reason=reason,
            logged_at=minutes(self.minute),
            person=self.person,
            station=self.station,
        )

    def cast_bowl(self, casting: str, mold: str = "bowl-1") -> None:
        """Take a bowl from readying to its seal, each step logged."""
        self.begin(casting, mold)
        self.log(e.MoldReadied(casting=casting))
        for layer in range(2):
            batch = f"B{casting}-{layer}"
            self.batch(batch, (casting, layer))
            self.log(e.MaterialWeighed(batch=batch, material="powder", target_grams=200, grams=201))
            self.log(e.BatchWetted(batch=batch))
            self.log(e.LayerBegun(casting=casting, layer=layer, batch=batch))
            self.log(e.LayerApplied(casting=casting, layer=layer, batch=batch))
        self.log(e.DemoldBegun(casting=casting))
        self.log(e.Demolded(casting=casting))
        for step in (0, 2):
            self.log(e.StepBegun(castings=(casting,), step=step))
            self.log(e.StepDone(castings=(casting,), step=step))
