import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.records.kpis import (
    Quantities,
    UnitTimes,
    first_pass_ratio,
    throughput_rate,
    worker_efficiency,
)

# Names and formulas: ISO 22400-2:2014 (by its open ontology). Figures worked by hand.


def test_the_times_of_a_mold_give_the_standards_three_efficiencies() -> None:
    times = UnitTimes(planned_busy_minutes=480, busy_minutes=360, production_minutes=300)
    assert times.availability == 0.625  # APT/PBT
    assert times.allocation_efficiency == 0.75  # AUBT/PBT
    assert times.utilization_efficiency == pytest.approx(5 / 6)  # APT/AUBT


def test_the_quantities_of_a_day_give_the_standards_three_ratios() -> None:
    day = Quantities(produced=40, good=34, scrapped=4, reworked=2)
    assert day.quality_ratio == 0.85  # GQ/PQ
    assert day.scrap_ratio == 0.1  # SQ/PQ
    assert day.rework_ratio == 0.05  # RQ/PQ
    assert day.unaccounted == 0


def test_first_pass_throughput_and_worker_efficiency() -> None:
    assert first_pass_ratio(18, 20) == 0.9  # GP/IP
    assert throughput_rate(12, 480) == 0.025  # PQ/AOET
    assert worker_efficiency(360, 450) == 0.8  # APWT/APAT


minutes = st.floats(1e-3, 1e5)


@given(minutes, minutes, st.floats(0, 1))
def test_availability_is_allocation_times_utilization(planned, busy, share) -> None:
    times = UnitTimes(planned, busy, busy * share)
    product = times.allocation_efficiency * times.utilization_efficiency
    assert times.availability == pytest.approx(product)


@given(st.integers(0, 1000), st.integers(0, 1000), st.integers(0, 1000))
def test_the_ratios_sum_to_one_when_the_counts_reconcile(good, scrapped, reworked) -> None:
    day = Quantities(good + scrapped + reworked, good, scrapped, reworked)
    assert day.unaccounted == 0
    if day.produced:
        assert day.quality_ratio + day.scrap_ratio + day.rework_ratio == pytest.approx(1)


def test_castings_that_do_not_reconcile_are_counted() -> None:
    assert Quantities(produced=10, good=7, scrapped=1, reworked=0).unaccounted == 2


def test_a_day_without_work_has_no_figures_rather_than_zeros() -> None:
    idle = UnitTimes(0, 0, 0)
    assert (idle.availability, idle.allocation_efficiency, idle.utilization_efficiency) == (
        None,
        None,
        None,
    )
    assert Quantities(0, 0, 0, 0).quality_ratio is None
    assert first_pass_ratio(0, 0) is None
    assert throughput_rate(0, 0) is None
    assert worker_efficiency(0, 0) is None


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: UnitTimes(480, 100, 101),
        lambda: UnitTimes(-1, 0, 0),
        lambda: UnitTimes(math.nan, 0, 0),
        lambda: UnitTimes(480, math.inf, 0),
        lambda: Quantities(-1, 0, 0, 0),
        lambda: Quantities(1.5, 0, 0, 0),
        lambda: first_pass_ratio(3, 2),
        lambda: throughput_rate(3, -1),
        lambda: worker_efficiency(500, 450),
        lambda: worker_efficiency(-1, 450),
    ],
)
def test_figures_that_cannot_be_are_refused_in_a_sentence(wrong) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        wrong()
