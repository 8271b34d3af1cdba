import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.mixing.batch import batch_for
from floorboard.mixing.correction import correct
from floorboard.mixing.refusal import MixingError
from tests.mixing.mixes import MATERIALS, additive, mix
from tests.mixing.test_batch import any_mix

QUICK_AND_GLASS = [
    additive("quick", 5, "liquid-b", least="3 %", most="8 %"),
    additive("glass", 6, "all parts", least="3 %", most="12 %"),
]


def adds(correction):
    return [one.add_grams for one in correction.top_ups]


def test_12_g_too_much_liquid_takes_24_g_more_powder_and_the_ratio_is_back() -> None:
    batch = batch_for(mix(), MATERIALS, 300)
    found = correct(batch, {0: 200, 1: 112})
    assert found.fits
    assert found.ratio_returns
    assert adds(found) == [24, 0]
    assert found.made_grams == 336
    assert found.more_grams == 36
    assert found.sentences == (
        "Liquid B is 12 g over its 100 g.",
        "Add what is listed: the batch comes to 336 g and the ratio is back.",
    )


def test_additions_not_yet_weighed_grow_with_the_over_pour() -> None:
    batch = batch_for(mix(additives=QUICK_AND_GLASS), MATERIALS, 323)
    found = correct(batch, {0: 200, 1: 120})
    assert adds(found) == [40, 0, 6, 22]


def test_too_little_is_simply_made_up() -> None:
    batch = batch_for(mix(), MATERIALS, 300)
    found = correct(batch, {0: 190})
    assert adds(found) == [10, 100]
    assert found.more_grams == 0
    assert found.sentences == ("Nothing is over: add what is still missing.",)


def test_a_weight_the_scale_cannot_tell_from_its_target_asks_for_nothing() -> None:
    batch = batch_for(mix(additives=[additive("quick", 4.6, "liquid-b")]), MATERIALS, 304.6)
    assert adds(correct(batch, {0: 200, 1: 100, 2: 5})) == [0, 0, 0]


def test_a_correction_over_the_bucket_is_refused_with_the_reason() -> None:
    batch = batch_for(mix(largest_batch="320 g"), MATERIALS, 300)
    found = correct(batch, {1: 130})
    assert not found.fits
    assert found.top_ups == ()
    (sentence,) = found.sentences
    assert sentence == (
        "Liquid B cannot be put right in this bucket: the corrected batch would be 390 g and the "
        "bucket holds 320 g; Powder A would be 59.4 % of all parts and not 66.7 %; Liquid B would "
        "be 40.6 % of all parts and not 33.3 %. Set it aside and weigh a new batch."
    )


def test_a_bucket_too_full_already_is_refused() -> None:
    batch = batch_for(mix(largest_batch="320 g"), MATERIALS, 300)
    assert not correct(batch, {0: 200, 1: 130}).fits


def test_what_the_bucket_cannot_restore_is_allowed_inside_the_suppliers_range() -> None:
    batch = batch_for(mix(additives=QUICK_AND_GLASS, largest_batch="340 g"), MATERIALS, 323)
    found = correct(batch, {0: 200, 1: 100, 2: 8})
    assert found.fits
    assert not found.ratio_returns
    assert found.made_grams <= 340 + 2
    assert "the bucket holds 340 g" in found.sentences[-1]


def test_an_over_pour_still_inside_the_suppliers_range_can_be_left() -> None:
    batch = batch_for(mix(additives=QUICK_AND_GLASS), MATERIALS, 323)
    assert correct(batch, {2: 7}).can_be_left
    assert not correct(batch, {2: 9}).can_be_left
    assert not correct(batch, {1: 120}).can_be_left


def test_something_the_mix_takes_none_of_cannot_be_put_right() -> None:
    batch = batch_for(mix(additives=QUICK_AND_GLASS), MATERIALS, 300, percents={"quick": 0})
    found = correct(batch, {2: 6})
    assert not found.fits
    assert "the mix takes no Quick" in found.sentences[0]


@pytest.mark.parametrize(("weighed", "sentence"), [({7: 5}, "place 7"), ({1: -5}, "-5 g weighed")])
def test_weights_that_cannot_be_are_refused(weighed, sentence) -> None:
    with pytest.raises(MixingError, match=sentence):
        correct(batch_for(mix(), MATERIALS, 300), weighed)


@settings(max_examples=60, deadline=None)
@given(any_mix(), st.floats(50, 700), st.floats(1.0, 1.8), st.sampled_from([0.1, 1.0]), st.data())
def test_a_correction_returns_the_ratio(made, wanted, factor, scale, data) -> None:
    batch = batch_for(made, MATERIALS, wanted, resolution_grams=scale)
    place = data.draw(st.integers(0, len(batch.additions) - 1))
    over = batch.additions[place]
    weighed = {one.place: one.grams for one in batch.additions if one.place < place}
    found = correct(batch, {**weighed, place: over.grams * factor + 2 * scale})
    if not (found.fits and found.ratio_returns):
        assert found.sentences
        return
    grown = (over.grams * factor + 2 * scale) / over.exact_grams
    for one, top_up in zip(batch.additions, found.top_ups, strict=True):
        assert top_up.comes_to_grams == pytest.approx(one.exact_grams * grown, abs=scale)
