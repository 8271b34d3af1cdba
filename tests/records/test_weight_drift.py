import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.records.control_charts import limits_around
from floorboard.records.run_lengths import ewma_run_length
from floorboard.records.run_rules import NELSON
from floorboard.records.weight_drift import EWMA_SMOOTHING, EWMA_WIDTH, read_weights

FERN = limits_around(5000, 50)
STEADY = [5010.0, 4990, 5020, 4980, 5000, 5030, 4970, 5005]


def test_four_light_castings_are_told_with_the_wall_and_the_likely_layer() -> None:
    weights = [*STEADY, 4900, 4890, 4880, 4885]
    layers = {
        "layer 1": [0.0] * 8 + [-10, -10, -12, -8],
        "layer 2": [0.0] * 8 + [-90, -100, -105, -107],
    }
    # Wall 10 / (1.2 g/ml x 1600 cm2) mm a gram: 111 g light is 0.58 mm.
    drift = read_weights(
        "Fern", weights, FERN, wall_mm_per_gram=10 / (1.2 * 1600), layer_shifts_grams=layers
    )
    assert drift.sentence == (
        "The last four castings of Fern are light: walls about 0.6 mm thin; "
        "layer 2 is the likely one."
    )
    assert (drift.direction, drift.castings, drift.layer) == ("light", 4, "layer 2")
    assert drift.shift_grams == pytest.approx(-111.25)


def test_steady_weights_are_called_steady() -> None:
    drift = read_weights("Fern", STEADY, FERN)
    assert drift.sentence == "Weights of Fern are steady."
    assert drift.signals == ()


def test_one_heavy_casting_is_told_in_grams_where_the_wall_is_not_known() -> None:
    drift = read_weights("Fern", [*STEADY, 5200.0], FERN)
    assert drift.sentence.startswith("The last ")
    assert drift.direction == "heavy"
    assert "g." in drift.sentence


def test_no_layer_is_blamed_when_none_explains_half_of_the_shift() -> None:
    layers = {name: [-30.0] * 12 for name in ("layer 1", "layer 2", "layer 3")}
    drift = read_weights("Fern", [*STEADY, 4890, 4890, 4890, 4890], FERN, layer_shifts_grams=layers)
    assert drift.direction == "light"
    assert drift.layer is None


def test_nothing_weighed_is_said_so() -> None:
    assert read_weights("Fern", [], FERN).sentence == "No castings of Fern have been weighed yet."


def test_the_ewma_of_the_shop_is_the_one_with_known_run_lengths() -> None:
    # Montgomery, ARL table of EWMA schemes, weight .2, width 2.962: 500, 41.8, 10.5 (memory).
    for shift, expected, places in ((0.0, 500, 1.0), (0.5, 41.8, 0.051), (1.0, 10.5, 0.051)):
        found = ewma_run_length(shift, smoothing=EWMA_SMOOTHING, width=EWMA_WIDTH).mean
        assert found == pytest.approx(expected, abs=places)


def test_a_small_lasting_drift_broken_by_one_good_casting_is_still_told() -> None:
    weights = [5000.0, 4950, 4950, 4950, 4950, 4950, 4950, 5001]
    drift = read_weights("Fern", weights, limits_around(5000, 25), rules=())
    # EWMA: (50 x (1 - .8^6)) light, then .8 of that and .2 heavy: 29.3 g, limit 24.7 g.
    assert drift.sentence == "Castings of Fern run light on average, by about 29 g."
    assert drift.castings == 0


def test_a_pattern_that_points_to_no_side_is_kept_but_not_called_a_drift() -> None:
    drift = read_weights("Fern", [5010.0, 4990] * 8, FERN, rules=NELSON)
    assert {s.rule for s in drift.signals} == {"nelson-4", "nelson-7"}
    assert drift.direction == "steady"


def test_a_wall_thinned_by_8_percent_is_caught_as_soon_as_the_run_length_says() -> None:
    """300 seeded pieces, 5 000 g, sigma 5 %: 8 % thinner is a shift of 1.6 sigma.

    The run length of the EWMA alone bounds that of both charts together.
    """
    source, limits, caught = random.Random(3), limits_around(5000, 250), 0
    allowed = ewma_run_length(1.6, smoothing=EWMA_SMOOTHING, width=EWMA_WIDTH).castings_for(0.9)
    for _ in range(300):
        weights = [source.gauss(5000 * 0.92, 250) for _ in range(allowed)]
        caught += any(
            read_weights("Fern", weights[:n], limits).direction == "light"
            for n in range(1, allowed + 1)
        )
    # Nine in ten, less four standard errors.
    assert caught / 300 >= 0.9 - 4 * math.sqrt(0.9 * 0.1 / 300)
    assert allowed <= 9


@given(st.lists(st.floats(4000, 6000), max_size=30))
@settings(max_examples=60)
def test_what_the_sentence_says_is_true_of_the_castings(weights) -> None:
    drift = read_weights("Fern", weights, FERN)
    latest = weights[len(weights) - drift.castings :]
    if drift.direction == "light":
        assert drift.shift_grams < 0
        assert all(w < FERN.center for w in latest)
    elif drift.direction == "heavy":
        assert drift.shift_grams > 0
        assert all(w > FERN.center for w in latest)
    else:
        assert drift.castings == 0


@pytest.mark.parametrize(
    "wrong",
    [
        {"weights_grams": [0.0]},
        {"weights_grams": [-5.0]},
        {"weights_grams": [math.nan]},
        {"weights_grams": [math.inf]},
        {"weights_grams": [5000.0], "layer_shifts_grams": {"layer 1": []}},
        {"weights_grams": [5300.0], "wall_mm_per_gram": 0},
    ],
)
def test_impossible_weights_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        read_weights("Fern", limits=FERN, **wrong)
