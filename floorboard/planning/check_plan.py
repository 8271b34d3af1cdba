"""The independent checker of plans.

Written from the rules of the shop, in exact seconds, sharing no code with any solver or with the
translation that feeds one. A plan that has a breach is never shown as a plan. What is odd among
facts alone (two castings logged in one mold, a pour after its window) is no breach of the plan.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.planning.plan_rules import batches, castings, facts, people, stations
from floorboard.planning.plan_rules.breach import Breach
from floorboard.planning.plan_rules.known import Known
from floorboard.planning.plan_rules.names import RULES

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.shop.shop import Shop

__all__ = ["Breach", "CHECKS", "RULES", "check_plan"]

CHECKS: dict[str, Callable[[Known], Iterator[Breach]]] = {
    "one task a person": people.one_task_a_person,
    "shift": people.shift,
    "skill": people.skill,
    "length": people.length,
    "batch": batches.batch,
    "working time": batches.working_time,
    "one wet batch": batches.one_wet_batch,
    "bucket": batches.bucket,
    "same mix": batches.same_mix,
    "mix ahead": batches.mix_ahead,
    "partial cure": castings.partial_cure,
    "recoat window": castings.recoat_window,
    "readied": castings.readied,
    "full cure": castings.full_cure,
    "waiting time": castings.finishing_waits,
    "one casting a mold": castings.one_casting_a_mold,
    "mold out": castings.mold_out,
    "station": stations.station,
    "past": facts.past,
    "in hand": facts.in_hand,
    "whole": castings.whole,
    "left out": castings.left_out,
    "stated": facts.stated,
}
"""One check a rule, by name; the check of "waiting time" also yields breaches of "start by"."""


def check_plan(shop: Shop, floor: Floor, plan: Plan) -> list[Breach]:
    """Return every breach of a plan, in the order of the rules; an empty list means it keeps all.

    Parameters
    ----------
    shop, floor
        The definitions, and the state of the floor the plan was made for. Castings on the floor
        are held to the builds they were begun with, new ones to the shop's.
    plan
        Checked against `plan.made_at`, its own now.
    """
    known = Known(shop, floor, plan)
    return [breach for check in CHECKS.values() for breach in check(known)]
