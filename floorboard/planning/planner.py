"""Plan the shop: at once, and never anything that breaks a rule.

Every plan is checked before it is returned. Should one fail, simpler plans are tried in turn and
the notes say so; the last of them asks nothing of anyone beyond the work in hand. Where none holds
there is no plan, and the notes say that.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.planning.build_problem import build_problem
from floorboard.planning.check_plan import check_plan
from floorboard.planning.errors import NetworkError
from floorboard.planning.finish_in_gaps import finish_in_gaps
from floorboard.planning.late_comers import part_late_comers
from floorboard.planning.lost_windows import lost_windows
from floorboard.planning.moved_tasks import moved_tasks
from floorboard.planning.plan import empty_plan
from floorboard.planning.plan_notes import shop_notes
from floorboard.planning.read_solution import read_solution
from floorboard.planning.search import first_plan, improve
from floorboard.planning.solution import Placement, Solution, Status
from floorboard.planning.worth_following import worth_following
from floorboard.planning.write_plan import write_plan
from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Iterator, Mapping

    from floorboard.floor.floor import Floor
    from floorboard.planning.plan import Plan
    from floorboard.planning.plan_rules.breach import Breach
    from floorboard.planning.shop_problem import ShopProblem
    from floorboard.planning.solution import Limits
    from floorboard.shop.shop import Shop


# Up to so many tasks a plan near the followed one and one drawn up anew are compared at once.
MOST_PLANNED_TWICE = 500

WAY_FAILED = "A way to plan failed"
NO_PLAN = (
    "There is no plan: none of those tried kept every rule. "
    "Go by the clocks of what is in the molds, and log what is done."
)


def plan_shop(
    shop: Shop,
    floor: Floor,
    now: dt.datetime,
    previous: Plan | None = None,
    horizon: dt.datetime | None = None,
    *,
    finished: Mapping[str, int] | None = None,
    limits: Limits | None = None,
) -> Plan:
    """Return a plan that keeps every rule, at once.

    Parameters
    ----------
    shop, floor
        The definitions, and the state of the floor.
    now
        Aware UTC; nothing is planned to start before.
    previous
        The plan people are following: what of it still holds is kept, and `moved_next_hour` says
        how many of its tasks of the next hour are elsewhere or gone.
    horizon
        End of the plan; by default the working day at hand and what cures after it.
    finished
        Castings finished for each order that the floor no longer holds, by order.
    limits
        Search so long, in this process, for a better plan than the first; not where a screen
        waits (`improve.Improver`).

    Returns
    -------
    Plan
        Checked; with the status "none" and a note where no plan kept every rule.

    Raises
    ------
    FloorboardError
        What is asked for cannot be planned; the sentence says what to change.
    """
    begin = time.monotonic()
    failures: list[str] = []
    ask = _Ask(shop, floor, now, horizon, finished, limits)
    for attempt in _attempts(ask, previous):
        plan, failure = _tried(ask, attempt)
        if plan is not None:
            return plan.model_copy(
                update={
                    "runtime_seconds": time.monotonic() - begin,
                    "notes": (*failures, *plan.notes),
                    "moved_next_hour": moved_tasks(floor, previous, plan) if previous else None,
                }
            )
        failures = [failure]
    return empty_plan(now, horizon or now, floor.last_seq).model_copy(
        update={"notes": (*failures, NO_PLAN)}
    )


def _tried(ask: _Ask, attempt: Callable[[], Plan]) -> tuple[Plan | None, str]:
    """Return the plan of one attempt, or None and what was wrong with it."""
    try:
        plan = attempt()
        breaches = check_plan(ask.shop, ask.floor, plan)
    except NetworkError as error:
        # A network that contradicts itself is a fault of ours too, nothing a person can act on.
        return None, _stumbled(error)
    except FloorboardError:
        raise
    except Exception as error:
        # A fault of ours must not leave people without any plan, nor be kept from them.
        return None, _stumbled(error)
    return (None, _failure(breaches)) if breaches else (plan, "")


def _stumbled(error: Exception) -> str:
    said = f"{type(error).__name__}: {error}".rstrip(": .")
    return f"{WAY_FAILED} ({said}). A simpler one was tried."


@dataclass(frozen=True, slots=True)
class _Ask:
    shop: Shop
    floor: Floor
    now: dt.datetime
    horizon: dt.datetime | None
    finished: Mapping[str, int] | None
    limits: Limits | None


def _attempts(ask: _Ask, previous: Plan | None) -> Iterator[Callable[[], Plan]]:
    """Yield ways to a plan, the best first, each simpler and safer than the one before."""
    shop, floor = ask.shop, ask.floor

    def whole(followed: Plan | None, limits: Limits | None) -> Plan:
        source, solution = first_answer(shop, floor, ask.now, followed, ask.horizon, ask.finished)
        if limits is not None and solution.found:
            solution = improve(source.problem, solution, limits)
        return plan_of(shop, floor, source, solution)

    def in_molds() -> ShopProblem:
        return build_problem(shop, floor, ask.now, ask.horizon, finished=ask.finished, begin=False)

    def in_molds_only() -> Plan:
        source = in_molds()
        return plan_of(shop, floor, source, first_plan(source.problem), finish=False)

    def in_hand_only() -> Plan:
        source = in_molds()
        return plan_of(shop, floor, source, nothing_placed(source), finish=False)

    if ask.limits is not None:
        yield lambda: whole(previous, ask.limits)
    if previous is not None:
        yield lambda: whole(previous, None)
    yield lambda: whole(None, None)
    yield in_molds_only
    yield in_hand_only


def first_answer(
    shop: Shop,
    floor: Floor,
    now: dt.datetime,
    previous: Plan | None = None,
    horizon: dt.datetime | None = None,
    finished: Mapping[str, int] | None = None,
) -> tuple[ShopProblem, Solution]:
    """Return the network of the shop and a first schedule of it.

    Where orders limit what is wanted, hands may be short of finishing it all today; then what
    finds no place today is offered for finishing later, in molds that stand over night.
    """
    source = build_problem(shop, floor, now, horizon, finished=finished, previous=previous)
    solution = first_plan(source.problem, source.followed or None)
    limits = _placed_today(source, solution)
    if limits is not None:
        again = build_problem(
            shop, floor, now, horizon, finished=finished, previous=previous, today_most=limits
        )
        near = first_plan(again.problem, again.followed or None)
        if near.found:
            source, solution = again, near
    return source, _near_or_anew(source, solution)


def _near_or_anew(source: ShopProblem, near: Solution) -> Solution:
    """Return a schedule near the plan that is followed, or one that is worth leaving it for.

    Where the shop is large only the first is tried, for people wait; a better one comes later.
    """
    if not source.followed or not near.found or len(source.problem.tasks) > MOST_PLANNED_TWICE:
        return near
    anew = first_plan(source.problem)
    step = source.grid.step_seconds
    better = anew.found and worth_following(anew.objective, near.objective, step)
    return anew if better else near


def _placed_today(source: ShopProblem, solution: Solution) -> dict[str, int] | None:
    """Return how many castings each pool finishes today, None where more could not be wanted."""
    if not solution.found or source.wanted.everything:
        return None
    placed: dict[str, int] = {}
    left_out = False
    for group, ref in zip(source.problem.groups, source.groups, strict=True):
        if ref.kind != "today" or ref.pool is None:
            continue
        there = solution.placements[group.tasks[0]] is not None
        placed[ref.pool] = placed.get(ref.pool, 0) + there
        left_out = left_out or not there
    return placed if left_out and source.horizon.until > source.horizon.day_end else None


def nothing_placed(source: ShopProblem) -> Solution:
    """Return the schedule of the work in hand and nothing else."""
    placements: list[Placement | None] = []
    for index, task in enumerate(source.problem.tasks):
        if task.fixed_start is None:
            placements.append(None)
            continue
        ready = task.fixed_start + task.setup
        end = ready + task.duration
        placements.append(Placement(task.fixed_start, ready, end, task.fixed_person, None, index))
    return Solution(tuple(placements), (), Status.FEASIBLE, "none")


def plan_of(
    shop: Shop,
    floor: Floor,
    source: ShopProblem,
    solution: Solution,
    *,
    finish: bool = True,
) -> Plan:
    """Return a schedule as a plan of the shop, unchecked."""
    if not solution.found:
        solution = nothing_placed(source)
    sheet = read_solution(shop, floor, source, solution)
    part_late_comers(source, sheet)
    if finish:
        finish_in_gaps(shop, floor, source, sheet)
    lost, no_place = lost_windows(shop, floor, source, solution)
    notes = (*source.notes, *no_place, *shop_notes(source))
    return write_plan(shop, floor, source, sheet).model_copy(
        update={
            "lost": tuple(lost),
            "notes": notes,
            "engine": solution.engine,
            "status": "optimal" if solution.status is Status.OPTIMAL else "feasible",
            "objective": tuple(float(value) for value in solution.objective),
            "gap": solution.gap,
            "bound": float(solution.bound[0]) if len(solution.bound) == 1 else None,
            "seed": solution.seed,
        }
    )


def checked_plan(
    shop: Shop,
    floor: Floor,
    source: ShopProblem,
    solution: Solution,
    previous: Plan | None = None,
) -> Plan | None:
    """Return a schedule as a plan of the shop, None if it breaks a rule."""
    plan = plan_of(shop, floor, source, solution)
    if check_plan(shop, floor, plan):
        return None
    moved = moved_tasks(floor, previous, plan) if previous is not None else None
    seconds = solution.runtime_seconds
    return plan.model_copy(update={"moved_next_hour": moved, "runtime_seconds": seconds})


def _failure(breaches: list[Breach]) -> str:
    first = breaches[0]
    return (
        f"A plan was found but not used, because it broke the rule '{first.rule}': {first.message} "
        "A simpler one was tried."
    )
