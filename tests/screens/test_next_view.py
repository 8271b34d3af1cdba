"""A panel says what is wrong with the moment of what it would log."""

from __future__ import annotations

from floorboard.planning.plan import empty_plan
from floorboard.screens.floor_screen.next_view import panel_facts
from floorboard.usecases.presses import press_for_mold
from tests.log_of import floor_of, to_demold, to_first_layer
from tests.tiny_shop import START, after, tiny_shop

SHOP = tiny_shop()


def remark(lines, kind: str, minutes: float) -> str:
    """Return what is said of what confirm would begin in the chosen mold, after these lines."""
    floor = floor_of(*lines)
    press = press_for_mold(floor, "m1", "ana")
    assert press is not None
    assert press.kind == kind
    plan = empty_plan(START, START, 1)
    return panel_facts(SHOP, floor, plan, "ana", press, chosen=True).at(after(minutes)).remark


def test_a_demold_before_full_cure_is_warned_of():
    cured = to_demold()[:-2]
    early = remark(cured, "begin demold", 40)
    assert early.startswith("Too early: its full cure is reached in ")
    assert early.endswith("The log marks it if you begin now.")
    assert "Too early" not in remark(cured, "begin demold", 600)


def test_a_layer_whose_window_has_closed_is_warned_of():
    # The first layer ends at minute 13; the second opens at 28 and closes at 53.
    assert "may not bond" not in remark(to_first_layer(), "begin batch", 52)
    late = remark(to_first_layer(), "begin batch", 55)
    assert "Its window closed 2:00 ago: this layer may not bond. Reject it with r." in late
