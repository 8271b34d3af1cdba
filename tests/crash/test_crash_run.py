"""Killed at any moment, the program loses nothing it acknowledged and doubles nothing."""

from __future__ import annotations

import pytest

from benchmarks.crash_run import Figures, crash_run


def assert_sound(figures: Figures, kills: int) -> None:
    assert figures.kills == kills
    assert figures.acknowledged > kills, "the stations were killed before they did anything"
    assert (figures.lost, figures.doubled, figures.wrong) == (0, 0, [])
    assert figures.sound


def test_twenty_five_kills_of_one_station_lose_and_double_nothing():
    assert_sound(crash_run(25, seed=11), 25)


def test_five_kills_of_three_stations_at_work_together_lose_and_double_nothing():
    assert_sound(crash_run(5, seed=12, stations=3, exec_every=0), 5)


@pytest.mark.long
def test_five_hundred_kills_lose_and_double_nothing():
    assert_sound(crash_run(500, seed=13), 500)


@pytest.mark.long
def test_two_hundred_kills_of_four_stations_lose_and_double_nothing():
    assert_sound(crash_run(200, seed=14, stations=4), 200)
