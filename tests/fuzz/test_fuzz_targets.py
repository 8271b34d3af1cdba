"""Inputs from outside, mutated: taken or refused in a sentence, never a traceback, never slow."""

from __future__ import annotations

import importlib.util
import json
import random
import subprocess
from dataclasses import asdict
from itertools import islice
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks import fuzz
from benchmarks.fuzz import Count, fuzz_by_coverage, fuzz_by_mutation, mutations
from benchmarks.fuzz_targets import BY_NAME, TARGETS, HarmfulTextError, harmless

# Inputs a target in the suite: a shop file takes far longer to read than the rest.
SHORT = {"shop file": 60, "log line": 1200, "keys": 400, "scanned text": 400, "typed moment": 300}


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
def test_any_bytes_at_all_are_taken_or_refused(target, data):
    assert target.run(data) in {"taken", "refused"}


@pytest.mark.parametrize("found", ["\x1b[2J", "a\u202eb", "\x9b", "a\u2028b"])
def test_what_could_drive_a_terminal_counts_as_a_crash(found):
    with pytest.raises(HarmfulTextError):
        harmless(f"found {found}")
    plain = "plain\ntext [bold] 👩‍🏭 مزهرية"
    assert harmless(plain) == plain


def test_a_crash_is_counted_and_its_shortest_input_kept():
    def breaks(data):
        if b"x" in data:
            raise KeyError(data)
        return "refused"

    target = TARGETS[0].__class__("breaks", breaks, (b"a",))
    count = Count("breaks")
    for data in (b"a", b"xxx", b"x", b"xx"):
        count.try_one(target, data)
    assert (count.tried, count.refused, count.crashed) == (4, 1, 3)
    assert [bytes.fromhex(data) for data in count.crashes.values()] == [b"x"]
    assert not count.sound


@pytest.mark.parametrize(
    ("returned", "reported", "kinds", "sound"),
    [
        (0, True, [], True),
        (77, True, ["the fuzzer ended with 77: 'ERROR: libFuzzer: timeout'"], False),
        (
            -11,
            False,
            [
                "the fuzzer itself did not start",
                "the fuzzer ended with -11: 'ERROR: libFuzzer: timeout'",
            ],
            False,
        ),
    ],
)
def test_a_fuzzer_that_does_not_end_well_is_a_crash(returned, reported, kinds, sound, monkeypatch):
    def run(command, **_options):
        report = Path(command[command.index("--report") + 1])
        if reported:
            report.write_text(json.dumps(asdict(Count("breaks", tried=9, refused=9))))
        if returned:
            (report.parent / "timeout-0a1b").write_bytes(b"slow")
        return subprocess.CompletedProcess(command, returned, b"", b"ERROR: libFuzzer: timeout\n")

    monkeypatch.setattr(fuzz.subprocess, "run", run)
    count = fuzz_by_coverage("breaks", seconds=1, seed=1)
    assert list(count.crashes) == kinds
    assert count.crashed == len(kinds)
    assert count.sound is sound
    if returned:
        assert bytes.fromhex(count.crashes[kinds[-1]]) == b"slow"


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
