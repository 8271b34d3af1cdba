"""The ticket before its batch is begun: which layers share it, and what it would take."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.cautions import caution_sentences
from floorboard.mixing.refusal import MixingError
from floorboard.screens.countdown import countdown
from floorboard.screens.ticket_screen.ticket_model import (
    AdditionRow,
    BigNumber,
    LayerRow,
    TicketView,
)
from floorboard.screens.ticket_screen.ticket_words import (
    caution_words,
    clock_words,
    how_words,
    person,
    stage_text,
    temperature_remarks,
)
from floorboard.shop.units import show_grams
from floorboard.usecases.batch_choice import sharing_remarks
from floorboard.usecases.other_work import other_work
from floorboard.usecases.press_words import mold_label

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.mixing.ticket import Ticket
    from floorboard.shop.shop import Shop
    from floorboard.usecases.batch_choice import LayerChoice
    from floorboard.usecases.mix_desk import MixDesk


def choosing(desk: MixDesk, now: dt.datetime) -> TicketView:
    """Return the ticket of the layers chosen so far, and the layers that may share it."""
    shop = desk.session.shop
    mix = desk.mix
    try:
        ticket, refusal = desk.ticket, ""
    except MixingError as refused:
        ticket, refusal = None, str(refused)
    remarks = [refusal] if refusal else []
    if besides := other_work(shop, desk.session.floor, desk.person):
        remarks.append(besides)
    if ticket is not None:
        remarks += sharing_remarks(shop, ticket, desk.chosen_layers, now)
        remarks += ticket.remarks
    remarks += temperature_remarks(desk, now)
    remarks += _lot_remarks(desk, ticket)
    count = len(desk.chosen_layers)
    grams = show_grams(shop, ticket.batch.weighed_grams) if ticket is not None else ""
    return TicketView(
        title=f"{mix.name if mix is not None else ''}, {grams}".rstrip(", "),
        person=person(desk),
        task=f"A batch for {count} {'layer' if count == 1 else 'layers'}",
        how=_changed_text(desk, ticket),
        big=BigNumber(grams, "to weigh", "plain" if ticket is not None else "bad"),
        enter="begins weighing" if ticket is not None else "",
        additions=_planned_rows(shop, ticket) if ticket is not None else (),
        layers=tuple(_choice_row(desk, place, one, now) for place, one in enumerate(desk.listed)),
        choosing=True,
        clock_words=clock_words(ticket),
        remarks=tuple(remarks),
        cautions=caution_sentences(mix.cautions) if mix is not None else (),
        caution_words=caution_words(mix.cautions) if mix is not None else "",
    )


def _choice_row(desk: MixDesk, place: int, one: LayerChoice, now: dt.datetime) -> LayerRow:
    shop = desk.session.shop
    chosen = one.key in desk.chosen
    opens = (one.opens_at - now).total_seconds()
    note = f"opens in {countdown(opens)}" if opens > 0 else "open"
    if one.closes_at is not None and opens <= 0:
        closes = (one.closes_at - now).total_seconds()
        note = f"open, closes in {countdown(closes)}" if closes >= 0 else "window lost"
    return LayerRow(
        label=f"{mold_label(shop, one.mold).capitalize()} layer {one.layer + 1}",
        grams=show_grams(shop, one.grams),
        note=note,
        state="now" if chosen else "later",
        chosen=chosen,
        at_cursor=place == desk.cursor,
    )


def _planned_rows(shop: Shop, ticket: Ticket) -> tuple[AdditionRow, ...]:
    return tuple(
        AdditionRow(
            number=str(addition.number),
            name=addition.name,
            add=show_grams(shop, addition.grams),
            reading=show_grams(shop, addition.reading_grams),
            state="later",
            how=how_words(addition.in_words, addition.sift),
            note="",
            stage=stage_text(ticket, stage) if place == 0 else "",
        )
        for stage in ticket.stages
        for place, addition in enumerate(stage.additions)
    )


def _changed_text(desk: MixDesk, ticket: Ticket | None) -> str:
    parts = [f"{material} {percent:.4g} %" for material, percent in desk.percents.items()]
    if desk.tare_grams:
        parts.append(f"bucket {show_grams(desk.session.shop, desk.tare_grams)}")
    if parts:
        return ", ".join(parts)
    additives = [] if ticket is None else [a for a in ticket.additions if a.percent is not None]
    return ", ".join(f"{one.name} {one.in_words}" for one in additives)


def _lot_remarks(desk: MixDesk, ticket: Ticket | None) -> list[str]:
    """Say which lots cannot give what the ticket takes: before the bucket, not at it."""
    if ticket is None:
        return []
    session = desk.session
    remarks = []
    for addition in ticket.additions:
        takes = session.book.lots_for(session.shop, addition.material, addition.grams, session.now)
        if takes and takes[-1].short:
            there = session.book.on_hand_grams(session.shop, addition.material, session.now)
            remarks.append(
                f"{addition.name}: {show_grams(session.shop, there)} in date by the account, "
                f"{show_grams(session.shop, addition.grams)} wanted. Receive or count it with O."
            )
    return remarks
