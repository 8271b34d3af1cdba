"""What happens on the floor changes the plan: late work, lost batches, rejects, people, molds."""

from __future__ import annotations

import datetime as dt

from floorboard.floor import events as e
from floorboard.floor.floor import Floor
from floorboard.floor.fold import fold
from floorboard.floor.fork import fork
from floorboard.planning.as_planned import floor_as_planned
from floorboard.planning.check_plan import check_plan
from floorboard.planning.plan import Plan
from floorboard.planning.planner import plan_shop
from floorboard.shop.shop import Shop
from tests.planning import urn_shop as u


def morning(minutes: float) -> tuple[Shop, Floor, Plan]:
    """The urn shop so many minutes after eight, all done as planned."""
    shop = u.shop_with()
    plan = plan_shop(shop, Floor(), u.EIGHT)
    return shop, floor_as_planned(shop, Floor(), plan, u.minutes(minutes)), plan


def after(floor: Floor, at: dt.datetime, *events: e.AnyEvent) -> Floor:
    """The floor with more logged at a moment."""
    entries = [
        e.Entry(seq=floor.last_seq + n, id=f"x{n}", at=at, logged_at=at, person="ana", event=event)
        for n, event in enumerate(events, start=1)
    ]
    return fold(entries, {}, onto=fork(floor, entries))


def replanned(shop: Shop, floor: Floor, minutes: float, before: Plan) -> Plan:
    plan = plan_shop(shop, floor, u.minutes(minutes), before)
    assert check_plan(shop, floor, plan) == []
    assert not any("broke the rule" in note for note in plan.notes)
    return plan


def serials(floor: Floor) -> list[str]:
    return sorted(floor.castings)


def test_as_long_as_all_goes_as_planned_nothing_moves() -> None:
    # The batch for the second layers is ready at 08:19:30 and empty at 08:25:30.
    for minutes in (3, 7, 11, 19, 21, 30, 54):
        shop, floor, plan = morning(minutes)
        assert replanned(shop, floor, minutes, plan).moved_next_hour == 0


def test_a_batch_lost_in_the_bucket_is_made_again() -> None:
    shop, floor, plan = morning(19)
    (batch,) = floor.open_batches()
    lost = after(floor, u.minutes(19), e.BatchLost(batch=batch.serial))
    again = replanned(shop, lost, 19, plan)
    made = [b for b in again.batches if {s.casting for s in b.servings} & set(serials(lost))]
    assert made
    assert min(b.start for b in made) == u.minutes(19)
    assert all(not b.fixed for b in made)
    assert again.lost == ()


def test_work_that_takes_longer_pushes_what_waits_for_it() -> None:
    shop, floor, plan = morning(8)
    # At 08:11:30 the first pour, planned until 08:09:30, is still going on.
    late = replanned(shop, floor, 11.5, plan)
    pours = [t for t in late.tasks if t.kind == "layer" and t.index == 0 and t.person == "ana"]
    assert pours[0].fixed
    assert pours[0].end >= u.minutes(11.5)
    assert pours[1].start == pours[0].end


def test_a_rejected_casting_frees_its_mold_for_another() -> None:
    shop, floor, plan = morning(30)
    first = serials(floor)[0]
    mold = floor.castings[first].mold
    less = after(floor, u.minutes(30), e.CastingRejected(casting=first, reason="void"))
    again = replanned(shop, less, 30, plan)
    assert not any(first in task.castings for task in again.tasks)
    next_in_mold = next(c for c in again.castings if c.mold == mold and c.new)
    ready = next(t for t in again.tasks if t.kind == "ready" and next_in_mold.id in t.castings)
    assert ready.start < u.minutes(32)


def test_who_goes_home_leaves_work_to_the_others() -> None:
    shop, floor, plan = morning(30)
    gone = after(floor, u.minutes(30), e.PersonLeft(who="ben"))
    again = replanned(shop, gone, 30, plan)
    today = [t for t in again.tasks if t.start < u.minutes(480)]
    assert {t.person for t in today} == {"ana"}
    back = after(gone, u.minutes(40), e.PersonBack(who="ben"))
    assert "ben" in {t.person for t in replanned(shop, back, 40, again).tasks}


def test_a_mold_taken_out_of_service_keeps_its_casting_and_takes_no_other() -> None:
    shop, floor, plan = morning(30)
    out = after(floor, u.minutes(30), e.MoldTakenOut(mold="urn-1"))
    again = replanned(shop, out, 30, plan)
    in_mold = next(s for s, c in out.castings.items() if c.mold == "urn-1")
    assert any(t.kind == "demold" and in_mold in t.castings for t in again.tasks)
    assert {c.mold for c in again.castings if c.new} == {"urn-2"}


def test_a_casting_set_aside_waits_and_its_mold_stays_full() -> None:
    shop, floor, plan = morning(30)
    first = serials(floor)[0]
    aside = after(floor, u.minutes(30), e.CastingSetAside(casting=first))
    again = replanned(shop, aside, 30, plan)
    assert not any(first in task.castings for task in again.tasks)
    assert floor.castings[first].mold not in {c.mold for c in again.castings if c.new}
