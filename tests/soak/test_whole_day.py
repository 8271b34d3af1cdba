"""A demo day at the real terminal, in tmux: what the keys did is what the tally says."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import pytest

from benchmarks.at_terminal import COLUMNS, in_seconds, panels, read_digits
from benchmarks.whole_day import whole_day
from floorboard.screens.block_digits import block_rows

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(autouse=True)
def this_tree_and_nothing_kept(monkeypatch, tmp_path):
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")]))
    for name in ("XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name))


# A day on a running clock, at a terminal that answers when it can: nothing for a busy machine.
@pytest.mark.long
@pytest.mark.parametrize(
    ("mishaps_from", "end", "speed"),
    [(dt.time(9, 47), dt.time(9, 57), 120), (dt.time(12), dt.time(17, 30), 60)],
)
def test_the_tally_says_what_the_keys_did_through_a_kill(tmp_path, mishaps_from, end, speed):
    figures = whole_day(tmp_path, end, speed, mishaps_from=mishaps_from)
    assert figures.wrong == [], str(figures)
    assert figures.presses["Enter"] > 2
    assert figures.done("scrapped") == 1


@pytest.mark.parametrize("shown", ["0:00", "12:34", "1h05", "+3:10", "9:59"])
def test_block_digits_are_read_as_they_are_drawn(shown):
    assert read_digits(block_rows(shown)) == shown


@pytest.mark.parametrize(
    ("shown", "seconds"), [("12:34", 754), ("1h05", 3900), ("2d4h", 187200), ("", None)]
)
def test_counts_are_read_in_seconds(shown, seconds):
    assert in_seconds(shown) == seconds


def test_both_panels_are_read_with_whose_key_it_is():
    half = COLUMNS // 2
    digits = [row.ljust(10) for row in block_rows("4:31")]
    heads = ["▌ Maia, starts in".ljust(half - 13) + "Enter: begin ", "▌ Tomás, in hand for"]
    lines = ["title", "".join(head.ljust(half) for head in heads)]
    lines += [
        f"▌ {digits[row]}{text}".ljust(half) * 2
        for row, text in enumerate(("Demold", "mold 7", ""))
    ]
    mine, theirs = panels(lines)
    assert (mine.name, mine.counts, mine.seconds, mine.key) == ("Maia", "starts in", 271, "begin")
    assert mine.task == "Demold mold 7"
    assert (theirs.name, theirs.counts, theirs.key) == ("Tomás", "in hand for", "")
