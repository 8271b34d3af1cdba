"""A hand's keys are carried out; a scanner's, a paste's and a fist's are not."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.screens.key_bursts import BLINK_SECONDS, GAP_SECONDS, LONGEST_SCAN, KeyBursts, Touch

SCANNER_SECONDS = 0.008
NAMES = {"-": "minus", "+": "plus", "\r": "enter"}


def touch_of(character: str) -> Touch:
    """Return how the floor's keys are touched: digits choose, the rest acts."""
    if character.isdigit() or character == "+":
        return "free"
    return "once" if character in "-\r" else "held"


class Keys:
    """Types at a made-up time and keeps what was carried out, scanned and told."""

    def __init__(self) -> None:
        self.bursts = KeyBursts()
        self.at = 100.0
        self.done: list[str] = []
        self.scans: list[str] = []
        self.garbage = 0
        self.held = ""

    def press(self, character: str, after: float = 0.2) -> None:
        self.at += after
        self.settle()
        key = NAMES.get(character, character)
        verdict = self.bursts.read(key, character, self.at, touch_of(character))
        if verdict.fate == "now":
            self.done.append(key)
        elif verdict.fate == "hold":
            self.held = key
        elif verdict.fate == "scan":
            self.scans.append(verdict.text)

    def settle(self, after: float = 0.0) -> None:
        self.at += after
        what = self.bursts.quiet(self.at)
        if what == "release":
            self.done.append(self.held)
        self.garbage += what == "garbage"

    def type(self, text: str, each: float) -> None:
        for character in text:
            self.press(character, each)
        self.settle(1.0)


def typed(text: str, each: float) -> Keys:
    keys = Keys()
    keys.settle(1.0)
    keys.press(text[0], 1.0)
    keys.type(text[1:], each)
    return keys


def test_a_hand_does_what_it_types() -> None:
    keys = typed("12r", 0.15)
    assert keys.done == ["1", "2", "r"]


def test_a_digit_is_done_at_once_and_a_key_that_acts_after_the_gap() -> None:
    keys = Keys()
    keys.press("3")
    assert keys.done == ["3"]
    keys.press("\r")
    assert keys.done == ["3"]
    keys.settle(GAP_SECONDS * 1.01)
    assert keys.done == ["3", "enter"]


@pytest.mark.parametrize("label", ["260312-04", "B260312-02", "12", "x", "-", "r1-"])
def test_a_scanned_label_is_read_whole_and_does_nothing_but_choose(label: str) -> None:
    keys = typed(f"{label}\r", SCANNER_SECONDS)
    assert keys.scans == [label]
    assert all(key.isdigit() for key in keys.done)
    assert keys.garbage == 0


def test_a_scanner_that_sends_enter_twice_is_read_once() -> None:
    keys = typed("260312-04\r\r", SCANNER_SECONDS)
    assert keys.scans == ["260312-04"]
    assert "enter" not in keys.done


def test_a_fist_does_nothing_and_is_told() -> None:
    keys = typed("rwa-xk", 0.004)
    assert keys.done == []
    assert keys.garbage == 1


def test_two_digits_in_quick_succession_both_choose() -> None:
    assert typed("12", 0.03).done == ["1", "2"]


def test_a_key_that_acts_too_soon_after_a_digit_is_not_done() -> None:
    keys = typed("3r", 0.03)
    assert keys.done == ["3"]
    assert keys.garbage == 1


def test_a_bouncing_pedal_is_one_press() -> None:
    assert typed("\r\r", 0.01).done == ["enter"]


@pytest.mark.parametrize("delay", [0.25, 0.5, 0.66])
def test_a_key_held_down_is_one_press(delay: float) -> None:
    keys = Keys()
    keys.press("\r", 1.0)
    keys.press("\r", delay)
    keys.type("\r" * 60, 0.033)
    assert keys.done == ["enter"]


def test_two_presses_a_second_apart_are_two() -> None:
    assert typed("--", BLINK_SECONDS + 0.1).done == ["minus", "minus"]


def test_a_choice_held_down_goes_on_choosing() -> None:
    assert typed("+" * 10, 0.033).done == ["plus"] * 10


def test_arrows_are_never_held_back() -> None:
    bursts = KeyBursts()
    assert [bursts.read("down", None, at / 100, "free").fate for at in range(5)] == ["now"] * 5


def test_a_pedal_that_sends_a_function_key_is_done_at_once_and_once() -> None:
    bursts = KeyBursts()
    fates = [bursts.read("f13", None, at, "once").fate for at in (1.0, 1.3, 1.6, 2.4)]
    assert fates == ["now", "again", "again", "now"]


def test_a_paste_of_ten_thousand_characters_is_dropped_and_not_kept() -> None:
    keys = typed("rb-3\rwk9a-" * 1000, 0.0)
    assert all(key.isdigit() for key in keys.done)
    assert len(keys.done) < LONGEST_SCAN
    assert max(map(len, keys.scans)) <= LONGEST_SCAN + 1


@given(
    st.text(st.sampled_from("0123456789-+\rrbwakxB"), min_size=3, max_size=30).filter(
        lambda text: len(set(text)) > 1
    ),
    st.floats(0, GAP_SECONDS * 0.98),
)
def test_nothing_that_acts_is_ever_done_in_a_burst(text: str, each: float) -> None:
    keys = typed(text, each)
    acting = [key for key in keys.done if not key.isdigit() and key != "plus"]
    assert acting == []
