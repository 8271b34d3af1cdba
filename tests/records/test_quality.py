"""Quality from rows of the past: defects with their layer, yields, walls from weight and caliper."""

from __future__ import annotations

import dataclasses
import datetime as dt

import pytest

from floorboard.floor import history_rows as h
from floorboard.records.quality import Made, quality_of
from floorboard.records.quality_yields import layers_by
from floorboard.records.weight_charts import wall_mm_per_gram
from floorboard.shop.build import build_of
from tests.tiny_shop import START, after, tiny_shop

DAY = START.date()
PIECE = tiny_shop().model_dump(mode="json")["pieces"]["bowl"]
SHOP = tiny_shop(pieces={"bowl": {**PIECE, "wall": "9 mm", "least_wall": "7 mm"}})
BUILD = build_of(SHOP, "bowl")


def casting(number, *, mold="m1", rejected=None, layer=None, step=None, rework=0, demolded=True):
    """A casting begun at a minute of its own, that came to a verdict 100 minutes later."""
    at = after(number)
    verdict = after(number + 100)
    return h.CastingRow(
        serial=f"c{number:03d}",
        mold=mold,
        piece="bowl",
        order=None,
        build="b",
        begun_at=at,
        demolded_at=after(number + 80) if demolded else None,
        finished_at=None if rejected else verdict,
        rejected_at=verdict if rejected else None,
        reason=rejected,
        reject_layer=layer,
        reject_step=step,
        rework=rework,
    )


def made(row, *people, batch="B1"):
    return h.MadeRow(row, tuple(h.CoatRow(p, batch, None) for p in people or ("ana", "ana")))


def report(rows, **more):
    past = Made(shop=SHOP, builds={"b": BUILD}, made=rows, **more)
    return quality_of(past, START, after(10_000), DAY, DAY)


def groups(found, by):
    return {line.group: line for line in next(g for g in found.yields if g.by == by).groups}


def test_stages_roll_into_the_yield_of_the_whole_way():
    # 10 begun: 1 lost in its first layer, 1 of 9 at demold, 2 of 8 sent back in finishing.
    rows = [made(casting(n)) for n in range(6)]
    rows += [made(casting(n, rework=1)) for n in (6, 7)]
    rows += [made(casting(8, rejected="void", layer=0, demolded=False))]
    rows += [made(casting(9, rejected="warp", step=0))]
    found = report(rows)
    assert [(line.stage, line.passed, line.total) for line in found.stages] == [
        ("layer 1", 9, 10),
        ("layer 2", 9, 9),
        ("curing in the mold", 9, 9),
        ("demold", 8, 9),
        ("finishing", 6, 8),
    ]
    assert found.rolled_share == pytest.approx(9 / 10 * 8 / 9 * 6 / 8)
    assert found.rolled_low < found.rolled_share < found.rolled_high


def test_a_casting_lost_before_its_second_layer_failed_there_though_only_one_is_in():
    lost = made(casting(1, rejected="window-lost", layer=1, demolded=False), "ana")
    stages = {line.stage: (line.passed, line.total) for line in report([lost]).stages}
    assert stages == {"layer 1": (1, 1), "layer 2": (0, 1)}


def test_a_defect_counts_once_a_casting_with_the_layer_the_inspection_gave():
    rows = [made(casting(1, rejected="void")), made(casting(2))]
    looked = [
        h.InspectionRow(1, after(90), "c001", False, ("void",), 1, "ana"),
        h.InspectionRow(2, after(91), "c001", False, ("void",), 1, "ana"),
        h.InspectionRow(3, after(92), "c002", True, ("colour",), None, "ana"),
    ]
    found = report(rows, inspections=looked)
    assert [(d.reason, d.layer, d.castings, d.rejected) for d in found.defects] == [
        ("colour", None, 1, 0),
        ("void", 2, 1, 1),
    ]


def test_yields_are_told_by_who_laid_most_layers_and_by_the_room_at_the_beginning():
    rows = [made(casting(1), "ana", "ben", "ben"), made(casting(2, rejected="void"), "ana")]
    air = [h.AirRow(after(0), 17.0), h.AirRow(after(1.5), 22.0)]
    found = report(rows, air=air)
    assert groups(found, "person")["ben"].first_time == 1
    assert groups(found, "person")["ana"].good == 0
    assert groups(found, "temperature")["15 to 20 C"].total == 1
    assert groups(found, "temperature")["20 to 25 C"].first_time == 0
    assert layers_by(made(casting(1), None, None)) == ()


def test_groups_are_in_the_order_people_count_them_in():
    rows = [made(casting(n)) for n in range(4)]
    air = [h.AirRow(after(n - 0.5), c) for n, c in enumerate([12.0, 7.0, -3.0, 22.0])]
    assert list(groups(report(rows, air=air), "temperature")) == [
        "-5 to 0 C",
        "5 to 10 C",
        "10 to 15 C",
        "20 to 25 C",
    ]
    rows = [made(casting(n), batch=f"B{n}") for n in range(3)]
    lots = {f"B{n}": {("powder", lot)} for n, lot in enumerate(["P10", "P9", "7"])}
    assert list(groups(report(rows, lots=lots), "lot of Powder")) == ["7", "P9", "P10"]


def test_a_room_temperature_that_cannot_be_is_passed_over_for_the_one_before_it():
    air = [h.AirRow(after(0), 17.0), h.AirRow(after(1.5), 172.0), h.AirRow(after(1.6), -60.0)]
    found = report([made(casting(1)), made(casting(2))], air=air)
    assert {name: line.total for name, line in groups(found, "temperature").items()} == {
        "15 to 20 C": 2
    }


def test_lots_are_compared_only_with_lots_of_the_same_material():
    rows = [made(casting(n), batch=f"B{n % 2}") for n in range(4)]
    lots = {"B0": {("powder", "P1"), ("water", "W")}, "B1": {("powder", "P2"), ("water", "W")}}
    found = report(rows, lots=lots)
    assert [g.by for g in found.yields if g.by.startswith("lot")] == ["lot of Powder"]


def test_no_one_is_ranked_on_a_handful_of_castings():
    rows = [made(casting(n), "ana") for n in range(6)]
    rows += [made(casting(n, rejected="void"), "ben") for n in range(6, 9)]
    sentence = next(g.sentence for g in report(rows).yields if g.by == "person")
    assert "2 are not compared: they have under 20 castings" in sentence
    assert "less than" not in sentence


def test_a_gram_of_casting_makes_so_much_wall_by_area_and_density():
    # 300 g at 1.5 g/ml and 450 g at 1.8 g/ml over 500 cm2: 10 w / (d A) is 4 mm and 5 mm.
    mixes = tiny_shop().model_dump(mode="json")["mixes"]["coat"]
    layers = [
        {"mix": "a", "thickness": "4 mm", "area": "500 cm2", "apply": "5 min"},
        {"mix": "b", "thickness": "5 mm", "area": "500 cm2", "apply": "5 min"},
    ]
    shop = tiny_shop(
        mixes={
            "a": {**mixes, "set_density": "1.5 g/ml"},
            "b": {**mixes, "set_density": "1.8 g/ml"},
        },
        pieces={"bowl": {**PIECE, "layers": layers}},
    )
    assert wall_mm_per_gram(build_of(shop, "bowl")) == pytest.approx(9 / 750)
    # Without an area, the wall wanted stands for what the layers are to weigh.
    assert wall_mm_per_gram(BUILD) == pytest.approx(9 / 750)


def weighed(values, kind="weight", point=""):
    rows = [made(casting(n)) for n in range(len(values))]
    readings = [
        h.ReadingRow(kind, f"c{n:03d}", "bowl", "m1", value, point, after(n + 81))
        for n, value in enumerate(values)
    ]
    return report(rows, readings=readings).pieces[0]


def test_light_castings_are_said_in_a_sentence_with_their_walls():
    values = [750 - (-1) ** n * 5 for n in range(30)] + [700.0] * 4
    piece = weighed(values)
    assert piece.chart.direction == "light"
    # 50 g of 750 g is 0.6 mm of a wall of 9 mm.
    assert piece.sentences == (
        "The last four castings of Bowl are light: walls about 0.6 mm thin.",
    )
    assert [bool(point.signals) for point in piece.chart.points[-4:]] == [True] * 4


def test_weights_that_cannot_be_are_left_out_and_the_next_of_the_casting_stands():
    rows = [made(casting(n)) for n in range(6)]
    readings = [
        h.ReadingRow("weight", f"c{n:03d}", "bowl", "m1", 750.0 + n, "", after(n + 81))
        for n in range(6)
    ]
    wrong = dataclasses.replace(readings[2], value=0.0, at=readings[2].at - dt.timedelta(minutes=1))
    chart = report(rows, readings=[*readings[:2], wrong, *readings[2:]]).pieces[0].chart
    assert ([point.grams for point in chart.points], chart.left_out) == (
        [750.0 + n for n in range(6)],
        1,
    )


def test_walls_under_the_least_are_named():
    piece = weighed([9.0, 6.5, 8.8], kind="wall", point="rim")
    line = piece.walls[0]
    assert (line.point, line.readings, line.least_mm, line.thin) == ("rim", 3, 6.5, ("c001",))
    assert "read thinner than 7 mm at rim, the thinnest 6.5 mm: c001." in piece.sentences[0]


def test_only_castings_of_the_latest_amounts_are_charted():
    heavier = [{**layer, "amount": "500 g"} for layer in PIECE["layers"]]
    other = build_of(tiny_shop(pieces={"bowl": {**PIECE, "layers": heavier}}), "bowl")
    rows = [made(casting(n)) for n in range(5)]
    rows += [made(dataclasses.replace(casting(n), build="other")) for n in range(5, 11)]
    readings = [
        h.ReadingRow(
            "weight", f"c{n:03d}", "bowl", "m1", 750.0 if n < 5 else 1000.0, "", after(n + 81)
        )
        for n in range(11)
    ]
    past = Made(shop=SHOP, builds={"b": BUILD, "other": other}, made=rows, readings=readings)
    chart = quality_of(past, START, after(10_000), DAY, DAY).pieces[0].chart
    assert len(chart.points) == 6
