"""Inputs from outside, mutated: taken or refused in a sentence, never a traceback, never slow."""

from __future__ import annotations

import importlib.util
import json
import random
import subprocess
from dataclasses import asdict, replace
from itertools import islice
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks import fuzz
from benchmarks.fuzz import (
    SLOW_SECONDS,
    Count,
    fuzz_by_coverage,
    fuzz_by_mutation,
    mutations,
)
from benchmarks.fuzz_targets import BY_NAME, TARGETS, HarmfulTextError, Target, harmless

# Inputs a target in the suite: a shop file takes far longer to read than the rest.
SHORT = {"shop file": 60, "log line": 1200, "keys": 400, "scanned text": 400, "typed moment": 300}


# First in the file: what a target wrongly keeps shows best while nothing has been read yet.
@pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name)
def test_what_becomes_of_an_input_depends_on_none_before_it(target):
    inputs = list(islice(mutations(target, random.Random(11)), SHORT.get(target.name, 2500) // 4))
    forwards = {data: target.run(data) for data in inputs}
    backwards = {data: target.run(data) for data in reversed(inputs)}
    assert forwards == backwards


@pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name)
def test_mutated_inputs_are_taken_or_refused(target):
    count = Count(target.name)
    for data in islice(mutations(target, random.Random(7)), SHORT.get(target.name, 2500)):
        count.try_one(target, data)
    assert count.crashes == {}
    # Both must happen, or the inputs are all alike.
    assert count.taken > 0
    assert count.refused > 0


@pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name)
@settings(max_examples=40, deadline=None)
@given(data=st.binary(max_size=300) | st.text(max_size=100).map(str.encode))
def test_any_bytes_at_all_crash_nothing(target, data):
    # What a target lets out is the crash: this fails with its traceback.
    target.run(data)


@pytest.mark.parametrize("found", ["\x1b[2J", "a\u202eb", "\x9b", "a\u2028b", "a\u2029b", "\ud800"])
def test_what_could_drive_a_terminal_counts_as_a_crash(found):
    with pytest.raises(HarmfulTextError):
        harmless(f"found {found}")


def test_lines_brackets_and_letters_of_any_script_are_harmless():
    plain = "plain\ntext [bold] 👩‍🏭 مزهرية"
    assert harmless(plain) == plain


def test_a_crash_is_counted_and_its_shortest_input_kept():
    def breaks(data):
        if b"x" in data:
            raise KeyError(data)
        return "refused"

    count = Count("breaks")
    for data in (b"a", b"xxx", b"x", b"xx"):
        count.try_one(Target("breaks", breaks, (b"a",)), data)
    assert (count.tried, count.refused, count.crashed) == (4, 1, 3)
    assert [bytes.fromhex(data) for data in count.crashes.values()] == [b"x"]


@pytest.mark.parametrize(
    ("changes", "sound"),
    [
        ({}, True),
        ({"tried": 0}, False),
        ({"crashed": 1}, False),
        ({"slowest_seconds": SLOW_SECONDS}, False),
    ],
)
def test_only_what_was_tried_and_was_neither_slow_nor_crashed_is_sound(changes, sound):
    assert replace(Count("any", tried=9, refused=9), **changes).sound is sound


@pytest.mark.parametrize(
    ("returned", "reported", "crashes"),
    [
        (0, True, {}),
        (77, True, {"the fuzzer ended with 77: 'ERROR: libFuzzer: timeout'": b"slow"}),
        (
            -11,
            False,
            {
                "the fuzzer itself did not start": b"",
                "the fuzzer ended with -11: 'ERROR: libFuzzer: timeout'": b"slow",
            },
        ),
    ],
)
def test_a_fuzzer_that_does_not_end_well_is_a_crash(returned, reported, crashes, monkeypatch):
    def run(command, **_options):
        report = Path(command[command.index("--report") + 1])
        if reported:
            report.write_text(json.dumps(asdict(Count("breaks", tried=9, refused=9))))
        if returned:
            (report.parent / "timeout-0a1b").write_bytes(b"slow")
        return subprocess.CompletedProcess(command, returned, b"", b"ERROR: libFuzzer: timeout\n")

    monkeypatch.setattr(fuzz.subprocess, "run", run)
    count = fuzz_by_coverage("breaks", seconds=1, seed=1)
    assert {kind: bytes.fromhex(data) for kind, data in count.crashes.items()} == crashes
    assert count.crashed == len(crashes)
    assert count.tried == (9 if reported else 0)


@pytest.mark.long
@pytest.mark.parametrize("name", sorted(BY_NAME))
def test_long_runs_crash_nothing(name):
    guided = importlib.util.find_spec("atheris") is not None
    count = (
        fuzz_by_coverage(name, seconds=30, seed=1)
        if guided
        else fuzz_by_mutation(BY_NAME[name], seconds=30, seed=1)
    )
    assert count.sound, count
