import pytest

from floorboard.mixing.correction import correct
from floorboard.mixing.refusal import MixingError
from floorboard.mixing.ticket import Serving, ticket_for
from floorboard.mixing.weighings import Weighings, check_weighing
from tests.mixing.mixes import MATERIALS, additive, material, mix


@pytest.fixture
def started() -> Weighings:
    made = mix(
        mix=None,
        additives=[additive("quick", 5, "liquid-b")],
        stages=[{"add": ["liquid-b", "powder-a", "quick"], "stir": "60 s"}],
    )
    serving = Serving(mold="m1", layer=0, grams=305)
    return Weighings(ticket=ticket_for("x", made, MATERIALS, [serving], tare_grams=400))


def test_a_weight_outside_the_tolerance_is_flagged_before_the_pour() -> None:
    assert check_weighing(100, 102, 2, name="liquid-b").within
    over = check_weighing(100, 112, 2, name="liquid-b")
    assert not over.within
    assert over.sentence == (
        "liquid-b is 12 g over its 100 g; 2 g is allowed. Put it right before the pour."
    )
    assert "5 g under" in check_weighing(100, 95, 2).sentence


def test_the_tolerance_is_never_finer_than_the_scale() -> None:
    assert check_weighing(5, 5.5, 2, resolution_grams=1).within
    assert not check_weighing(5, 5.6, 2, resolution_grams=1).within


def test_the_scales_reading_gives_the_addition_by_itself(started) -> None:
    taken = started.take_reading(1, 512).take(2, 199)
    assert [(one.number, one.grams, one.source) for one in taken.actual] == [
        (1, 112, "scale"),
        (2, 199, "typed"),
    ]
    assert taken.next_number == 3
    assert taken.reading_to_reach(3) == 400 + 112 + 199 + 5


def test_a_second_note_replaces_the_first_and_the_first_value_stays(started) -> None:
    first = started.take(1, 112)
    second = first.take(1, 100)
    assert [one.grams for one in second.actual] == [100]
    assert [one.grams for one in first.actual] == [112]


def test_a_material_s_own_tolerance_comes_before_the_shop_s(started) -> None:
    taken = started.take(1, 103).take(2, 203)
    loose = {**MATERIALS, "liquid-b": material("liquid", scale_tolerance="5 %")}
    checks = taken.checks(loose, 1)
    assert (checks[1].within, checks[2].within) == (True, False)


def test_what_was_weighed_goes_into_the_correction_by_its_place(started) -> None:
    taken = started.take(1, 112)
    assert taken.by_place() == {1: 112}
    top_ups = correct(started.ticket.batch, taken.by_place()).top_ups
    assert [(one.material, one.add_grams) for one in top_ups] == [
        ("powder-a", 224),
        ("liquid-b", 0),
        ("quick", 6),
    ]


def test_all_weighed_leaves_nothing_next(started) -> None:
    assert started.take(1, 100).take(2, 200).take(3, 5).next_number is None


@pytest.mark.parametrize(("number", "grams", "why"), [(9, 5, "expected 1 to 3"), (1, -5, "-5 g")])
def test_a_weight_that_cannot_be_is_refused(started, number, grams, why) -> None:
    with pytest.raises(MixingError, match=why):
        started.take(number, grams)
