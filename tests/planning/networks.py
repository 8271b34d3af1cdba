"""Small networks for tests: drawn ones, and a hand-made casting."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from floorboard.planning.draft import Draft
from floorboard.planning.network import (
    Anchor,
    Family,
    Group,
    Hold,
    Lag,
    Moment,
    Person,
    Planned,
    Problem,
    Station,
    Task,
)
from floorboard.planning.solution import Placement, Placements


@st.composite
def networks(draw: st.DrawFn, most_groups: int = 4, horizon: int = 60) -> Problem:
    """Draw a network with hands, breaks, a mixer, molds, batches, waits, holds and due dates."""
    draft = Draft(horizon=horizon)
    for number in range(draw(st.integers(1, 3))):
        stretches: tuple[tuple[int, int], ...] = ((0, horizon),)
        if draw(st.booleans()):
            pause = draw(st.integers(6, horizon - 12))
            stretches = ((0, pause), (pause + draw(st.integers(1, 8)), horizon))
        draft.person(Person(f"person {number}", stretches))
    for number in range(draw(st.integers(1, 2))):
        weight, span = draw(st.integers(3, 9)), draw(st.integers(6, 18))
        draft.family(Family(f"mix {number}", weight, span))
    mold = draft.station(Station("mold", draw(st.integers(1, 2)), draw(_taken(horizon))))
    mixer = draft.station(Station("mixer", draw(st.integers(1, 2))))
    kinds = draw(st.lists(st.booleans(), min_size=1, max_size=most_groups))
    for number, twin in enumerate(kinds):
        shape = draw(_shapes(len(draft.people), len(draft.families), horizon))
        for copy in range(2 if twin else 1):
            _add_group(draft, shape, number, f"{number}.{copy}", mold, mixer)
    if draw(st.booleans()):
        _add_past(draft, draw)
    if draw(st.booleans()):
        draft.reference.append(Planned(0, draw(st.integers(0, 20)), 0))
    return draft.problem()


@st.composite
def shared_mixes(draw: st.DrawFn, horizon: int = 80) -> Problem:
    """Draw one-layer castings of one mix that mostly ride on the batches of one another."""
    draft = Draft(horizon=horizon)
    for number in range(draw(st.integers(1, 2))):
        draft.person(Person(f"person {number}", ((0, horizon),)))
    draft.family(Family("mix", draw(st.integers(5, 12)), draw(st.integers(8, 18))))
    mixer = draft.station(Station("mixer", 1))
    setup = draw(st.integers(0, 4))
    for number in range(draw(st.integers(3, 7))):
        poured = draft.task(
            Task(
                f"pour {number}",
                draw(st.integers(1, 4)),
                tuple(range(len(draft.people))),
                setup=setup,
                dry_setup=draw(st.integers(0, setup)),
                family=0,
                weight=draw(st.integers(1, 2)),
                demands=((mixer, 1),) if draw(st.booleans()) else (),
                release=draw(st.integers(0, 8)),
            )
        )
        trimmed = draft.task(Task(f"trim {number}", 1, (0,)))
        anchor = draw(st.sampled_from((Anchor.END, Anchor.END, Anchor.START)))
        draft.lag(Lag(poured, trimmed, 8, 12, anchor, Anchor.READY))
        draft.group(Group(f"casting {number}", (poured, trimmed)))
    return draft.problem()


@st.composite
def _taken(draw: st.DrawFn, horizon: int) -> tuple[tuple[int, int, int], ...]:
    if draw(st.integers(0, 3)):
        return ()
    start = draw(st.integers(0, horizon - 10))
    return ((start, start + draw(st.integers(1, 9)), 1),)


@st.composite
def _shapes(draw: st.DrawFn, people: int, families: int, horizon: int) -> dict[str, Any]:
    tasks, lags = [], []
    for number in range(draw(st.integers(1, 4))):
        who = draw(st.sets(st.integers(0, people - 1), min_size=1))
        setup = draw(st.integers(0, 3))
        mixed = draw(st.booleans())
        tasks.append(
            Task(
                f"task {number}",
                draw(st.integers(1, 5)),
                tuple(sorted(who)) if mixed or draw(st.integers(0, 4)) else (),
                setup=setup,
                dry_setup=draw(st.integers(0, setup)),
                family=draw(st.integers(0, families - 1)) if mixed else None,
                weight=draw(st.integers(1, 4)),
                deadline=draw(st.sampled_from((None, None, horizon - 5))),
            )
        )
        if number:
            least = draw(st.integers(0, 6))
            greatest = draw(st.sampled_from((None, least + 1, least + 8)))
            anchors = draw(st.sampled_from(_ANCHORS))
            lags.append((draw(st.integers(0, number - 1)), number, least, greatest, *anchors))
    return {
        "tasks": tasks,
        "lags": lags,
        "mold": draw(st.booleans()),
        "mixer": draw(st.booleans()),
        "due": draw(st.sampled_from((None, 15, 30))),
        "worth": draw(st.integers(1, 3)),
        "in_hand": draw(st.integers(0, 4)) == 0,
    }


_ANCHORS = ((Anchor.END, Anchor.READY), (Anchor.END, Anchor.START), (Anchor.START, Anchor.START))


def _add_group(
    draft: Draft, shape: dict[str, Any], number: int, label: str, mold: int, mixer: int
) -> None:
    first = len(draft.tasks)
    for task in shape["tasks"]:
        draft.task(task)
    for before, after, least, greatest, one, other in shape["lags"]:
        draft.lag(Lag(first + before, first + after, least, greatest, one, other))
    last = len(draft.tasks) - 1
    if shape["mold"]:
        draft.hold(Hold(mold, Moment(first, Anchor.START), Moment(last, Anchor.END)))
    if shape["mixer"]:
        draft.hold(Hold(mixer, Moment(first, Anchor.START), Moment(first, Anchor.READY)))
    draft.group(
        Group(
            f"casting {label}",
            tuple(range(first, last + 1)),
            in_hand=shape["in_hand"],
            worth=shape["worth"],
            due=shape["due"],
            late_weight=2,
            alike=number,
        )
    )


def _add_past(draft: Draft, draw: st.DrawFn) -> None:
    """Add a casting in hand: its first layer is being poured, its mold held from the past."""
    family = draft.families[0]
    poured = draft.task(
        Task("poured", 4, (0,), setup=2, family=0, weight=1, fixed_start=0, fixed_person=0)
    )
    follow = poured if draw(st.booleans()) and family.max_weight > 1 else None
    second = draft.task(Task("second", 3, (0,), setup=2, family=0, weight=1, follows=follow))
    if follow is None:
        draft.lag(Lag(poured, second, 3, 20, Anchor.END, Anchor.READY, "recoat"))
    draft.hold(Hold(0, 0, Moment(second, Anchor.END), lost_until=draw(st.sampled_from((None, 9)))))
    draft.group(Group("in hand", (poured, second), in_hand=True, worth=2))


def casting() -> Draft:
    """Return a hand-made day: two people, one mix, two castings of two layers, one mold each.

    `CASTING_PLAN` is a plan of it.
    """
    draft = Draft(horizon=60)
    draft.person(Person("Ada", ((0, 25), (30, 60))))
    draft.person(Person("Ben", ((0, 60),)))
    draft.family(Family("gypsum", max_weight=10, max_span=14))
    draft.station(Station("mold", 2))
    draft.station(Station("rack", 1, ((50, 60, 1),)))
    for name in ("first", "second"):
        one = draft.task(Task(f"{name} layer 1", 5, (0, 1), 3, 1, 0, 4))
        two = draft.task(Task(f"{name} layer 2", 5, (0, 1), 3, 1, 0, 4))
        off = draft.task(Task(f"{name} demold", 2, (0, 1)))
        dry = draft.task(Task(f"{name} dry", 4, (), demands=((1, 1),)))
        draft.lag(Lag(one, two, 6, 15, Anchor.END, Anchor.READY, "recoat"))
        draft.lag(Lag(two, off, 8))
        draft.lag(Lag(off, dry, 0, 8))
        draft.hold(Hold(0, Moment(one, Anchor.START), Moment(off, Anchor.END)))
        draft.group(Group(name, (one, two, off, dry), due=45, late_weight=1, alike=1))
    return draft


def placed(
    start: int,
    ready: int,
    end: int,
    person: int | None = None,
    previous: int | None = None,
    leader: int = -1,
) -> Placement:
    """Return a placement, shortly."""
    return Placement(start, ready, end, person, previous, leader)


CASTING_PLAN: Placements = (
    placed(0, 3, 8, 0, None, 0),
    placed(13, 16, 21, 1, None, 1),
    placed(29, 29, 31, 1, None, 2),
    placed(31, 31, 35, None, None, 3),
    placed(8, 8, 13, 0, 0, 0),
    placed(21, 21, 26, 1, 1, 1),
    placed(34, 34, 36, 0, None, 6),
    placed(36, 36, 40, None, None, 7),
)
"""A plan of `casting` that keeps every rule: both layers of both castings ride on one batch."""
