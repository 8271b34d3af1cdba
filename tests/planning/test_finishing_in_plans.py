"""Finishing in the plan: in gaps, behind every window, shared sessions, and places of the rack."""

from __future__ import annotations

from itertools import pairwise

from floorboard.floor import events as e
from floorboard.floor.fold import fold
from floorboard.planning.check_plan import check_plan
from floorboard.planning.planner import plan_shop
from floorboard.shop.build import build_of
from tests.log_of import log_of, to_demold
from tests.tiny_shop import after, tiny_shop

SEAL = {"kind": "seal", "takes": "6 min", "together": 3, "each_more": "2 min"}


def shop_of(route, **changes):
    pieces = tiny_shop().model_dump()["pieces"]
    pieces["bowl"]["route"] = route
    return tiny_shop(pieces=pieces, **changes)


def floor_of(shop, *more, castings=("c1", "c2", "c3")):
    """Castings of three molds, all demolded at minute 80, and more of the log."""
    build = build_of(shop, "bowl")
    lines = []
    for number, casting in enumerate(castings, start=1):
        begun = e.CastingBegun(
            casting=casting, mold=f"m{number}", piece="bowl", build=build.digest()
        )
        lines += [(0, begun), *to_demold(casting, f"m{number}")[1:]]
    return fold(log_of(*lines, *more), {build.digest(): build})


def steps(plan, index, *castings):
    """The planned tasks of a step of the route that name any of the castings."""
    return [
        task
        for task in plan.tasks
        if task.kind == "step" and task.index == index and set(task.castings) & set(castings)
    ]


def test_castings_ready_for_a_sealer_share_a_session_that_is_shorter_than_three():
    shop = shop_of([SEAL, {"kind": "pack", "takes": "2 min"}])
    # No new castings: what is planned is finishing alone.
    out = [(81, e.MoldTakenOut(mold=mold, note="")) for mold in ("m1", "m2", "m3")]
    floor = floor_of(shop, *out)
    plan = plan_shop(shop, floor, after(90))
    assert check_plan(shop, floor, plan) == []
    (session,) = steps(plan, 0, "c1", "c2", "c3")
    assert sorted(session.castings) == ["c1", "c2", "c3"]
    # 6 min for the first and 2 min for each of the others, rather than three times 6.
    assert (session.end - session.start).total_seconds() == 10 * 60


def test_a_window_about_to_close_comes_before_finishing_that_could_start_now():
    people = tiny_shop().model_dump(mode="json")["people"]
    shop = shop_of([{"kind": "trim", "takes": "30 min"}], people={"ana": people["ana"]})
    build = build_of(shop, "bowl")
    begun = e.CastingBegun(casting="c9", mold="m1", piece="bowl", build=build.digest())
    # Its second layer may go in from minute 105 and must be in by minute 130.
    wet = [
        (81, begun),
        (82, e.MoldReadied(casting="c9")),
        (90, e.LayerApplied(casting="c9", layer=0)),
    ]
    floor = floor_of(shop, *wet)
    plan = plan_shop(shop, floor, after(100))
    assert check_plan(shop, floor, plan) == []
    assert plan.lost == ()
    layer = next(t for t in plan.tasks if t.kind == "layer" and t.castings == ("c9",))
    assert layer.start <= after(130)
    done = steps(plan, 0, "c1", "c2", "c3")
    assert not any(task.start < layer.end and task.end > layer.start for task in done)
    # What is left of the day goes to finishing, a casting at a time.
    assert sorted(name for task in done for name in task.castings) == ["c1", "c2", "c3"]


def test_drying_holds_a_place_of_the_rack_so_the_next_waits_for_one():
    route = [
        {"kind": "wash", "takes": "3 min"},
        {"kind": "dry", "takes": "1 h", "station": "rack"},
        {"kind": "pack", "takes": "2 min"},
    ]
    shop = shop_of(route, stations={"rack": {"name": "Rack", "places": 1}})
    floor = floor_of(shop)
    plan = plan_shop(shop, floor, after(90))
    assert check_plan(shop, floor, plan) == []
    washed = sorted(t.end for t in steps(plan, 0, "c1", "c2", "c3"))
    assert len(washed) == 3
    assert all((b - a).total_seconds() >= 3600 for a, b in pairwise(washed))
