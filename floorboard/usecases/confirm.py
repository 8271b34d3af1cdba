"""Confirm: log what a press says has been done."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor import events as e
from floorboard.shop.build import build_of
from floorboard.shop.calendar import shop_day
from floorboard.usecases.batch_ticket import cure_factor, room_celsius, ticket_of

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.floor.floor import Floor
    from floorboard.shop.shop import Shop
    from floorboard.usecases.ports import Store
    from floorboard.usecases.presses import Press


def confirm(
    store: Store,
    shop: Shop,
    floor: Floor,
    press: Press,
    *,
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
    happened = [(at, event) for event in events_of(store, shop, floor, press, at)]
    return store.append(
        happened,
        logged_at=logged_at,
        person=press.person,
        station=station,
        expected_seq=floor.last_seq,
    )


def events_of(
    store: Store, shop: Shop, floor: Floor, press: Press, at: dt.datetime
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
    return _events_on_casting(floor, press)


def _batch_begun(serial: str, shop: Shop, floor: Floor, press: Press) -> e.BatchBegun:
    ticket = ticket_of(shop, floor, press.servings)
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
        cure_factor=cure_factor(mix, room_celsius(floor)),
    )


def _events_on_casting(floor: Floor, press: Press) -> list[e.AnyEvent]:
    serial = press.castings[0]
    match press.kind:
        case "mold readied":
            return [e.MoldReadied(casting=serial)]
        case "wet batch":
            return [e.BatchWetted(batch=press.batch or "")]
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
        case "end step":
            return [e.StepDone(castings=press.castings, step=press.index)]
        case _:
            raise ValueError(f"{press.kind} begins something new")


def _layer_ended(floor: Floor, press: Press) -> list[e.AnyEvent]:
    """End a layer; the next layer of the same batch begins with it, for it is poured back to back."""
    ended = e.LayerApplied(casting=press.castings[0], layer=press.index, batch=press.batch)
    batch = floor.batches.get(press.batch or "")
    if batch is None:
        return [ended]
    done = (press.castings[0], press.index)
    left = [s for s in batch.to_serve() if (s.casting, s.layer) != done]
    if not left:
        return [ended]
    following = e.LayerBegun(casting=left[0].casting, layer=left[0].layer, batch=batch.serial)
    return [ended, following]
