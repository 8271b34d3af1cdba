"""What single definitions accept, refuse and work out by themselves."""

import datetime as dt

import pytest
from pydantic import ValidationError

from floorboard.shop.build import build_of
from floorboard.shop.materials import Solution
from floorboard.shop.mixes import Additive, Loss, Mix, WorkingTimeTable
from floorboard.shop.pieces import Layer, Step
from floorboard.shop.shop import Mold, Order, Person, Settings, Shop, Stretch
from tests.shop.sound_shop import SHELL, SOUND, changed


def stretch(**fields: object) -> Stretch:
    return Stretch.model_validate({"start": "07:30", "end": "17:00"} | fields)


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("mon-fri", (0, 1, 2, 3, 4)),
        ("mon wed fri", (0, 2, 4)),
        ("sat, sun", (5, 6)),
        ("fri-mon", (0, 4, 5, 6)),
        ("Tue tue", (1,)),
        ([3, 1, 3], (1, 3)),
    ],
)
def test_days_are_read_from_words(text, days) -> None:
    assert stretch(days=text).days == days


@pytest.mark.parametrize("days", ["", "monday", "mon-", "mon-xyz", [7], [True], ["mon"], 3])
def test_days_that_are_none_are_refused(days) -> None:
    with pytest.raises(ValidationError):
        stretch(days=days)


@pytest.mark.parametrize(
    ("text", "time"),
    [("6:30", dt.time(6, 30)), ("24:00", dt.time(0)), ("06:00:30", dt.time(6, 0, 30))],
)
def test_a_time_of_day_is_read(text, time) -> None:
    assert stretch(end=text).end == time


@pytest.mark.parametrize("time", [730, 7.5, "7", "25:00", "07:60", "07:30Z", "noon", True, None])
def test_a_time_of_day_that_is_none_is_refused(time) -> None:
    with pytest.raises(ValidationError):
        stretch(end=time)


def test_a_stretch_from_a_time_to_itself_is_refused() -> None:
    with pytest.raises(ValidationError, match="expected some length"):
        stretch(end="07:30")


@pytest.mark.parametrize(
    ("due", "read"),
    [
        ("2026-03-13", dt.date(2026, 3, 13)),
        (dt.date(2026, 3, 13), dt.date(2026, 3, 13)),
        ("2026-03-13T12:00:00", dt.datetime.fromisoformat("2026-03-13T12:00:00")),
        ("2026-03-13 12:00", dt.datetime.fromisoformat("2026-03-13T12:00:00")),
    ],
)
def test_a_date_due_stays_a_date_and_a_time_a_time(due, read) -> None:
    order = Order.model_validate({"piece": "owl", "quantity": 1, "due": due})
    assert (order.due, type(order.due)) == (read, type(read))
    again = Order.model_validate_json(order.model_dump_json())
    assert (again.due, type(again.due)) == (read, type(read))


@pytest.mark.parametrize(
    "due", ["soon", "2026-02-30", 20260313, 1.5, True, "1999-12-31", "3000-01-01"]
)
def test_a_due_date_that_is_none_is_refused(due) -> None:
    with pytest.raises(ValidationError, match="expected a date such as"):
        Order.model_validate({"piece": "owl", "quantity": 1, "due": due})


@pytest.mark.parametrize("zone", ["Mars/Base", "", "../etc/passwd", "Europe", "x" * 65])
def test_a_zone_that_is_none_is_refused(zone) -> None:
    with pytest.raises(ValidationError):
        Settings(name="A", zone=zone)


@pytest.mark.parametrize("number", [True, "1", 1.0, 0, 10_000])
def test_a_mold_number_is_a_whole_number_from_1_to_9999(number) -> None:
    with pytest.raises(ValidationError):
        Mold.model_validate({"number": number, "piece": "owl"})


def test_forty_grams_in_480_of_water_is_7_69_per_cent_by_weight() -> None:
    # 40 / (40 + 480): common practice, no source.
    stock = Solution.model_validate({"active": "salt", "amount": "40 g", "water": "480 g"})
    assert stock.strength_percent == pytest.approx(7.6923, abs=5e-5)


@pytest.mark.parametrize(
    ("model", "fields"),
    [
        (Solution, {"active": "salt", "amount": "0 g", "water": "0 g"}),
        (Loss, {"share": "100 %"}),
        (Additive, {"material": "a", "percent": "1 %", "of": "b", "least": "3 %", "most": "2 %"}),
        (Layer, {"mix": "a", "apply": "5 min"}),
        (Layer, {"mix": "a", "apply": "5 min", "amount": "1 g", "thickness": "1 mm", "area": "1 m2"}),
        (Layer, {"mix": "a", "apply": "5 min", "thickness": "1 mm"}),
        (Layer, {"mix": "a", "apply": "5 min", "amount": "1 g", "thickness": "1 mm"}),
        (Layer, {"mix": "a", "apply": "5 min", "amount": "1 g", "partial_cure": "9 min", "recoat_by": "8 min"}),
        (Step, {"kind": "polish", "takes": "1 min"}),
        (Person, {"name": "A", "shifts": []}),
    ],
)  # fmt: skip
def test_a_definition_that_cannot_hold_is_refused(model, fields) -> None:
    with pytest.raises(ValidationError):
        model.model_validate(fields)


@pytest.mark.parametrize(
    "points",
    [
        [(1, 20)],
        [(2, 20), (1, 10)],
        [(1, 20), (1, 10)],
        [(1, 20), (2, 10), (3, 15)],
    ],
)
def test_a_table_of_working_times_must_run_one_way(points) -> None:
    listed = [{"percent": f"{p} %", "working_time": f"{t} min"} for p, t in points]
    with pytest.raises(ValidationError):
        WorkingTimeTable.model_validate({"additive": "salt", "points": listed})


@pytest.mark.parametrize(
    "change",
    [{"stages": [], "mix": None}, {"mix": "90 s"}, {"largest_batch": "0 g"}, {"parts": []}],
)
def test_a_mix_says_in_one_way_how_it_is_made_and_how_much(change) -> None:
    with pytest.raises(ValidationError):
        Mix.model_validate(SOUND["mixes"]["shell"] | change)


def test_the_clock_of_a_mix_starts_at_the_stage_that_says_so() -> None:
    stages = [
        {"add": ["plaster"], "stir": "20 s"},
        {"add": ["binder"], "stir": "60 s", "starts_clock": True},
        {"add": ["stock", "fibre"], "stir": "30 s"},
    ]
    mix = Mix.model_validate(SOUND["mixes"]["shell"] | {"stages": stages})
    assert (mix.seconds_before_wet, mix.seconds_wet_to_ready) == (120 + 20, 90)
    assert mix.making_seconds == 230
    stages[1].pop("starts_clock")
    mix = Mix.model_validate(SOUND["mixes"]["shell"] | {"stages": stages})
    assert (mix.seconds_before_wet, mix.seconds_wet_to_ready) == (120, 110)
    plain = Mix.model_validate(SOUND["mixes"]["shell"] | {"stages": [], "mix": "90 s"})
    assert (plain.seconds_before_wet, plain.making_seconds) == (120, 210)


def test_a_build_holds_what_its_casting_needs_and_changes_its_name_with_it() -> None:
    shop = Shop.model_validate(SOUND)
    build = build_of(shop, "bowl")
    assert set(build.mixes) == {"shell"}
    assert {"plaster", "binder", "stock", "fibre"} <= set(build.materials)
    assert build.mix_of_layer(1) == shop.mixes["shell"]
    same = build_of(Shop.model_validate(SOUND), "bowl")
    assert same.digest() == build.digest()
    renamed = Shop.model_validate(changed(((*SHELL, "largest_batch"), "3 kg")))
    assert build_of(renamed, "bowl").digest() != build.digest()


def test_a_mold_is_found_by_its_number_and_knows_its_piece() -> None:
    shop = Shop.model_validate(SOUND)
    assert shop.mold_by_number(2) == "bowl-2"
    assert shop.mold_by_number(3) is None
    assert shop.piece_of_mold("bowl-2") == shop.pieces["bowl"]
