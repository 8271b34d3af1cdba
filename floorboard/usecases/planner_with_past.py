"""A planner that knows the past: times learned from the log, and what orders have had already."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from floorboard.usecases.learned_shop import with_times
from floorboard.usecases.open_orders import finished_off_the_floor
from floorboard.usecases.times import planned_times

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from contextlib import AbstractContextManager

    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.records.times_report import Use
    from floorboard.shop.shop import Shop
    from floorboard.usecases.history_port import History
    from floorboard.usecases.ports import Betterer, Planner

    OpenPast = Callable[[], AbstractContextManager[History]]

# Times are learned anew this often, and whenever a decision on them or the shop changes.
LEARN_AGAIN = dt.timedelta(hours=6)


class PastInUse:
    """The shop to plan with: times in use, and orders less what of them is finished already.

    Kept until it may have changed. For one thread at a time.
    """

    def __init__(self, open_past: OpenPast) -> None:
        self._open_past = open_past
        self._learned_at: dt.datetime | None = None
        self._of: tuple[Shop, dict[str, Use]] | None = None
        self._learned: Shop | None = None
        self._last: tuple[Shop, Shop] | None = None
        self._finished: dict[str, int] = {}

    def shop(self, shop: Shop, floor: Floor, now: dt.datetime) -> Shop:
        """Return the shop to plan with."""
        with self._open_past() as history:
            learned = self._with_times(history, shop, now)
            finished = finished_off_the_floor(history, shop, floor, now)
        found = with_orders_left(learned, finished)
        self._last = shop, found
        self._finished = finished
        return found

    def told(self, plan: Plan) -> Plan:
        """Return a plan whose outlooks count what of each order was finished already."""
        orders = tuple(
            outlook.model_copy(update={"wanted": outlook.wanted + had, "done": outlook.done + had})
            if (had := self._finished.get(outlook.order, 0))
            else outlook
            for outlook in plan.orders
        )
        return plan.model_copy(update={"orders": orders})

    def last(self, shop: Shop) -> Shop:
        """Return the shop as last planned with, if it is still the same shop."""
        if self._last is not None and self._last[0] is shop:
            return self._last[1]
        return shop

    def _with_times(self, history: History, shop: Shop, now: dt.datetime) -> Shop:
        decisions = history.decisions()
        fresh = self._learned_at is not None and abs(now - self._learned_at) < LEARN_AGAIN
        same = self._of is not None and self._of[0] is shop and self._of[1] == decisions
        if self._learned is None or not fresh or not same:
            self._learned = with_times(shop, planned_times(history, shop, decisions, now))
            self._learned_at, self._of = now, (shop, decisions)
        return self._learned


def with_orders_left(shop: Shop, finished: Mapping[str, int]) -> Shop:
    """Return the shop with each order asking for what is still to be made of it, down to nothing."""
    if not any(finished.values()):
        return shop
    orders = {
        key: order.model_copy(update={"quantity": max(0, order.quantity - finished.get(key, 0))})
        for key, order in shop.orders.items()
    }
    return shop.model_copy(update={"orders": orders})


class PlannerWithPast:
    """Plans with what the past tells."""

    def __init__(self, planner: Planner, past: PastInUse) -> None:
        self._planner, self.past = planner, past

    def plan(
        self, shop: Shop, floor: Floor, now: dt.datetime, previous: Plan | None = None
    ) -> Plan:
        """Return a plan that has passed the checker, at once."""
        plan = self._planner.plan(self.past.shop(shop, floor, now), floor, now, previous)
        return self.past.told(plan)


class BettererWithPast:
    """Betters plans with what they were made with."""

    def __init__(self, betterer: Betterer, past: PastInUse) -> None:
        self._betterer, self._past = betterer, past

    def warm(self) -> None:
        """Make ready ahead of the first plan."""
        self._betterer.warm()

    def start(self, shop: Shop, floor: Floor, now: dt.datetime, plan: Plan | None) -> None:
        """Look for plans better than this one; what was looked for before is dropped."""
        self._betterer.start(self._past.last(shop), floor, now, plan)

    def poll(self) -> Plan | None:
        """Return the best plan found since the last poll, if one was."""
        better = self._betterer.poll()
        return None if better is None else self._past.told(better)

    def close(self) -> None:
        """End it."""
        self._betterer.close()
