"""A shop that cannot be worked is named as such, with the numbers, before any solving."""

from __future__ import annotations

from typing import Any

import pytest

from floorboard.floor.events import ConditionsRead
from floorboard.floor.floor import Floor
from floorboard.planning.impossible import impossible
from floorboard.shop.shop import Shop
from tests.planning import urn_shop as u


def with_layer(**changes: Any) -> Shop:
    first = {**u.URN["layers"][0], **changes}
    return u.shop_with(pieces={"urn": {**u.URN, "layers": [first, u.URN["layers"][1]]}})


def messages(shop: Shop, floor: Floor | None = None) -> str:
    return " ".join(found.message for found in impossible(shop, floor or Floor(), u.EIGHT))


def test_a_sound_shop_has_nothing_impossible() -> None:
    assert impossible(u.shop_with(), Floor(), u.EIGHT) == []


def test_a_partial_cure_longer_than_its_window_is_refused_where_it_is_defined() -> None:
    with pytest.raises(ValueError, match="partial_cure 30 min longer than recoat_by 20 min"):
        with_layer(partial_cure="30 min")


def test_a_layer_that_outlasts_the_working_time_is_named_with_both_times() -> None:
    said = messages(with_layer(apply="10 min"))
    assert "10 min 30 s from wetting 'face'" in said
    assert "9 min 30 s: the working time 10 min less the pour_margin 30 s" in said


def test_a_skill_nobody_has_is_named() -> None:
    people = {"ben": u.SHOP["people"]["ben"]}
    assert "nobody with the skill 'layer'" in messages(u.shop_with(people=people))


def test_a_task_longer_than_any_stretch_is_named_with_both_times() -> None:
    said = messages(u.shop_with(pieces={"urn": {**u.URN, "ready": "5 h"}}))
    assert "5 h of hands-on work at a stretch" in said
    assert "at most 4 h" in said


def test_heat_that_shortens_the_working_time_too_far_is_named_for_that_day_only() -> None:
    mix = {
        **u.SHOP["mixes"]["face"],
        "temperature": [{"at": "20 C", "factor": 1}, {"at": "30 C", "factor": 0.3}],
    }
    shop = u.shop_with(mixes={**u.SHOP["mixes"], "face": mix})
    hot = Floor(conditions=ConditionsRead(room_celsius=30))
    assert "today it can be worked only 2 min 30 s" in messages(shop, hot)
    assert messages(shop, Floor()) == ""


def test_windows_that_no_shift_can_keep_are_found_by_trying_a_casting_alone() -> None:
    # The second layer opens seven and a half hours after the first and closes half an hour later,
    # but the shift is eight hours and readying, mixing and the first layer take the start of it.
    first = with_layer(partial_cure="480 min", recoat_by="500 min")
    said = messages(first)
    assert "Not one casting of 'urn' finds a place" in said
    assert "With hands around the clock it would fit" in said


def test_a_break_in_the_way_of_every_window_is_said() -> None:
    # Shift 08:00-16:00 with a break in the middle of each possible window.
    long_break = [{"days": "mon-fri", "start": "10:00", "end": "15:00"}]
    people = {key: {**p, "breaks": long_break} for key, p in u.SHOP["people"].items()}
    first = {**u.URN["layers"][0], "partial_cure": "130 min", "recoat_by": "150 min"}
    shop = u.shop_with(
        people=people, pieces={"urn": {**u.URN, "layers": [first, u.URN["layers"][1]]}}
    )
    assert "Without breaks it would fit" in messages(shop)
