"""Events of older versions are read as this version has them."""

from __future__ import annotations

from floorboard.floor import events as e
from floorboard.store.event_codec import VERSIONS, decode, encode


def test_a_mold_taken_out_before_causes_were_asked_for_has_none():
    old = decode("mold taken out", 1, '{"mold":"m1","note":"rim torn"}')
    assert old == e.MoldTakenOut(mold="m1", note="rim torn", cause=None)


def test_a_mold_taken_out_keeps_its_cause():
    event = e.MoldTakenOut(mold="m1", cause="worn out")
    assert decode("mold taken out", VERSIONS["mold taken out"], encode(event)) == event
