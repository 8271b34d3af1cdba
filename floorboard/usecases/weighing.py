"""What the keys of the mix desk log: weights with their lots, stages, corrections.

Each function returns events; none logs anything itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from floorboard.floor import events as e
from floorboard.mixing.making import NOTHING
from floorboard.mixing.refusal import refuse
from floorboard.mixing.working_time import working_seconds
from floorboard.shop.mixes import WorkingTimeTable

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.mixing.correction import Correction
    from floorboard.mixing.making import AdditionState
    from floorboard.shop.shop import Shop
    from floorboard.usecases.batch_in_hand import BatchInHand
    from floorboard.usecases.stock_book import LotTake, StockBook

Source = Literal["ticket", "typed", "scale"]


def weighed(
    shop: Shop,
    book: StockBook,
    in_hand: BatchInHand,
    grams: float,
    at: dt.datetime,
    source: Source = "ticket",
) -> list[e.AnyEvent]:
    """Put so many grams of the next addition in; what follows from it is logged with it.

    The lots are chosen first-expired first. A stage without stirring is done with its last
    addition, and the working time starts with the last addition of the stage that starts it.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If everything is in already.
    """
    state = in_hand.making.next_addition
    if state is None:
        raise refuse("weight", "everything of this stage is in; stir, then go on")
    events = _put_in(shop, book, in_hand, state, grams, at, source)
    return [*events, *_following(in_hand, events, at)]


def lot_ran_out(
    book: StockBook,
    shop: Shop,
    in_hand: BatchInHand,
    grams: float,
    at: dt.datetime,
) -> list[e.AnyEvent]:
    """The lot in use gave so many grams and is empty, whatever the account had of it.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If nothing is being weighed, it gave all that was wanted, or the shop has no lot of it.
    """
    state = in_hand.making.next_addition
    if state is None:
        raise refuse("lot", "nothing is being weighed now")
    material = state.addition.material
    take = book.lots_for(shop, material, state.more_grams, at)[0]
    if take.lot is None:
        raise refuse(material, f"no lot of {state.addition.name} was received; receive one first")
    if not 0 <= grams < state.more_grams:
        raise refuse(
            material,
            f"found {grams:g} g out of lot {take.lot}, expected less than the "
            f"{state.more_grams:g} g wanted; if it gave all of it, weigh as usual",
        )
    events: list[e.AnyEvent] = []
    if grams:
        events = _from_lot(in_hand, material, take.lot, grams, grams, take.first, "typed")
    return [*events, e.StockCounted(material=material, lot=take.lot, grams=0.0)]


def stage_done(in_hand: BatchInHand, at: dt.datetime) -> list[e.AnyEvent]:
    """Say that the stage in hand has been stirred.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If something of it is still to be weighed, or all stages are done.
    """
    making = in_hand.making
    if making.stage is None:
        raise refuse("stage", "all stages are done; pour")
    if making.next_addition is not None:
        raise refuse("stage", f"{making.next_addition.addition.name} is still to go in")
    staged = e.BatchStaged(batch=in_hand.batch.serial, stage=making.stages_done)
    return [staged, *_following(in_hand, [staged], at)]


def corrected(in_hand: BatchInHand, correction: Correction) -> e.BatchCorrected:
    """Return the event that takes a correction: from here its weights are the targets.

    Raises
    ------
    floorboard.mixing.refusal.MixingError
        If the batch cannot be put right.
    """
    if not correction.fits:
        raise refuse("correction", " ".join(correction.sentences))
    return e.BatchCorrected(
        batch=in_hand.batch.serial,
        grams=correction.made_grams,
        targets=tuple(
            e.MaterialTarget(material=one.material, grams=round(one.comes_to_grams, 6))
            for one in correction.top_ups
        ),
        working_seconds=_working_seconds(in_hand, correction),
    )


def _working_seconds(in_hand: BatchInHand, correction: Correction) -> float | None:
    """Return the working time at the additive's percentage as corrected; None if it stays."""
    mix = in_hand.mix
    if not isinstance(mix.working_time, WorkingTimeTable):
        return None
    comes_to = {one.place: one.comes_to_grams for one in correction.top_ups}
    for addition in in_hand.ticket.batch.additions:
        if addition.material != mix.working_time.additive or not addition.percent:
            continue
        base = sum(comes_to[place] for place in addition.base)
        percent = 100.0 * comes_to[addition.place] / base
        share = working_seconds(mix, percent) / working_seconds(mix, addition.percent)
        return in_hand.batch.working_seconds * share
    return None


def as_on_the_ticket(
    shop: Shop, book: StockBook, in_hand: BatchInHand, at: dt.datetime
) -> list[e.AnyEvent]:
    """Put everything in that was not logged yet, each at its target."""
    events: list[e.AnyEvent] = []
    for state in in_hand.making.additions:
        if not state.done:
            events += _put_in(shop, book, in_hand, state, state.more_grams, at, "ticket")
    return events


def _put_in(
    shop: Shop,
    book: StockBook,
    in_hand: BatchInHand,
    state: AdditionState,
    grams: float,
    at: dt.datetime,
    source: Source,
) -> list[e.AnyEvent]:
    if not 0 <= grams < float("inf"):
        raise refuse(state.addition.material, f"found {grams:g} g, expected nothing or more")
    material = state.addition.material
    takes = book.lots_for(shop, material, grams, at) if grams > NOTHING else ()
    if not takes:
        return [_weighed(in_hand, material, None, state.more_grams, grams, source)]
    events: list[e.AnyEvent] = []
    wanted = state.more_grams
    for take in takes[:-1]:
        target = min(take.grams, wanted)
        events += _from_take(in_hand, material, take, target, source)
        wanted = round(wanted - target, 6)
    return [*events, *_from_take(in_hand, material, takes[-1], wanted, source)]


def _from_take(
    in_hand: BatchInHand, material: str, take: LotTake, target: float, source: Source
) -> list[e.AnyEvent]:
    if take.lot is None:
        return [_weighed(in_hand, material, None, target, take.grams, source)]
    return _from_lot(in_hand, material, take.lot, target, take.grams, take.first, source)


def _from_lot(
    in_hand: BatchInHand,
    material: str,
    lot: str,
    target: float,
    grams: float,
    first: bool,
    source: Source,
) -> list[e.AnyEvent]:
    taken = _weighed(in_hand, material, lot, target, grams, source)
    # Whoever takes from a lot has opened it: its open life runs from here.
    return [e.LotOpened(material=material, lot=lot), taken] if first else [taken]


def _weighed(
    in_hand: BatchInHand,
    material: str,
    lot: str | None,
    target: float,
    grams: float,
    source: Source,
) -> e.MaterialWeighed:
    return e.MaterialWeighed(
        batch=in_hand.batch.serial,
        material=material,
        target_grams=round(target, 6),
        grams=round(grams, 6),
        lot=lot,
        source=source,
    )


def _following(in_hand: BatchInHand, events: list[e.AnyEvent], at: dt.datetime) -> list[e.AnyEvent]:
    """What holds of itself after these events: the clock runs, an unstirred stage is done."""
    serial = in_hand.batch.serial
    following: list[e.AnyEvent] = []
    after = in_hand.after(events, at)
    wetted = in_hand.batch.wetted_at is not None
    while True:
        making = after.making
        if making.clock_runs and not wetted:
            wetted = True
            following.append(e.BatchWetted(batch=serial))
        stage = making.stage
        if stage is None or stage.stir_seconds or making.next_addition is not None:
            return following
        staged = e.BatchStaged(batch=serial, stage=making.stages_done)
        following.append(staged)
        after = after.after([staged], at)
