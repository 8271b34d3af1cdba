"""Confirm: log what a press says has been done."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.shop.build import build_of
from floorboard.shop.calendar import shop_day
from floorboard.usecases.batch_in_hand import batch_in_hand
from floorboard.usecases.batch_ticket import batch_cure_factor, room_celsius, ticket_of
from floorboard.usecases.weighing import as_on_the_ticket

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.floor import Floor
    from floorboard.shop.shop import Shop
    from floorboard.usecases.ports import Store
    from floorboard.usecases.presses import Press
    from floorboard.usecases.stock_book import StockBook


def confirm(
    store: Store,
    shop: Shop,
    floor: Floor,
    press: Press,
    *,
    book: StockBook,
    at: dt.datetime,
    logged_at: dt.datetime,
    station: str,
) -> list[e.Entry]:
    """Log a press as of `at` and return its entries, durable.

    Raises
    ------
    floorboard.shop.errors.StaleFloor
        If someone else logged about the same casting meanwhile; look again, then press again.
    """
    happened = [(at, event) for event in events_of(store, shop, floor, book, press, at)]
    return store.append(
        happened,
        logged_at=logged_at,
        person=press.person,
        station=station,
        expected_seq=floor.last_seq,
    )


def events_of(
    store: Store, shop: Shop, floor: Floor, book: StockBook, press: Press, at: dt.datetime
) -> list[e.AnyEvent]:
    """Return the events a press stands for, with new serial numbers where it begins something."""
    day = shop_day(at, shop.shop.zone).date
    if press.kind == "begin casting":
        build = build_of(shop, shop.molds[press.mold].piece)
        digest = store.keep_build(build)
        return [
            e.CastingBegun(
                casting=store.new_serial(day),
                mold=press.mold,
                piece=build.piece_id,
                build=digest,
                order=press.order,
            )
        ]
    if press.kind == "begin batch":
        return [_batch_begun(store.new_batch_serial(day), shop, floor, press)]
    if press.kind == "wet batch":
        return _wetted(store, shop, floor, book, press, at)
    if press.kind == "end step":
        return _step_done(shop, floor, book, press, at)
    if press.kind == "begin layer" and press.batch is not None:
        return [*_half_weighed(store, shop, floor, press), *_events_on_casting(floor, press)]
    return _events_on_casting(floor, press)


def _half_weighed(store: Store, shop: Shop, floor: Floor, press: Press) -> list[e.AnyEvent]:
    """Note what of a batch was not weighed when it is poured; the pour is taken as fact.

    Of a batch of which nothing at all was weighed, the ticket is taken to have been followed.
    """
    in_hand = batch_in_hand(store, shop, floor, press.batch or "")
    if in_hand is None or in_hand.pouring or not in_hand.put_in:
        return []
    missing = [state.addition.name for state in in_hand.making.additions if not state.done]
    if not missing:
        return []
    note = f"Poured with {', '.join(missing)} not logged as weighed into batch {press.batch}."
    return [e.Noted(note=note, casting=press.castings[0])]


def _step_done(
    shop: Shop, floor: Floor, book: StockBook, press: Press, at: dt.datetime
) -> list[e.AnyEvent]:
    """End a finishing step; what it used came from the lots in use."""
    casting = floor.castings[press.castings[0]]
    uses = casting.build.piece.route[press.index].uses
    events: list[e.AnyEvent] = []
    lots = {}
    for material, grams in uses.items():
        take = book.lots_for(shop, material, float(grams) * len(press.castings), at)[0]
        if take.lot is None:
            continue
        lots[material] = take.lot
        if take.first:
            events.append(e.LotOpened(material=material, lot=take.lot))
    return [*events, e.StepDone(castings=press.castings, step=press.index, lots=lots)]


def _wetted(
    store: Store, shop: Shop, floor: Floor, book: StockBook, press: Press, at: dt.datetime
) -> list[e.AnyEvent]:
    """Wet a batch; whoever did not log its weights says by that key that they were the ticket's."""
    wetted = e.BatchWetted(batch=press.batch or "")
    in_hand = batch_in_hand(store, shop, floor, press.batch or "")
    if in_hand is None:
        return [wetted]
    return [*as_on_the_ticket(shop, book, in_hand, at), wetted]


def _batch_begun(serial: str, shop: Shop, floor: Floor, press: Press) -> e.BatchBegun:
    percents = dict(press.percents)
    ticket = ticket_of(shop, floor, press.servings, percents=percents, tare_grams=press.tare_grams)
    mix = floor.castings[press.servings[0][0]].build.mixes[ticket.mix_id]
    servings = tuple(
        e.Serving(casting=serial_, layer=layer, grams=serving.grams)
        for (serial_, layer), serving in zip(press.servings, ticket.servings, strict=True)
    )
    return e.BatchBegun(
        batch=serial,
        mix=ticket.mix_id,
        servings=servings,
        grams=ticket.batch.weighed_grams,
        working_seconds=ticket.working_time.seconds,
        cure_factor=batch_cure_factor(mix, percents, room_celsius(floor)),
        percents=percents,
        tare_grams=press.tare_grams,
    )


def _events_on_casting(floor: Floor, press: Press) -> list[e.AnyEvent]:
    serial = press.castings[0]
    match press.kind:
        case "mold readied":
            return [e.MoldReadied(casting=serial)]
        case "begin layer":
            return [e.LayerBegun(casting=serial, layer=press.index, batch=press.batch)]
        case "end layer":
            return _layer_ended(floor, press)
        case "begin demold":
            return [e.DemoldBegun(casting=serial)]
        case "end demold":
            return [e.Demolded(casting=serial)]
        case "begin step":
            return [e.StepBegun(castings=press.castings, step=press.index)]
        case _:
            raise ValueError(f"{press.kind} begins something new")


def _layer_ended(floor: Floor, press: Press) -> list[e.AnyEvent]:
    """End a layer; the next layer of the same batch begins with it, for it is poured back to back."""
    ended = e.LayerApplied(casting=press.castings[0], layer=press.index, batch=press.batch)
    batch = floor.batches.get(press.batch or "")
    if batch is None:
        return [ended]
    done = (press.castings[0], press.index)
    left = [s for s in floor.still_served(batch) if (s.casting, s.layer) != done]
    if not left:
        return [ended]
    following = e.LayerBegun(casting=left[0].casting, layer=left[0].layer, batch=batch.serial)
    return [ended, following]
