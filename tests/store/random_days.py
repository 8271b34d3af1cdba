"""Random days at the bench, as steps that a store is taken through: sense and nonsense alike."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import strategies as st

from floorboard.floor import events as e
from floorboard.shop.errors import StoreError
from tests.store.small_shop import BUILDS, SHOP, minutes

if TYPE_CHECKING:
    from collections.abc import Callable

    from floorboard.store.sqlite_store import SqliteStore

CASTINGS = ("c-1", "c-2", "c-3", "c-4")
BATCHES = ("B-1", "B-2", "B-3")
DIGESTS = {piece: build.digest() for piece, build in BUILDS.items()}

castings = st.sampled_from(CASTINGS)
batches = st.sampled_from(BATCHES)
molds = st.sampled_from(sorted(SHOP.molds))
layers = st.integers(0, 2)
steps = st.integers(0, 3)
people = st.sampled_from(["ana", "bo", None])


def _begun(casting: str, mold: str) -> e.CastingBegun:
    piece = SHOP.molds[mold].piece
    return e.CastingBegun(casting=casting, mold=mold, piece=piece, build=DIGESTS[piece])


servings = st.lists(st.tuples(castings, layers), max_size=3).map(
    lambda pairs: tuple(e.Serving(casting=c, layer=n, grams=300) for c, n in pairs)
)
some_castings = st.lists(castings, min_size=1, max_size=3).map(tuple)

EVENTS: st.SearchStrategy[e.AnyEvent] = st.one_of(
    st.builds(_begun, castings, molds),
    st.builds(_begun, castings, molds),
    st.builds(e.MoldReadied, casting=castings),
    st.builds(
        e.BatchBegun,
        batch=batches,
        mix=st.just("grey"),
        servings=servings,
        grams=st.just(600.0),
        working_seconds=st.just(600.0),
        cure_factor=st.sampled_from([0.5, 1.0]),
    ),
    st.builds(
        e.MaterialWeighed,
        batch=batches,
        material=st.sampled_from(["powder", "liquid"]),
        target_grams=st.just(200.0),
        grams=st.sampled_from([199.0, 200.5]),
        lot=st.sampled_from([None, "L1"]),
    ),
    st.builds(
        e.BatchCorrected,
        batch=batches,
        grams=st.just(650.0),
        targets=st.just((e.MaterialTarget(material="powder", grams=220.0),)),
    ),
    st.builds(e.BatchWetted, batch=batches),
    st.builds(e.BatchLost, batch=batches),
    st.builds(e.LayerBegun, casting=castings, layer=layers, batch=st.none() | batches),
    st.builds(e.LayerApplied, casting=castings, layer=layers, batch=st.none() | batches),
    st.builds(e.LayerApplied, casting=castings, layer=layers, batch=st.none() | batches),
    st.builds(e.DemoldBegun, casting=castings),
    st.builds(e.Demolded, casting=castings),
    st.builds(e.StepBegun, castings=some_castings, step=steps),
    st.builds(e.StepDone, castings=some_castings, step=steps),
    st.builds(
        e.CastingRejected, casting=castings, reason=st.just("void"), layer=st.none() | layers
    ),
    st.builds(e.CastingSentBack, casting=castings, step=steps, reason=st.just("warp")),
    st.builds(e.CastingSetAside, casting=castings),
    st.builds(e.CastingTakenUp, casting=castings),
    st.builds(e.CastingWeighed, casting=castings, grams=st.just(612.0)),
    st.builds(e.WallRead, casting=castings, millimetres=st.just(8.5)),
    st.builds(e.Noted, note=st.just("n"), casting=st.none() | castings, mold=st.none() | molds),
    st.builds(e.MoldTakenOut, mold=molds),
    st.builds(e.MoldPutBack, mold=molds),
    st.builds(e.MoldCaredFor, mold=molds),
    st.builds(e.MoldRested, mold=molds, until=st.just(minutes(600))),
    st.builds(e.PersonLeft, who=st.sampled_from(["ana", "bo"])),
    st.builds(e.PersonBack, who=st.sampled_from(["ana", "bo"])),
    st.builds(e.ConditionsRead, room_celsius=st.sampled_from([18.0, 21.0])),
    st.builds(e.LotReceived, material=st.just("powder"), lot=st.just("L1"), grams=st.just(25e3)),
    st.builds(e.StockCounted, material=st.just("powder"), lot=st.just("L1"), grams=st.just(24e3)),
    st.builds(
        e.SolutionMade,
        material=st.just("liquid"),
        lot=st.just("S1"),
        grams=st.just(520.0),
        takings=st.just((e.LotTaking(material="powder", grams=40.0, lot="L1"),)),
    ),
    st.builds(e.StockWasted, material=st.just("powder"), grams=st.just(50.0)),
)

# Strikes count back from the last entry, so that most of them find one.
STRIKES = st.integers(0, 25)
Step = tuple[str, object]
STEPS: st.SearchStrategy[list[Step]] = st.lists(
    st.one_of(
        st.tuples(st.just("log"), st.lists(EVENTS, min_size=1, max_size=3)),
        st.tuples(st.just("log"), st.lists(EVENTS, min_size=4, max_size=12)),
        st.tuples(st.just("strike"), STRIKES),
    ),
    min_size=1,
    max_size=25,
)


def take_through(
    store: SqliteStore, day: list[Step], after_each: Callable[[], None] = lambda: None
) -> None:
    """Log and strike as the steps say; what the store refuses is passed over."""
    for build in BUILDS.values():
        store.keep_build(build)
    for number, (what, how) in enumerate(day):
        person = ("ana", "bo", None)[number % 3]
        now = minutes(7 * number)
        try:
            if what == "strike":
                store.strike(
                    store.last_seq() - how, reason="", logged_at=now, person=person, station="east"
                )
            else:
                # Every third step was forgotten and is logged an hour late.
                at = minutes(7 * number - (60 if number % 3 == 2 else 0))
                store.append(
                    [(at, event) for event in how], logged_at=now, person=person, station="east"
                )
        except StoreError:
            continue
        after_each()
