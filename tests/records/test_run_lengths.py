import math
import random

import pytest

from floorboard.records.run_lengths import ewma_run_length, rules_run_length
from floorboard.records.run_rules import NELSON, WESTERN_ELECTRIC, rule_signals

W1, W2, W3, W4 = WESTERN_ELECTRIC


@pytest.mark.parametrize(
    ("shift", "alone", "with_two", "with_four", "with_eight"),
    [
        # Champ & Woodall, Technometrics 29 (1987), Table 1 (C1, C12, C13, C14).
        (0.0, 370.40, 225.44, 166.05, 152.73),
        (0.4, 200.08, 104.46, 63.88, 59.76),
        (1.0, 43.89, 20.01, 12.66, 14.58),
        (2.0, 6.30, 3.65, 3.68, 4.89),
        (3.0, 2.00, 1.68, 1.89, 1.99),
    ],
)
def test_run_lengths_with_run_rules_are_those_published(
    shift, alone, with_two, with_four, with_eight
) -> None:
    for rules, expected in (
        ([W1], alone), ([W1, W2], with_two), ([W1, W3], with_four), ([W1, W4], with_eight)
    ):  # fmt: skip
        assert rules_run_length(shift, rules).mean == pytest.approx(expected, abs=0.0051)


def test_all_four_western_electric_rules_cry_wolf_every_91_castings() -> None:
    # Champ & Woodall (1987), quoted in NIST/SEMATECH e-Handbook 6.3.2 as 91.75.
    assert rules_run_length(0).mean == pytest.approx(91.75, abs=0.005)


@pytest.mark.parametrize(
    ("smoothing", "width", "shift", "expected"),
    [
        # Crowder, Technometrics 29 (1987), Table 1.
        (0.5, 2, 0.0, 26.45), (0.5, 2, 0.5, 11.89), (0.5, 2, 1.0, 4.91), (0.5, 2, 4.0, 1.05),
        (0.05, 2, 0.0, 127.53), (0.05, 2, 0.5, 18.97), (0.05, 2, 2.0, 4.04),
    ],
)  # fmt: skip
def test_ewma_run_lengths_are_those_of_crowder(smoothing, width, shift, expected) -> None:
    found = ewma_run_length(shift, smoothing=smoothing, width=width).mean
    assert found == pytest.approx(expected, abs=0.0051)


@pytest.mark.parametrize(
    ("smoothing", "width", "shift", "expected"),
    [
        # Lucas & Saccucci, Technometrics 32 (1990), Table 3 (three figures).
        (0.5, 3.071, 0.0, 500), (0.5, 3.071, 0.25, 255), (0.5, 3.071, 1.0, 17.5),
        (0.03, 2.437, 0.0, 500), (0.03, 2.437, 0.5, 29.3), (0.03, 2.437, 3.0, 4.03),
        # Waldmann, Applied Statistics 35 (1986), Table 1, limits at twice the value's sigma.
        (0.75, 2 * math.sqrt(1.25 / 0.75), 0.0, 104.0),
    ],
)  # fmt: skip
def test_ewma_run_lengths_are_those_of_lucas_and_saccucci(
    smoothing, width, shift, expected
) -> None:
    found = ewma_run_length(shift, smoothing=smoothing, width=width).mean
    assert found == pytest.approx(expected, rel=3e-3)


def test_ewma_run_length_agrees_with_a_published_figure_to_nine_places() -> None:
    # Reference example printed with Crowder's method: shift 1, weight .25, limits at 3 sigma.
    found = ewma_run_length(1.0, smoothing=0.25, width=3.0).mean
    assert found == pytest.approx(11.154267016, abs=1e-8)


@pytest.mark.parametrize(
    ("smoothing", "reach"), [(0.05, 0.441), (0.1, 0.675), (0.2, 1.027), (0.25, 1.177)]
)
def test_the_median_run_length_is_that_of_gan(smoothing, reach) -> None:
    # Gan, J. Statist. Comput. Simul. 45 (1993), Table 1: median 500 with limits of three figures.
    width = reach / math.sqrt(smoothing / (2 - smoothing))
    median = ewma_run_length(0, smoothing=smoothing, width=width).castings_for(0.5)
    assert median == pytest.approx(500, rel=0.01)


def test_a_single_rule_has_a_geometric_run_length() -> None:
    beyond = math.erfc(3 / math.sqrt(2))
    length = rules_run_length(0, [W1])
    assert length.mean == pytest.approx(1 / beyond)
    for castings in (1, 50, 5000, 9000):
        assert length.chance_within(castings) == pytest.approx(1 - (1 - beyond) ** castings)
    assert length.castings_for(0.9999) == math.ceil(math.log(1e-4) / math.log(1 - beyond))


def test_chances_and_castings_are_each_others_inverse() -> None:
    for length in (ewma_run_length(1.0), rules_run_length(0.5)):
        for chance in (0.1, 0.5, 0.9, 0.999, 0.99999):
            castings = length.castings_for(chance)
            assert length.chance_within(castings) >= chance - 1e-12
            assert length.chance_within(castings - 1) < chance


def test_a_greater_shift_is_seen_sooner() -> None:
    means = [ewma_run_length(shift / 4).mean for shift in range(9)]
    assert means == sorted(means, reverse=True)
    assert ewma_run_length(1.0).mean == pytest.approx(ewma_run_length(-1.0).mean)
    assert rules_run_length(1.0).mean == pytest.approx(rules_run_length(-1.0).mean)


def test_the_rules_as_written_signal_as_often_as_the_run_length_says() -> None:
    """3 000 charts of shifted castings, seeded; the mean within four standard errors."""
    source, lengths = random.Random(7), []
    for _ in range(3000):
        scores: list[float] = []
        while True:
            scores.append(source.gauss(1.5, 1))
            if any(s.index == len(scores) - 1 for s in rule_signals(scores, WESTERN_ELECTRIC)):
                break
        lengths.append(len(scores))
    mean = sum(lengths) / len(lengths)
    error = math.sqrt(sum((n - mean) ** 2 for n in lengths)) / len(lengths)
    assert abs(mean - rules_run_length(1.5).mean) < 4 * error


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: rules_run_length(0, []),
        lambda: rules_run_length(0, NELSON),
        lambda: rules_run_length(math.nan),
        lambda: ewma_run_length(0, smoothing=0),
        lambda: ewma_run_length(0, width=-1),
        lambda: ewma_run_length(1).castings_for(1.0),
        lambda: ewma_run_length(1).chance_within(-1),
    ],
)
def test_run_lengths_that_are_not_known_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        wrong()
