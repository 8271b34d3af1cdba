import math

import pytest

from floorboard.shop import checked_numbers as checked


def test_sound_numbers_pass_unchanged() -> None:
    assert checked.finite(3, "Weight") == 3.0
    assert checked.at_least(0, 0, "Weight") == 0
    assert checked.above(0.1, 0, "Weight") == 0.1
    assert checked.between(5, 0, 5, "Weight") == 5
    assert checked.open_share(0.95, "Confidence") == 0.95
    assert checked.whole(3, "Count") == 3
    assert checked.all_finite([1, 2.5], "Weight") == (1.0, 2.5)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (lambda: checked.finite(math.nan, "Weight"), "Weight must be a number, not nan; read"),
        (lambda: checked.finite("5", "Weight"), "Weight must be a number, not '5'."),
        (lambda: checked.finite(True, "Weight"), "Weight must be a number, not True."),
        (lambda: checked.at_least(-1, 0, "Weight"), "Weight is -1, but cannot be under 0"),
        (lambda: checked.above(0, 0, "Weight"), "Weight is 0, but must be over 0"),
        (lambda: checked.between(6, 0, 5, "Weight"), "Weight is 6, but must lie from 0 to 5"),
        (lambda: checked.open_share(95, "Confidence"), "Confidence is 95, but must lie between"),
        (lambda: checked.whole(1.5, "Count"), "Count must be a whole number, not 1.5."),
        (lambda: checked.whole(-1, "Count"), "Count is -1, but cannot be under 0"),
        (lambda: checked.all_finite([], "Weight"), "Weight: at least 1 needed, 0 given."),
        (lambda: checked.all_finite([1, math.inf], "Weight"), "Weight number 2 must be"),
    ],
)
def test_a_number_that_cannot_be_is_refused_by_name(wrong, sentence) -> None:
    with pytest.raises(ValueError) as refusal:  # noqa: PT011 - the sentence is compared below
        wrong()
    assert str(refusal.value).startswith(sentence)
