"""A panel says what is wrong with the moment of what it would log."""

from __future__ import annotations

from floorboard.planning.plan import empty_plan
from floorboard.screens.floor_screen.next_view import panel_facts
from floorboard.usecases.presses import press_for_mold
from tests.log_of import floor_of, to_demold
from tests.tiny_shop import START, after, tiny_shop

SHOP = tiny_shop()


def remark(minutes: float, *, chosen: bool) -> str:
    lines = to_demold()
    last = lines[-2]
    floor = floor_of(*lines[: lines.index(last)])
    press = press_for_mold(floor, "m1", "ana")
    assert press is not None
    assert press.kind == "begin demold"
    plan = empty_plan(START, START, 1)
    return panel_facts(SHOP, floor, plan, "ana", press, chosen=chosen).at(after(minutes)).remark


def test_a_demold_before_full_cure_is_warned_of():
    early = remark(40, chosen=True)
    assert early.startswith("Too early: its full cure is reached in ")
    assert early.endswith("The log marks it if you begin now.")
    assert "Too early" not in remark(600, chosen=True)
