"""Worker-machine figures agree with published ones."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.planning.worker_machine import Servicing, finite_source


def test_the_round_and_its_cost_are_those_of_the_course_key() -> None:
    # Machine-assignment solution key, engineering-management course MSC 600 (Stafford, 2005):
    # run 13, service 3, walk 0 min, 3 pieces a cycle, labour 14/h, machine 37/h.
    chart = Servicing(service=3, walk=0, run=13)
    assert chart.ratio == pytest.approx(16 / 3)
    assert chart.cycle(1) == 16
    assert 60 / chart.cycle(1) * 3 == pytest.approx(11.25)
    assert chart.cost_per_piece(1, 14 / 60, 37 / 60, 3) == pytest.approx(4.533, abs=5e-4)
    assert chart.cost_per_piece(5, 14 / 60, 37 / 60, 3) == pytest.approx(3.5378, abs=5e-5)
    assert chart.person_idle(5) == 1
    assert chart.cycle(6) == 18
    assert chart.cost_per_piece(6, 14 / 60, 37 / 60, 3) == pytest.approx(3.9333, abs=5e-5)
    assert chart.machine_idle(6) == 2
    assert chart.best_number(14 / 60, 37 / 60, 3) == 5


def test_the_finite_source_is_that_of_the_textbook() -> None:
    # Stevenson, Operations Management (14th ed.), example 10: five machines, one person, service
    # 10 and run 70 min (the book prints .920 / .40 / 4.025 / 6.957 from a rounded table).
    long_run = finite_source(5, service=10, run=70)
    assert long_run.nobody_needed == pytest.approx(0.424719, abs=1e-6)
    assert long_run.being_served == pytest.approx(0.575281, abs=1e-6)
    assert long_run.waiting == pytest.approx(0.397756, abs=1e-6)
    assert long_run.running == pytest.approx(4.026964, abs=1e-6)
    assert long_run.wait == pytest.approx(6.914, abs=5e-4)


@given(st.integers(1, 12), st.floats(0.5, 30), st.floats(0.5, 200), st.integers(1, 4))
def test_what_stops_is_what_is_served(
    machines: int, service: float, run: float, people: int
) -> None:
    long_run = finite_source(machines, service, run, people)
    # In the long run as many machines stop as are set going again.
    assert long_run.running / run == pytest.approx(long_run.being_served / service)
    if people >= machines:
        assert long_run.waiting == pytest.approx(0)
        assert long_run.running == pytest.approx(machines * run / (run + service))


def test_molds_that_take_hands_for_34_of_114_minutes_keep_one_person_busy_by_threes() -> None:
    # Common practice, no source: four layers of 7 min by hand and 90 s of mixing, 114 min in all.
    chart = Servicing(service=34, walk=0, run=80)
    assert chart.ratio == pytest.approx(114 / 34)
    assert chart.cycle(3) == 114
    # A fifth mold adds nothing: the person is busy with four and a half already.
    assert 5 / chart.cycle(5) == pytest.approx(4 / chart.cycle(4))


def test_times_out_of_range_are_refused() -> None:
    with pytest.raises(ValueError, match="0 or more"):
        Servicing(-1, 0, 5)
    with pytest.raises(ValueError, match="above 0"):
        finite_source(3, 0, 5)
