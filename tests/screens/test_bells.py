"""Bells: each kind its own pattern, never a flood, never in quiet hours."""

from __future__ import annotations

import datetime as dt

from floorboard.screens.bells import PATTERNS, PAUSE_SECONDS, Ringer
from floorboard.screens.calls import Call, CallKind

UTC = dt.UTC
NOON = dt.datetime(2026, 3, 2, 12, tzinfo=UTC)


def call(kind: CallKind = "due", subject: str = "c1", rank: int = 3) -> Call:
    return Call(kind, subject, "layer 1", 1, "weigh for layer 2", NOON, rank=rank)


def rings(ringer: Ringer, shown: Call | None, seconds: range) -> list[int]:
    return [at for at in seconds if ringer.ring(shown, float(at), quiet=False)]


def test_each_kind_has_a_pattern_of_its_own() -> None:
    assert len({pattern.strokes for pattern in PATTERNS.values()}) == len(PATTERNS)


def test_the_more_urgent_kind_has_the_more_strokes() -> None:
    strokes = [len(PATTERNS[kind].strokes) for kind in ("soon", "due", "closing", "window lost")]
    assert strokes == sorted(set(strokes))


def test_a_call_rings_at_once_then_seldom_then_no_more() -> None:
    at = rings(Ringer(), call("due"), range(3600))
    assert at == [0, 120, 240, 360]


def test_nothing_rings_without_a_call() -> None:
    assert rings(Ringer(), None, range(100)) == []


def test_two_calls_in_turn_keep_a_pause() -> None:
    ringer = Ringer()
    ringer.ring(call(subject="c1"), 0.0, quiet=False)
    assert ringer.ring(call(subject="c2"), PAUSE_SECONDS - 1, quiet=False) is None
    assert ringer.ring(call(subject="c2"), PAUSE_SECONDS, quiet=False) is not None


def test_a_more_urgent_call_does_not_wait_for_the_pause() -> None:
    ringer = Ringer()
    ringer.ring(call("due"), 0.0, quiet=False)
    assert ringer.ring(call("closing", "c2", rank=0), 1.0, quiet=False) is not None


def test_many_calls_a_second_do_not_make_a_flood() -> None:
    ringer = Ringer()
    rung = sum(
        ringer.ring(call(subject=f"c{at}"), at / 4, quiet=False) is not None for at in range(2400)
    )
    assert rung <= 600 / PAUSE_SECONDS


def test_quiet_hours_are_quiet_and_what_still_stands_rings_after_them() -> None:
    ringer = Ringer()
    assert ringer.ring(call(), 0.0, quiet=True) is None
    assert ringer.ring(call(), 10.0, quiet=False) is not None
