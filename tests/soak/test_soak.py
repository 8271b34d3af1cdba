"""Hours at speed with a restless user: no fault, no drift, nothing that keeps growing."""

from __future__ import annotations

import pytest

from benchmarks.soak import off_by, soak
from benchmarks.soak_figures import Figures, Sample
from floorboard.screens.views import VIEWS


def test_half_an_hour_with_a_restless_user_brings_up_no_fault(tmp_path):
    figures = soak(tmp_path, hours=0.5, seed=3, say=lambda line: None, better=False)
    assert figures.faults == []
    assert figures.findings == []
    assert figures.openings == 1
    assert figures.actions > 6
    assert len(figures.screens) > 1
    assert figures.countdowns > 0
    assert figures.worst_drift_seconds == 0
    assert figures.spread("files") < 3
    assert figures.spread("threads") < 3


@pytest.mark.long
def test_three_days_with_a_restless_user_leave_memory_and_files_flat(tmp_path):
    figures = soak(tmp_path, hours=72.0)
    assert figures.sound, str(figures)
    opened = {view.where.partition(":")[2] for view in VIEWS}
    assert opened <= figures.screens.keys()


def sample(hours, megabytes, files=15, threads=3):
    return Sample(hours, megabytes, files, threads, 1000, 10)


def test_growth_is_told_from_settling():
    flat = Figures(hours=72, samples=[sample(h, 100 + min(4 * h, 24)) for h in range(0, 72, 3)])
    grows = Figures(hours=72, samples=[sample(h, 100 + 2 * h) for h in range(0, 72, 3)])
    assert flat.growth() == 0
    assert flat.sound
    # 112 MB at the sixth hour, 238 at the end.
    assert grows.growth() == pytest.approx(238 / 112 - 1)
    assert not grows.sound


@pytest.mark.parametrize("what", ["files", "threads"])
def test_a_leak_of_files_or_threads_makes_a_run_unsound(what):
    held = [sample(h, 100, **{what: 15 + h}) for h in range(0, 72, 6)]
    assert not Figures(hours=72, samples=held).sound


def test_a_fault_a_finding_or_a_drift_makes_a_run_unsound():
    assert Figures().sound
    assert not Figures(faults=["KeyError"]).sound
    assert not Figures(findings=["works: 3, 0 is missing."]).sound
    assert not Figures(worst_drift_seconds=1.5).sound


@pytest.mark.parametrize(
    ("shown", "left", "off"),
    [
        ("12:34", 753.2, 0),
        ("12:34", 754.0, 0),
        ("12:34", 751.0, 3),
        ("1h05", 3905.0, 0),
        ("1h05", 3970.0, 60),
        ("+0:10", -10.5, 0),
    ],
)
def test_a_countdown_is_held_against_the_time_left(shown, left, off):
    assert off_by(shown, left) == off
