"""The PIN and the passes given for it."""

from __future__ import annotations

import hmac
import json
import stat
from pathlib import Path

import pytest

from floorboard.serve.pass_file import PassFile
from floorboard.serve.passes import MOST_PASSES, Passes
from floorboard.serve.pin import PinCheck

PIN = "plaster-27"


def test_only_the_pin_itself_matches() -> None:
    check = PinCheck(PIN)
    assert check.matches(PIN)
    for wrong in ("", "plaster-2", "plaster-277", "PLASTER-27", "\ud800", "plaster-27\n"):
        assert not check.matches(wrong)


def test_pins_are_compared_as_digests_of_one_length_in_constant_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    compared: list[tuple[bytes, bytes]] = []
    genuine = hmac.compare_digest

    def watched(one: bytes, other: bytes) -> bool:
        compared.append((one, other))
        return genuine(one, other)

    monkeypatch.setattr(hmac, "compare_digest", watched)
    check = PinCheck(PIN)
    check.matches("p")
    check.matches("p" * 5000)
    assert [(len(one), len(other)) for one, other in compared] == [(32, 32)] * 2
    assert not any(PIN.encode() in part for pair in compared for part in pair)


def test_a_pass_is_found_by_its_secret_until_it_expires() -> None:
    passes = Passes(3600)
    secret, issued = passes.issue(1000.0, "Bench 1")
    assert passes.find(secret, 4599.0) == issued
    assert passes.find(secret, 4600.0) is None
    assert passes.find("other", 1000.0) is None
    assert passes.find(None, 1000.0) is None
    assert secret not in repr(passes.held(1000.0))


def test_a_revoked_pass_is_gone() -> None:
    passes = Passes(3600)
    secret, issued = passes.issue(0.0)
    passes.revoke(issued.pass_id)
    assert passes.find(secret, 0.0) is None


def test_the_oldest_pass_goes_when_there_are_too_many() -> None:
    passes = Passes(3600)
    first, _ = passes.issue(0.0)
    rest = [passes.issue(0.0)[0] for _ in range(MOST_PASSES)]
    assert passes.find(first, 0.0) is None
    assert passes.find(rest[0], 0.0) is not None


def test_passes_outlast_a_restart_in_a_private_file_without_secrets(tmp_path: Path) -> None:
    before, file = Passes(3600), tmp_path / "passes.json"
    secret, issued = before.issue(0.0, "Bench 1")
    PassFile(file, PIN).save(before.held(0.0))
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert secret not in file.read_text()
    assert PIN not in file.read_text()
    after = Passes(3600)
    after.take_up(PassFile(file, PIN).load(), 10.0)
    assert after.find(secret, 10.0) == issued


def test_another_pin_signs_everyone_out(tmp_path: Path) -> None:
    passes, file = Passes(3600), tmp_path / "passes.json"
    passes.issue(0.0)
    PassFile(file, PIN).save(passes.held(0.0))
    assert PassFile(file, "resin-2025").load() == []


def test_a_kept_pass_that_expired_or_would_outlast_a_new_one_is_not_taken_up(
    tmp_path: Path,
) -> None:
    long, file = Passes(7200), tmp_path / "passes.json"
    secret, _ = long.issue(0.0)
    PassFile(file, PIN).save(long.held(0.0))
    for now in (0.0, 7200.0):
        short = Passes(3600)
        short.take_up(PassFile(file, PIN).load(), now)
        assert short.find(secret, now) is None


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{", '{"salt": 1}', "null", "[" * 100_000, '{"salt":"","pin":"","passes":[1]}'],
)
def test_a_damaged_file_of_passes_counts_as_empty(text: str, tmp_path: Path) -> None:
    file = tmp_path / "passes.json"
    file.write_text(text)
    assert PassFile(file, PIN).load() == []


def test_a_station_name_in_the_file_is_checked_again(tmp_path: Path) -> None:
    passes, file = Passes(3600), tmp_path / "passes.json"
    passes.issue(0.0, "Bench 1")
    PassFile(file, PIN).save(passes.held(0.0))
    kept = json.loads(file.read_text())
    kept["passes"][0][1] = "Bench\x1b[2J"
    file.write_text(json.dumps(kept))
    assert PassFile(file, PIN).load()[0].station is None
