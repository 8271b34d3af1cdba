"""What the board does beside the screen, in threads: draw up plans, and count the day.

A thread reads what is never changed in place and posts a message; only the screen's own loop
touches the session and the widgets.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual import work
from textual.message import Message
from textual.worker import WorkerState

from floorboard.screens.faults import Faults
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.worker import Worker

    from floorboard.planning.plan import Plan
    from floorboard.usecases.day_counts import DayCounts
    from floorboard.usecases.ports import Betterer
    from floorboard.usecases.session import Session


# What the threads do, by their group.
DOING = {
    "plan": "drawing up a plan",
    "better": "getting ready to look for better plans",
    "count": "counting the day",
}


class BoardWork(Faults):
    """The workers of the board."""

    session: Session
    # Made once the floor is painted; its process gets ready beside the first plan.
    make_betterer: Callable[[], Betterer] | None = None
    betterer: Betterer | None = None
    counts: DayCounts | None = None
    plan_problem = ""
    _drawn_up: Plan | None = None
    _counted: object = None
    # One plan and one count at a time: a slow planner must not pile up threads.
    planning = False
    counting = False
    _plan_wanted = False

    class PlanDrawnUp(Message):
        """A plan for the floor as it stood is ready."""

        def __init__(self, plan: Plan) -> None:
            super().__init__()
            self.plan = plan

    class BettererReady(Message):
        """What looks for better plans is there."""

        def __init__(self, betterer: Betterer) -> None:
            super().__init__()
            self.betterer = betterer

    class DayCounted(Message):
        """The day's counts are known."""

        def __init__(self, counts: DayCounts) -> None:
            super().__init__()
            self.counts = counts

    def show_floor(self) -> None:
        """Draw what can be seen of the floor."""

    def on_floor_keys_floor_changed(self) -> None:
        """Plan anew after every entry."""
        self.draw_up_plan()
        self.count_day()

    def draw_up_plan(self) -> None:
        """Draw up a plan beside the screen, or do so again once the one in hand is ready."""
        self._plan_wanted = self.planning
        if not self.planning:
            self.planning = True
            self._draw_up_plan()

    @work(thread=True, group="plan", exit_on_error=False)
    def _draw_up_plan(self) -> None:
        # The floor it reads is never changed in place.
        session = self.session
        shop, floor, now = session.shop, session.floor, session.now
        previous = session.plan if session.plan.tasks else None
        plan = session.planner.plan(shop, floor, now, previous)
        self.post_message(BoardWork.PlanDrawnUp(plan))

    def on_board_work_plan_drawn_up(self, event: PlanDrawnUp) -> None:
        """Follow the new plan, unless the floor has moved on meanwhile, and look for a better one."""
        from floorboard.planning.planner import WAY_FAILED

        session, plan = self.session, event.plan
        self.plan_problem = next((note for note in plan.notes if note.startswith(WAY_FAILED)), "")
        self._planned()
        if session.adopt(plan):
            self.show_floor()
            self._drawn_up = plan
            self._look_for_better()

    @work(thread=True, group="better", exit_on_error=False)
    def warm_betterer(self) -> None:
        """Start what looks for better plans: the first plan need not wait for it, nor it for one."""
        if self.make_betterer is not None:
            betterer = self.make_betterer()
            betterer.warm()
            if not self.post_message(BoardWork.BettererReady(betterer)):
                betterer.close()

    def on_board_work_betterer_ready(self, event: BettererReady) -> None:
        """Look for a plan better than the one that is followed already."""
        self.betterer = event.betterer
        self._look_for_better()

    def _look_for_better(self) -> None:
        session, plan = self.session, self._drawn_up
        if self.betterer is not None and plan is not None and plan.seq == session.floor.last_seq:
            self.betterer.start(session.shop, session.floor, plan.made_at, plan)

    def _planned(self) -> None:
        self.planning = False
        if self._plan_wanted:
            self.draw_up_plan()

    def follow_better_plan(self) -> None:
        """Follow a better plan if one was found, and the floor is still as it was."""
        better = self.betterer.poll() if self.betterer is not None else None
        if better is not None and self.session.adopt(better):
            self.show_floor()

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Say so when no plan could be drawn up; the board goes on without."""
        worker: Worker[Any] = event.worker
        if event.state is not WorkerState.ERROR or worker.error is None:
            return
        doing = DOING.get(worker.group)
        if worker.group == "plan":
            self._no_plan(worker.error)
        elif worker.group == "count":
            self.counting = False
        if doing is not None and not isinstance(worker.error, FloorboardError):
            self.stumbled(doing, worker.error)

    def _no_plan(self, error: BaseException) -> None:
        from floorboard.planning.plan import empty_plan

        session = self.session
        known = isinstance(error, FloorboardError)
        reason = str(error).rstrip(".") if known else type(error).__name__
        self.plan_problem = (
            f"The plan could not be drawn up: {reason}; the board goes on without one"
        )
        # The plan followed so far speaks of a floor that is gone; the next is due within a minute.
        session.adopt(empty_plan(session.now, session.now, session.floor.last_seq))
        self._planned()
        self.show_floor()

    def count_day(self) -> None:
        """Count the day anew if the log or the date has changed since."""
        session = self.session
        date = session.now.astimezone(session.zone).date()
        wanted = (session.floor.last_seq, date)
        if wanted != self._counted and not self.counting:
            self._counted = wanted
            self.counting = True
            self._count_day()

    @work(thread=True, group="count", exit_on_error=False)
    def _count_day(self) -> None:
        from floorboard.usecases.day_counts import day_counts

        session = self.session
        counts = day_counts(session.store, session.shop, session.floor, session.now)
        self.post_message(BoardWork.DayCounted(counts))

    def on_board_work_day_counted(self, event: DayCounted) -> None:
        """Show the counts, and count on if the log has grown meanwhile."""
        self.counting = False
        self.counts = event.counts
        self.show_floor()
        self.count_day()
