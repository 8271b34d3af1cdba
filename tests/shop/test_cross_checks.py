"""Every cross check with an example that fails it, and the sound shop that passes them all."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.shop.cross_checks import findings, findings_in_data
from floorboard.shop.findings import duration_text
from floorboard.shop.mixes import Mix
from floorboard.shop.people_checks import longest_stretch_seconds
from floorboard.shop.piece_checks import usual_working_seconds
from floorboard.shop.shop import Person, Shop
from tests.shop.sound_shop import BOWL, SHELL, SOUND, changed


def test_the_sound_shop_has_no_finding() -> None:
    assert findings(Shop.model_validate(SOUND)) == []
    assert findings_in_data(SOUND) == []


FAILING = {
    "unknown mix": (
        [((*BOWL, "layers", 1, "mix"), "shel")],
        (*BOWL, "layers", 1, "mix"),
        "'shel'",
        "'shell'",
    ),
    "unknown station of a layer": (
        [((*BOWL, "layers", 0, "station"), "frame")],
        (*BOWL, "layers", 0, "station"),
        "'frame'",
        "[stations]",
    ),
    "unknown station of a step": (
        [((*BOWL, "route", 1, "station"), "rak")],
        (*BOWL, "route", 1, "station"),
        "'rak'",
        "'rack'",
    ),
    "unknown station of a mix": (
        [((*SHELL, "station"), "mixer")],
        (*SHELL, "station"),
        "'mixer'",
        "[stations]",
    ),
    "unknown material of a part": (
        [((*SHELL, "parts", 1, "material"), "bindr")],
        (*SHELL, "parts", 1, "material"),
        "'bindr'",
        "'binder'",
    ),
    "unknown material of an additive": (
        [((*SHELL, "additives", 1, "material"), "fiber")],
        (*SHELL, "additives", 1, "material"),
        "'fiber'",
        "[materials]",
    ),
    "unknown material used": (
        [((*BOWL, "route", 0, "uses"), {"wax": "5 g"})],
        (*BOWL, "route", 0, "uses", "wax"),
        "'wax'",
        "[materials]",
    ),
    "unknown active material": (
        [(("materials", "stock", "solution", "active"), "slat")],
        ("materials", "stock", "solution", "active"),
        "'slat'",
        "'salt'",
    ),
    "unknown piece of a mold": (
        [(("molds", "bowl-2", "piece"), "boul")],
        ("molds", "bowl-2", "piece"),
        "'boul'",
        "'bowl'",
    ),
    "unknown piece of an order": (
        [(("orders", "fair", "piece"), "vase")],
        ("orders", "fair", "piece"),
        "'vase'",
        "[pieces]",
    ),
    "mold number twice": (
        [(("molds", "bowl-2", "number"), 1)],
        ("molds", "bowl-2", "number"),
        "'bowl-1' already",
        "of its own",
    ),
    "base that is no material of the mix": (
        [((*SHELL, "additives", 0, "of"), "salt")],
        (*SHELL, "additives", 0, "of"),
        "'salt'",
        "'all parts'",
    ),
    "stage adds what is not in the mix": (
        [((*SHELL, "stages", 1, "add"), ["stock", "fibre", "salt"])],
        (*SHELL, "stages", 1, "add", 2),
        "'salt'",
        "of this mix",
    ),
    "table of what is no additive": (
        [((*SHELL, "working_time", "additive"), "binder")],
        (*SHELL, "working_time", "additive"),
        "'binder'",
        "an additive of this mix",
    ),
    "solution of itself": (
        [(("materials", "stock", "solution", "active"), "stock")],
        ("materials", "stock", "solution", "active"),
        "made from itself",
        "bought",
    ),
    "solutions in a circle": (
        [(("materials", "salt", "solution"), {"active": "stock", "amount": "1 g", "water": "1 g"})],
        ("materials", "salt", "solution", "active"),
        "salt of stock of salt",
        "bought",
    ),
    "material listed twice": (
        [
            ((*SHELL, "parts", 1, "material"), "plaster"),
            ((*SHELL, "additives", 0, "of"), "plaster"),
            ((*SHELL, "stages", 0, "add"), ["plaster"]),
        ],
        (*SHELL, "parts", 1, "material"),
        "second time",
        "once",
    ),
    "no powder among the parts": (
        [
            ((*SHELL, "additives", 1, "of"), "all powders"),
            (("materials", "plaster", "form"), "liquid"),
        ],
        (*SHELL, "additives", 1, "of"),
        "no part of this mix is a powder",
        "weighs something",
    ),
    "no liquid among the parts": (
        [
            ((*SHELL, "additives", 1, "of"), "all liquids"),
            (("materials", "binder", "form"), "powder"),
        ],
        (*SHELL, "additives", 1, "of"),
        "no part of this mix is a liquid",
        "weighs something",
    ),
    "base is itself": (
        [((*SHELL, "additives", 1, "of"), "fibre")],
        (*SHELL, "additives", 1, "of"),
        "itself depends on 'fibre'",
        "before this additive",
    ),
    "below the supplier's range": (
        [((*SHELL, "additives", 1, "percent"), "2.9 %")],
        (*SHELL, "additives", 1, "percent"),
        "2.9 %",
        "at least 3 % and at most 12 %",
    ),
    "above the supplier's range": (
        [((*SHELL, "additives", 1, "percent"), "12.1 %")],
        (*SHELL, "additives", 1, "percent"),
        "12.1 %",
        "at most 12 %",
    ),
    "volume without density": (
        [((*SHELL, "by"), "volume"), (("materials", "plaster", "density"), None)],
        (*SHELL, "parts", 0, "material"),
        "'plaster' has no density",
        "[materials.plaster]",
    ),
    "stages leave an additive out": (
        [((*SHELL, "stages", 1, "add"), ["fibre"])],
        (*SHELL, "stages"),
        "no stage that adds 'stock'",
        "every part",
    ),
    "stages add a part twice": (
        [((*SHELL, "stages", 1, "add"), ["stock", "fibre", "binder"])],
        (*SHELL, "stages", 1, "add", 2),
        "'binder' added a second time",
        "once",
    ),
    "two stages start the clock": (
        [((*SHELL, "stages", 1, "starts_clock"), True)],
        (*SHELL, "stages", 1, "starts_clock"),
        "stage 1 does",
        "one stage",
    ),
    "stirred longer than allowed": (
        [((*SHELL, "stages", 1, "stir_at_most"), "20 s")],
        (*SHELL, "stages", 1, "stir"),
        "30 s",
        "at most 20 s",
    ),
    "percentage outside the table": (
        [((*SHELL, "additives", 0, "percent"), "3.5 %")],
        (*SHELL, "additives", 0, "percent"),
        "3.5 %",
        "between 1 % and 3 %",
    ),
    "temperatures do not rise": (
        [((*SHELL, "temperature"), [{"at": "20 C", "factor": 1}, {"at": "20 C", "factor": 2}])],
        (*SHELL, "temperature", 1, "at"),
        "20 C after 20 C",
        "rise",
    ),
    "thickness without set density": (
        [((*SHELL, "set_density"), None)],
        (*BOWL, "layers", 1, "thickness"),
        "no set_density",
        "[mixes.shell]",
    ),
    "layer of nothing": (
        [((*BOWL, "layers", 0, "amount"), "0 g")],
        (*BOWL, "layers", 0, "amount"),
        "nothing",
        "weighs something",
    ),
    # (1790 + 20) / 0.9 = 2011 g, above the bucket's 2 kg; 1780 g would just fit.
    "layer and loss over the largest batch": (
        [((*BOWL, "layers", 0, "amount"), "1790 g")],
        (*BOWL, "layers", 0, "amount"),
        "2011 g",
        "2 kg",
    ),
    # 2 % is half way between 20 and 10 min: 15 min, less 30 s; 90 s to mix leaves 13 min.
    "longer than the working time": (
        [((*BOWL, "layers", 0, "apply"), "13 min 1 s")],
        (*BOWL, "layers", 0, "apply"),
        "14 min 31 s",
        "at most 14 min 30 s",
    ),
    "window too short to mix in": (
        [(("shop", "mix_ahead"), False), ((*BOWL, "layers", 0, "recoat_by"), "18 min")],
        (*BOWL, "layers", 0, "recoat_by"),
        "window of 3 min",
        "at least 3 min 30 s",
    ),
    # The longest time between Ana's breaks is 07:30-12:30.
    "task longer than anyone's stretch": (
        [((*BOWL, "route", 0, "takes"), "301 min")],
        (*BOWL, "route", 0, "takes"),
        "5 h 1 min",
        "at most 5 h",
    ),
    "nobody with the skill": (
        [(("people", "ana", "skills"), ["ready", "layer", "demold"])],
        ("people",),
        "nobody with the skill 'finish'",
        "'bowl' needs it",
    ),
    "break outside every shift": (
        [(("people", "ana", "breaks", 0), {"days": "sat", "start": "12:30", "end": "13:00"})],
        ("people", "ana", "breaks", 0),
        "outside every shift on sat",
        "inside shifts",
    ),
    "break that ends after the shift": (
        [
            (("people", "ana", "breaks", 0, "start"), "16:50"),
            (("people", "ana", "breaks", 0, "end"), "17:10"),
        ],
        ("people", "ana", "breaks", 0),
        "16:50-17:10",
        "inside shifts",
    ),
    "constant weight on a curing step": (
        [((*BOWL, "route", 1), {"kind": "cure", "takes": "2 h", "to_constant_weight": True})],
        (*BOWL, "route", 1, "to_constant_weight"),
        "'cure'",
        "'dry'",
    ),
    "hands-on time in a passive step": (
        [((*BOWL, "route", 1, "each_more"), "1 min")],
        (*BOWL, "route", 1, "each_more"),
        "'dry'",
        "no hands",
    ),
    "material used in a passive step": (
        [((*BOWL, "route", 1, "uses"), {"salt": "1 g"})],
        (*BOWL, "route", 1, "uses"),
        "'dry'",
        "no hands",
    ),
    "least wall above the wall": (
        [((*BOWL, "wall"), "6 mm"), ((*BOWL, "least_wall"), "7 mm")],
        (*BOWL, "least_wall"),
        "7 mm",
        "6 mm",
    ),
}


@pytest.mark.parametrize("name", FAILING)
def test_each_check_names_the_place_and_the_numbers(name) -> None:
    changes, path, found, expected = FAILING[name]
    data = changed(*changes)
    for listed in (findings(Shop.model_validate(data)), findings_in_data(data)):
        at_path = [finding for finding in listed if finding.path == path]
        assert at_path, [finding.message for finding in listed]
        assert any(found in finding.found for finding in at_path)
        assert any(expected in f"{finding.expected} {finding.remedy}" for finding in at_path)


@pytest.mark.parametrize(
    "change",
    [
        ((*BOWL, "layers", 0, "amount"), "1780 g"),
        ((*BOWL, "layers", 0, "apply"), "13 min"),
        ((*BOWL, "route", 0, "takes"), "300 min"),
        ((*SHELL, "additives", 1, "percent"), "3 %"),
        ((*SHELL, "additives", 0, "percent"), "1 %"),
        ((*BOWL, "layers", 1, "recoat_by"), "none"),
    ],
)
def test_what_just_fits_is_let_through(change) -> None:
    assert findings(Shop.model_validate(changed(change))) == []


def test_bases_that_lean_on_each_other_are_circular_for_each_of_them() -> None:
    data = changed(
        ((*SHELL, "additives", 0, "of"), "fibre"), ((*SHELL, "additives", 1, "of"), "stock")
    )
    paths = [finding.path for finding in findings(Shop.model_validate(data))]
    assert paths == [(*SHELL, "additives", 0, "of"), (*SHELL, "additives", 1, "of")]
    # "everything before it" may not count an additive that is a percentage of this one.
    data = changed(
        ((*SHELL, "additives", 0, "of"), "fibre"),
        ((*SHELL, "additives", 1, "of"), "everything before it"),
    )
    assert len(findings(Shop.model_validate(data))) == 2


def test_several_findings_come_at_once() -> None:
    data = changed(
        ((*BOWL, "layers", 1, "mix"), "nothing"),
        (("molds", "bowl-2", "number"), 1),
        ((*SHELL, "additives", 1, "percent"), "50 %"),
        (("orders", "fair", "piece"), "vase"),
    )
    assert len(findings(Shop.model_validate(data))) == 4


def test_a_field_that_cannot_be_read_hides_no_other_finding() -> None:
    data = changed(
        ((*SHELL, "weigh"), "two minutes"),  # the mix is broken, its names are still looked up
        ((*SHELL, "additives", 0, "of"), "water"),
        ((*BOWL, "layers", 1, "mix"), "shel"),
        (("people", "ana", "hourly"), "a lot"),
        ((*BOWL, "least_wall"), "9 mm"),
        ((*BOWL, "wall"), "8 mm"),
    )
    assert {finding.path for finding in findings_in_data(data)} == {
        (*SHELL, "additives", 0, "of"),
        (*BOWL, "layers", 1, "mix"),
        (*BOWL, "least_wall"),
    }


WORDS = [
    "mixes",
    "pieces",
    "molds",
    "orders",
    "materials",
    "stations",
    "people",
    "shop",
    "parts",
    "additives",
    "stages",
    "add",
    "material",
    "of",
    "working_time",
    "additive",
    "layers",
    "mix",
    "route",
    "uses",
    "piece",
    "number",
    "solution",
    "active",
    "station",
    "bowl",
]
any_data = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.sampled_from(WORDS),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(WORDS), inner, max_size=4)
    ),
    max_leaves=20,
)


@given(st.dictionaries(st.sampled_from(WORDS), any_data, max_size=6))
@settings(max_examples=80, deadline=None)
def test_data_of_any_form_raises_nothing(data) -> None:
    assert all(finding.message for finding in findings_in_data(data))


def test_breaks_left_on_their_usual_days_may_be_more_than_the_shift() -> None:
    data = changed(
        (("people", "ana", "shifts", 0, "days"), "mon-thu"),
        (("people", "ana", "breaks", 0), {"start": "12:30", "end": "13:00"}),
    )
    assert findings(Shop.model_validate(data)) == []


def test_a_break_of_a_night_shift_starts_on_the_day_after() -> None:
    night = (("people", "ana", "shifts", 0), {"days": "fri", "start": "22:00", "end": "06:00"})
    saturday = {"days": "sat", "start": "01:00", "end": "01:30"}
    friday = {"days": "fri", "start": "01:00", "end": "01:30"}
    assert (
        findings(Shop.model_validate(changed(night, (("people", "ana", "breaks", 0), saturday))))
        == []
    )
    assert (
        len(findings(Shop.model_validate(changed(night, (("people", "ana", "breaks", 0), friday)))))
        == 1
    )


def test_the_longest_stretch_runs_past_midnight_and_between_breaks() -> None:
    person = Person.model_validate(
        {
            "name": "N",
            "shifts": [{"days": "mon-sun", "start": "20:00", "end": "04:00"}],
            "breaks": [{"days": "mon-sun", "start": "01:00", "end": "01:15"}],
        }
    )
    assert longest_stretch_seconds(person) == 5 * 3600


def test_working_time_is_read_from_the_table_and_never_past_its_ends() -> None:
    shell = SOUND["mixes"]["shell"]

    def seconds(percent: str) -> float | None:
        additives = [shell["additives"][0] | {"percent": percent}, shell["additives"][1]]
        return usual_working_seconds(Mix.model_validate(shell | {"additives": additives}))

    assert [seconds(f"{p} %") for p in (1, 2, 3)] == [20 * 60, 15 * 60, 10 * 60]
    assert seconds("0.5 %") is None
    assert seconds("4 %") is None


def test_times_are_told_as_the_file_writes_them() -> None:
    assert [duration_text(s) for s in (0, 45, 90, 3600, 8130)] == [
        "0 s",
        "45 s",
        "1 min 30 s",
        "1 h",
        "2 h 15 min 30 s",
    ]
