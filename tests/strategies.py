"""Random shops for property tests: small, realistic and sound, so that any of them can be worked.

Use ``@given(shops())``; bound the size with the arguments where a test is slow.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from hypothesis import strategies as st

from floorboard.shop.shop import ALL_SKILLS, Shop

FIRST_DAY = dt.date(2026, 3, 9)
ZONES = ("Europe/Lisbon", "America/Chicago", "Asia/Kolkata", "Pacific/Auckland")
MARGIN_SECONDS = 30

AWKWARD_NAMES = (
    "[bold red]Bowl[/] \\[not markup]",
    "Ваза №3 «Осень»",
    "🦉 owl 👩‍🏭",
    "مزهرية صغيرة",
    'quoted "name" with \\ and \'',
    "x" * 300,
    "a  b\u00a0c",
)


def names() -> st.SearchStrategy[str]:
    """Names a shop may be given: plain, with markup, emoji, right-to-left, long, anything."""
    anything = st.text(
        st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp", "Cf")), min_size=1, max_size=30
    ).filter(lambda text: text.strip() != "")
    return st.one_of(
        st.sampled_from(("Bowl", "Owl", "Tile", "Lamp")), st.sampled_from(AWKWARD_NAMES), anything
    )


def seconds_text(least: int, most: int) -> st.SearchStrategy[str]:
    """A time between two numbers of seconds, written in one of the usual ways."""

    def written(seconds: int) -> st.SearchStrategy[str]:
        ways = [f"{seconds} s"]
        if seconds % 60 == 0:
            ways += [f"{seconds // 60} min", f"{seconds // 60}min"]
        elif seconds > 60:
            ways.append(f"{seconds // 60} min {seconds % 60} s")
        if seconds % 900 == 0:
            ways.append(f"{seconds / 3600:g} h")
        return st.sampled_from(ways)

    return st.integers(least, most).flatmap(written)


def minutes_text(least: int, most: int) -> st.SearchStrategy[str]:
    """A whole number of minutes."""
    return st.integers(least, most).map(lambda minutes: f"{minutes} min")


def grams_text(least: int, most: int) -> st.SearchStrategy[str]:
    """A weight between two numbers of grams, metric or US."""

    def written(grams: int) -> st.SearchStrategy[str]:
        ounces = int(grams / 28.349523125)
        ways = [f"{grams} g", f"{grams / 1000:g} kg"]
        if ounces * 28.349523125 >= least:
            ways += [f"{ounces} oz", f"{ounces // 16} lb {ounces % 16} oz"]
        return st.sampled_from(ways)

    return st.integers(least, most).flatmap(written)


@st.composite
def people(draw: st.DrawFn, most: int) -> dict[str, Any]:
    """People with shifts and breaks; the first can do everything."""
    found: dict[str, Any] = {}
    for index in range(draw(st.integers(1, most))):
        night = index > 0 and draw(st.integers(0, 5)) == 0
        start = draw(st.integers(18, 21) if night else st.integers(6, 9))
        length = draw(st.integers(6, 9))
        days = "mon-sun" if night else draw(st.sampled_from(["mon-fri", "mon-sat", "mon-sun"]))
        breaks = [(2 * 60, 15), (4 * 60, 30), (5 * 60 + 30, 10)][: draw(st.integers(0, 3))]
        skills = (
            ALL_SKILLS
            if index == 0
            else draw(st.lists(st.sampled_from(ALL_SKILLS), min_size=1, unique=True))
        )
        found[f"person-{index + 1}"] = {
            "name": draw(names()),
            "shifts": [_stretch(days, start * 60, length * 60)],
            "breaks": [_stretch(days, start * 60 + after, long) for after, long in breaks],
            "skills": list(skills),
        }
    return found


def _stretch(days: str, start_minute: int, length_minutes: int) -> dict[str, str]:
    def clock(minute: int) -> str:
        return f"{minute // 60 % 24:02d}:{minute % 60:02d}"

    return {
        "days": days,
        "start": clock(start_minute),
        "end": clock(start_minute + length_minutes),
    }


MATERIALS: dict[str, Any] = {
    "powder": {"name": "Powder", "form": "powder", "density": "2.6 g/ml"},
    "liquid": {"name": "Liquid", "form": "liquid", "density": "1.04 g/ml"},
    "fibre": {"name": "Fibre", "form": "fibre"},
    "salt": {"name": "Salt", "form": "powder"},
    "stock": {
        "name": "Stock",
        "form": "liquid",
        "solution": {"active": "salt", "amount": "40 g", "water": "480 g"},
    },
}


@st.composite
def mixes(draw: st.DrawFn, mixer: bool) -> tuple[dict[str, Any], int, int]:
    """A mix, the longest application it allows in seconds, the heaviest layer in grams."""
    bases = ["powder", "liquid", "all parts", "all powders", "all liquids", "everything before it"]
    additives = []
    table = draw(st.booleans())
    if table:
        percent = draw(st.integers(0, 60)) / 10
        additives.append({"material": "stock", "percent": f"{percent:g} %", "of": "liquid"})
    if draw(st.booleans()):
        additives.append(
            {
                "material": "fibre",
                "percent": f"{draw(st.integers(3, 12))} %",
                "of": draw(st.sampled_from(bases)),
                "least": "3 %",
                "most": "12 %",
            }
        )
    shortest = draw(st.integers(12, 30))
    making: dict[str, Any] = {}
    wet = draw(st.integers(30, 120))
    if draw(st.booleans()):
        rest = [additive["material"] for additive in additives]
        making["stages"] = [
            {"add": ["liquid", "powder"], "stir": f"{wet} s", "starts_clock": True},
            *({"add": [material], "stir": "15 s"} for material in rest),
        ]
        wet += 15 * len(rest)
    else:
        making["mix"] = f"{wet} s"
    largest = draw(st.integers(2, 6)) * 1000
    mix = {
        "name": draw(names()),
        "by": draw(st.sampled_from(["weight", "volume"])),
        "parts": [
            {"material": "powder", "parts": draw(st.sampled_from([1, 2, 2.5, 10]))},
            {"material": "liquid", "parts": draw(st.sampled_from([1, 0.7]))},
        ],
        "additives": additives,
        "set_density": "1.8 g/ml",
        "weigh": draw(seconds_text(60, 180)),
        **making,
        "working_time": f"{shortest} min",
        "largest_batch": f"{largest // 1000} kg",
        "loss": {"each": "15 g", "share": "4 %"},
    }
    if table:
        mix["working_time"] = {
            "additive": "stock",
            "points": [
                {"percent": "0 %", "working_time": f"{shortest + 12} min", "cure": "40 min"},
                {"percent": "2 %", "working_time": f"{shortest + 5} min", "cure": "25 min"},
                {"percent": "6 %", "working_time": f"{shortest} min", "cure": "10 min"},
            ],
        }
    if mixer and draw(st.booleans()):
        mix["station"] = "mixer"
    return mix, shortest * 60 - wet - MARGIN_SECONDS, int(largest * 0.9)


@st.composite
def pieces(
    draw: st.DrawFn, mixes_made: dict[str, tuple[int, int]], layers: int, stations: dict[str, Any]
) -> dict[str, Any]:
    """A piece of some layers, each of a mix given with its longest application and heaviest layer."""
    made = []
    for _ in range(draw(st.integers(1, layers))):
        mix = draw(st.sampled_from(sorted(mixes_made)))
        longest, heaviest = mixes_made[mix]
        cure = draw(st.integers(5, 30))
        window = draw(st.one_of(st.none(), st.integers(20, 60)))
        layer: dict[str, Any] = {
            "mix": mix,
            "apply": draw(seconds_text(180, min(longest, 8 * 60))),
            "partial_cure": f"{cure} min",
            "recoat_by": "none" if window is None else f"{cure + window} min",
        }
        if draw(st.booleans()):
            layer["amount"] = draw(grams_text(100, min(heaviest, 1500)))
        else:
            layer |= {"thickness": draw(st.sampled_from(["1.5 mm", "2 mm", "1/16 in"]))}
            layer |= {"area": draw(st.sampled_from(["900 cm2", "2 ft2", "0.12 m2"]))}
        if "frame" in stations and draw(st.booleans()):
            layer["station"] = "frame"
        made.append(layer)
    return {
        "name": draw(names()),
        "layers": made,
        "ready": draw(minutes_text(2, 8)),
        "full_cure": draw(minutes_text(30, 90)),
        "demold": draw(minutes_text(2, 8)),
        "route": draw(st.lists(_steps(stations), max_size=4)),
        "worth": draw(st.sampled_from([1, 2, 12.5])),
    }


@st.composite
def _steps(draw: st.DrawFn, stations: dict[str, Any]) -> dict[str, Any]:
    kind = draw(st.sampled_from(["trim", "sand", "wash", "seal", "dry", "cure", "inspect", "pack"]))
    if kind in {"dry", "cure"}:
        step = {"kind": kind, "takes": draw(st.sampled_from(["40 min", "2 h", "12 h"]))}
        return step | ({"station": "rack"} if "rack" in stations else {})
    step = {"kind": kind, "takes": draw(minutes_text(1, 10))}
    if kind in {"wash", "seal"}:
        step |= {"coating": True, "together": draw(st.integers(1, 4)), "each_more": "2 min"}
        step |= {"start_by": draw(st.sampled_from(["none", "3 h"])), "uses": {"liquid": "20 g"}}
    return step


@st.composite
def shops(
    draw: st.DrawFn,
    *,
    most_people: int = 6,
    least_molds: int = 3,
    most_molds: int = 12,
    most_pieces: int = 4,
    most_layers: int = 4,
) -> Shop:
    """A sound shop: `floorboard.shop.cross_checks.findings` has nothing to say of it."""
    places = {"mixer": (1, 2), "frame": (1, 3), "booth": (1, 1), "rack": (4, 40)}
    stations = {
        key: {"name": key.title(), "places": draw(st.integers(*bounds))}
        for key, bounds in places.items()
        if draw(st.booleans())
    }
    made = {
        f"mix-{index + 1}": draw(mixes("mixer" in stations))
        for index in range(draw(st.integers(1, 3)))
    }
    bounds = {key: (longest, heaviest) for key, (_, longest, heaviest) in made.items()}
    cast = {
        f"piece-{index + 1}": draw(pieces(bounds, most_layers, stations))
        for index in range(draw(st.integers(1, most_pieces)))
    }
    piece = st.sampled_from(sorted(cast))
    molds = {
        f"mold-{index + 1}": {
            "number": index + 1,
            "piece": draw(piece),
            "pulls": draw(st.integers(0, 80)),
        }
        for index in range(draw(st.integers(least_molds, most_molds)))
    }
    orders = {
        f"order-{index + 1}": {
            "piece": draw(piece),
            "quantity": draw(st.integers(1, 6)),
            "due": FIRST_DAY + dt.timedelta(days=draw(st.integers(0, 10))),
        }
        for index in range(draw(st.integers(0, 4)))
    }
    return Shop.model_validate(
        {
            "shop": {
                "name": draw(names()),
                "zone": draw(st.sampled_from(ZONES)),
                "units": draw(st.sampled_from(["metric", "us"])),
                "mix_ahead": draw(st.booleans()),
                "walk": draw(st.sampled_from(["0 s", "20 s"])),
                "pour_margin": f"{MARGIN_SECONDS} s",
            },
            "people": draw(people(most_people)),
            "materials": MATERIALS,
            "mixes": {key: mix for key, (mix, _, _) in made.items()},
            "pieces": cast,
            "molds": molds,
            "stations": stations,
            "orders": orders,
        }
    )
