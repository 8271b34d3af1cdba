from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.mixing.cautions import DEFERENCE
from floorboard.mixing.refusal import MixingError
from floorboard.mixing.ticket import Serving, Ticket, stage_findings, ticket_for
from tests.mixing.mixes import GLASS_TABLE, MATERIALS, additive, mix
from tests.mixing.test_batch import any_mix

STAGED = {
    "mix": None,
    "additives": [additive("glass", 6, "all parts"), additive("quick", 5, "liquid-b")],
    "working_time": GLASS_TABLE,
    "cautions": ["skin", "dust", "fibre"],
    "stages": [
        {"add": ["liquid-b"], "stir": "0 s"},
        {"add": ["powder-a"], "stir": "60 s", "sift": True},
        {"add": ["quick"], "stir": "30 s", "starts_clock": True, "note": "Late and quickly."},
        {"add": ["glass"], "stir": "20 s", "stir_at_most": "40 s"},
    ],
}


def serve(*grams: float) -> list[Serving]:
    return [Serving(mold=f"m{n + 1}", layer=n, grams=each) for n, each in enumerate(grams)]


def test_additions_follow_the_stages_and_the_scale_reading_runs_on() -> None:
    ticket = ticket_for("two-to-one", mix(**STAGED), MATERIALS, serve(123, 200), tare_grams=412)
    rows = [(a.number, a.material, a.grams, a.reading_grams, a.sift) for a in ticket.additions]
    assert rows == [
        (1, "liquid-b", 100, 512, False),
        (2, "powder-a", 200, 712, True),
        (3, "quick", 5, 717, False),
        (4, "glass", 18, 735, False),
    ]
    assert [stage.stir_seconds for stage in ticket.stages] == [0, 60, 30, 20]
    assert ticket.stages[3].stir_at_most_seconds == 40
    assert [stage.starts_clock for stage in ticket.stages] == [False, False, True, False]
    assert ticket.mixing_seconds_of_it == 50
    assert [serving.mold for serving in ticket.servings] == ["m1", "m2"]


def test_without_stages_parts_go_in_order_and_then_the_additives() -> None:
    made = mix(additives=[additive("glass", 6, "all parts")])
    ticket = ticket_for("two-to-one", made, MATERIALS, serve(318))
    assert [a.material for a in ticket.additions] == ["powder-a", "liquid-b", "glass"]
    (stage,) = ticket.stages
    assert stage.starts_clock
    assert stage.stir_seconds == 90


def test_the_working_time_is_that_of_the_percentage_on_this_ticket() -> None:
    at_2 = ticket_for("x", mix(**STAGED), MATERIALS, serve(320), percents={"quick": 2})
    assert at_2.working_time.seconds == 15 * 60
    past = ticket_for("x", mix(**STAGED), MATERIALS, serve(320), percents={"quick": 6})
    assert any("past the table's end" in remark for remark in past.remarks)


def test_cautions_of_the_mix_are_on_the_ticket_and_defer_to_the_data_sheet() -> None:
    cautions = ticket_for("x", mix(**STAGED), MATERIALS, serve(320)).cautions
    assert [line.split(":")[0] for line in cautions[:-1]] == ["Dust", "Fibre", "Skin"]
    assert cautions[-1] == DEFERENCE


def test_a_batch_that_sets_before_it_is_mixed_is_said() -> None:
    slow = ticket_for("x", mix(mix="8 min"), MATERIALS, serve(320))
    assert slow.remarks == (
        "Mixing takes 8 min of a working time of 7 min: nothing is left to apply it in.",
    )


def test_stages_that_miss_or_invent_a_material_are_refused() -> None:
    stages = [{"add": ["powder-a", "sand"], "stir": "60 s"}]
    made = mix(mix=None, stages=stages)
    assert [str(finding) for finding in stage_findings(made)] == [
        "stages: found none that adds liquid-b, which the mix takes",
        "stages.0.add: found 'sand', which is not in the mix; expected one of: powder-a, liquid-b",
    ]
    with pytest.raises(MixingError, match="none that adds liquid-b"):
        ticket_for("x", made, MATERIALS, serve(300))


def test_a_material_that_is_part_and_additive_can_go_in_twice() -> None:
    stages = [
        {"add": ["powder-a", "liquid-b"], "stir": "60 s"},
        {"add": ["liquid-b"], "stir": "10 s"},
    ]
    made = mix(mix=None, stages=stages, additives=[additive("liquid-b", 10, "powder-a")])
    ticket = ticket_for("x", made, MATERIALS, serve(320))
    assert [(a.material, a.grams) for a in ticket.additions] == [
        ("powder-a", 200),
        ("liquid-b", 100),
        ("liquid-b", 20),
    ]
    thrice = [*stages, {"add": ["liquid-b"], "stir": "10 s"}]
    (finding,) = stage_findings(
        made.model_copy(update={"stages": mix(mix=None, stages=thrice).stages})
    )
    assert "liquid-b added 3 times, expected at most 2" in finding.sentence


@pytest.mark.parametrize("tare", [-1, float("nan"), float("inf")])
def test_a_tare_that_is_no_weight_is_refused(tare) -> None:
    with pytest.raises(MixingError, match="tare: found"):
        ticket_for("x", mix(), MATERIALS, serve(300), tare_grams=tare)


def test_a_ticket_survives_being_written_as_json() -> None:
    ticket = ticket_for("two-to-one", mix(**STAGED), MATERIALS, serve(123, 200))
    assert Ticket.model_validate_json(ticket.model_dump_json()) == ticket


@settings(max_examples=50, deadline=None)
@given(any_mix(), st.floats(1, 1400), st.sampled_from([0.1, 1.0, 5.0]), st.integers(0, 900))
def test_the_readings_of_a_ticket_sum_to_its_batch(made, wanted, scale, tare) -> None:
    tare = tare * scale
    ticket = ticket_for(
        "x", made, MATERIALS, serve(wanted), resolution_grams=scale, tare_grams=tare
    )
    readings = [tare, *(addition.reading_grams for addition in ticket.additions)]
    steps = [after - before for before, after in pairwise(readings)]
    assert steps == pytest.approx([a.grams for a in ticket.additions], abs=scale * 1e-6)
    assert readings[-1] - tare == pytest.approx(ticket.batch.weighed_grams)
