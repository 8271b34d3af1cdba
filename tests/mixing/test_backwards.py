import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.mixing.backwards import layers_from
from floorboard.mixing.batch import share_of
from floorboard.mixing.refusal import MixingError
from tests.mixing.mixes import MATERIALS, additive, mix


def test_740_g_of_powder_makes_three_layers_of_350_g() -> None:
    # 740 g of powder make 1110 g of a 2:1 mix; three layers take 1050 g, 700 g of it powder.
    found = layers_from(mix(), MATERIALS, {"powder-a": 740}, 350)
    assert found.layers == 3
    assert found.runs_out == "powder-a"
    assert found.left_grams["powder-a"] == pytest.approx(40)


def test_what_stays_in_each_bucket_costs_layers() -> None:
    made = mix(largest_batch="720 g", loss={"each": "20 g"})
    found = layers_from(made, MATERIALS, {"powder-a": 740}, 350)
    # One full batch of 720 g for two layers takes 480 g; 260 g are left, for one of 370 g.
    assert (found.full_batches, found.layers_a_batch, found.layers_last) == (1, 2, 1)
    assert found.used_grams["powder-a"] == pytest.approx(2 / 3 * (720 + 370))


def test_the_material_that_ends_first_decides() -> None:
    made = mix(additives=[additive("glass", 6, "all parts")])
    found = layers_from(made, MATERIALS, {"powder-a": 5000, "glass": 36}, 318)
    assert (found.layers, found.runs_out) == (2, "glass")


REFUSED = [
    ({}, 350, "on_hand: found no material"),
    ({"sand": 5}, 350, "found 'sand', which the mix takes none of"),
    ({"powder-a": -5}, 350, "found -5 g on hand"),
    ({"powder-a": 740}, 0, "found 0 g"),
    ({"powder-a": 740}, 3500, "largest_batch: found a layer of 3500 g"),
]


@pytest.mark.parametrize(("on_hand", "layer", "sentence"), REFUSED)
def test_a_question_without_an_answer_is_refused(on_hand, layer, sentence) -> None:
    with pytest.raises(MixingError, match=sentence):
        layers_from(mix(), MATERIALS, on_hand, layer)


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 50_000), st.floats(20, 900), st.integers(0, 60), st.integers(0, 20))
def test_what_is_used_is_on_hand_and_one_more_layer_would_not_be(grams, layer, each, share) -> None:
    made = mix(loss={"each": f"{each} g", "share": f"{share} %"})
    found = layers_from(made, MATERIALS, {"powder-a": grams}, layer)
    used = found.used_grams["powder-a"]
    assert used <= grams * (1 + 1e-6) + 1e-6
    # A layer added to an open batch is the least that one more could take.
    least_more = share_of(made, MATERIALS, "powder-a") * layer / (1 - share / 100)
    if 0 < found.layers_last < found.layers_a_batch:
        assert used + least_more > grams * (1 - 1e-6)
