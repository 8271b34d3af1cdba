"""What the ticket screen shows at a moment, without any drawing."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from floorboard.mixing.ticket_text import stir_text
from floorboard.mixing.working_time import minutes_text
from floorboard.screens.countdown import countdown
from floorboard.screens.ticket_screen.choosing_view import choosing
from floorboard.screens.ticket_screen.ticket_model import (
    AdditionRow,
    BigNumber,
    BigTone,
    LayerRow,
    RowState,
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
from floorboard.usecases.batch_ticket import in_shop_units
from floorboard.usecases.press_words import key_words, press_words

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.mixing.making import AdditionState
    from floorboard.mixing.ticket import TicketStage
    from floorboard.shop.shop import Shop
    from floorboard.usecases.batch_in_hand import BatchInHand
    from floorboard.usecases.mix_desk import MixDesk, Pending


def ticket_view(desk: MixDesk, now: dt.datetime) -> TicketView:
    """Return what the desk's screen shows."""
    if desk.in_hand is not None:
        return _in_hand(desk, desk.in_hand, now)
    if desk.stage == "nothing":
        return TicketView(
            title="No layer waits for a batch",
            person=person(desk),
            task="Begin a casting on the floor first",
            how="Then its first layer is offered here.",
            big=BigNumber("", ""),
            enter="",
            remarks=temperature_remarks(desk, now),
        )
    return choosing(desk, now)


def in_units_of(shop: Shop, view: TicketView) -> TicketView:
    """Return a view whose remarks have their weights in the units the shop reads."""
    return replace(view, remarks=tuple(in_shop_units(shop, text) for text in view.remarks))


def _in_hand(desk: MixDesk, in_hand: BatchInHand, now: dt.datetime) -> TicketView:
    shop = desk.session.shop
    task, how, big, enter = _doing(desk, in_hand, now)
    remarks = list(_making_remarks(desk, in_hand))
    # A correction is shown as the ticket would be with it.
    shown = desk.put_right_preview or in_hand
    making = shown.making
    whole = show_grams(shop, making.comes_to_grams)
    return TicketView(
        title=f"{in_hand.ticket.batch.mix_name}, {whole}, batch {in_hand.batch.serial}",
        person=person(desk),
        task=task,
        how=how,
        big=big,
        enter=enter,
        additions=_rows(desk, shown),
        layers=_serving_rows(desk, in_hand),
        clock=_clock(in_hand, now),
        clock_words="" if in_hand.batch.wetted_at else clock_words(in_hand.ticket),
        remarks=tuple(remarks),
        cautions=in_hand.ticket.cautions,
        caution_words=caution_words(in_hand.mix.cautions),
    )


def _doing(
    desk: MixDesk, in_hand: BatchInHand, now: dt.datetime
) -> tuple[str, str, BigNumber, str]:
    """Return the task, how it is done, the number to read, and what Enter does."""
    shop, making = desk.session.shop, in_hand.making
    match desk.stage:
        case "check":
            assert desk.pending is not None
            return _checking(shop, making.next_addition, desk.pending)
        case "weigh":
            state = making.next_addition
            assert state is not None
            reading = show_grams(shop, making.reading_grams + state.more_grams)
            again = " more" if state.in_grams else ""
            task = f"{state.addition.number}. {state.addition.name}"
            add = f"add {show_grams(shop, state.more_grams)}{again}"
            how = ", ".join(
                text
                for text in (
                    add,
                    how_words(state.addition.in_words, state.addition.sift),
                    _lot_words(desk, state),
                )
                if text
            )
            return (
                task,
                how,
                BigNumber(reading, "until the scale shows"),
                "takes it",
            )
        case "stir":
            assert making.stage is not None
            return _stirring(making.stage, making.stirring_since, now)
        case _:
            return _pouring(desk)


def _checking(
    shop: Shop, state: AdditionState | None, pending: Pending
) -> tuple[str, str, BigNumber, str]:
    name = state.addition.name if state is not None else ""
    over = pending.check.deviation_grams > 0
    off = show_grams(shop, abs(pending.check.deviation_grams))
    big = BigNumber(off, "too much" if over else "too little", "bad")
    if not over:
        return name, "Add the rest and type it, or take it short.", big, "takes it short, flagged"
    correction = pending.correction
    if correction is not None and correction.fits:
        left = "; K leaves it as it is" if correction.can_be_left else ""
        comes_to = show_grams(shop, correction.made_grams)
        how = f"Put right, the batch comes to {comes_to}{left}."
        return name, how, big, "takes it and puts it right"
    return name, "It cannot be put right in this bucket.", big, "takes it, flagged"


def _stirring(
    stage: TicketStage, since: dt.datetime | None, now: dt.datetime
) -> tuple[str, str, BigNumber, str]:
    gone = 0.0 if since is None else (now - since).total_seconds()
    left = stage.stir_seconds - gone
    tone: BigTone = "plain" if left > 0 else "good"
    most = stage.stir_at_most_seconds
    if most is not None and gone > most:
        tone = "bad"
    label = "still to stir" if left > 0 else "stirred enough since"
    if tone == "bad":
        label = "overmixed: it harms the mix"
    how = "; ".join(text for text in (stir_text(stage), stage.note) if text)
    return f"Stir stage {stage.number}", how, BigNumber(countdown(left), label, tone), "stirred"


def _pouring(desk: MixDesk) -> tuple[str, str, BigNumber, str]:
    press = desk.press
    if press is None:
        return "Poured", "", BigNumber("", ""), ""
    session = desk.session
    words = press_words(session.shop, session.floor, press)
    casting = session.floor.castings.get(press.castings[0])
    how = ""
    if casting is not None and press.kind in {"begin layer", "end layer"}:
        layer = casting.build.piece.layers[press.index]
        how = f"{layer.name or casting.build.piece.name}, apply for {minutes_text(layer.apply)}"
    number = session.shop.molds[press.mold].number if press.mold in session.shop.molds else ""
    return words, how, BigNumber(str(number), "mold"), key_words(press)


def _clock(in_hand: BatchInHand, now: dt.datetime) -> BigNumber | None:
    sets_at = in_hand.batch.sets_at
    if sets_at is None:
        return None
    left = (sets_at - now).total_seconds()
    if left < 0:
        return BigNumber(countdown(left), "working time over", "bad")
    return BigNumber(countdown(left), "working time left", "warn" if left < 180 else "plain")


def _rows(desk: MixDesk, in_hand: BatchInHand) -> tuple[AdditionRow, ...]:
    shop, making = desk.session.shop, in_hand.making
    now_weighed = None if in_hand.pouring else making.next_addition
    rows, reading = [], in_hand.ticket.tare_grams
    seen: set[int] = set()
    for state in making.additions:
        # What stands below what is weighed now goes on top of everything that is in.
        reading += state.in_grams + (state.more_grams if not in_hand.pouring else 0.0)
        stage = in_hand.ticket.stages[state.stage]
        rows.append(
            AdditionRow(
                number=str(state.addition.number),
                name=state.addition.name,
                add=show_grams(shop, state.more_grams or state.target_grams),
                reading=show_grams(shop, reading),
                state=_row_state(state, now_weighed),
                how=how_words(state.addition.in_words, state.addition.sift),
                note=_row_note(shop, state),
                stage="" if state.stage in seen else stage_text(in_hand.ticket, stage),
            )
        )
        seen.add(state.stage)
    return tuple(rows)


def _row_state(state: AdditionState, now_weighed: AdditionState | None) -> RowState:
    if state is now_weighed:
        return "now"
    if state.off:
        return "off"
    return "done" if state.done else "later"


def _row_note(shop: Shop, state: AdditionState) -> str:
    if not state.in_grams and not state.lots:
        return ""
    lots = f", {' + '.join(state.lots)}" if state.lots else ""
    return f"{show_grams(shop, state.in_grams)} in{lots}"


def _serving_rows(desk: MixDesk, in_hand: BatchInHand) -> tuple[LayerRow, ...]:
    shop, batch = desk.session.shop, in_hand.batch
    press = desk.press
    rows = []
    for place, serving in enumerate(in_hand.ticket.servings, 1):
        key = (serving.casting or "", serving.layer)
        in_it = key in batch.served
        current = press is not None and press.castings[:1] == key[:1] and press.index == key[1]
        rows.append(
            LayerRow(
                label=f"{place}. {serving.in_words.replace(',', '').capitalize()}",
                grams=show_grams(shop, serving.grams),
                note="in" if in_it else "",
                state="done" if in_it else "now" if current and desk.stage == "pour" else "later",
                chosen=True,
                at_cursor=False,
            )
        )
    return tuple(rows)


def _making_remarks(desk: MixDesk, in_hand: BatchInHand) -> list[str]:
    remarks = []
    if desk.pending is not None:
        remarks += [desk.pending.check.sentence]
        if desk.pending.correction is not None:
            remarks += desk.pending.correction.sentences[1:]
    else:
        remarks += [
            f"{one.check.sentence.removesuffix(' Put it right before the pour.')} R puts it right."
            for one in in_hand.making.additions
            if one.off and one.check is not None and not in_hand.pouring
        ]
        remarks += _next_lot_remarks(desk, in_hand)
    return [*remarks, *in_hand.ticket.remarks]


def _lot_words(desk: MixDesk, state: AdditionState) -> str:
    """Return from which lot the addition comes, where it is one that has enough."""
    session = desk.session
    takes = session.book.lots_for(
        session.shop, state.addition.material, state.more_grams, session.now
    )
    if len(takes) != 1 or takes[0].lot is None or takes[0].short:
        return ""
    return f"{'open' if takes[0].first else 'from'} lot {takes[0].lot}"


def _next_lot_remarks(desk: MixDesk, in_hand: BatchInHand) -> list[str]:
    """Say when the lot in use runs out with this addition, and what follows."""
    state = in_hand.making.next_addition
    if state is None or in_hand.pouring:
        return []
    session = desk.session
    takes = session.book.lots_for(
        session.shop, state.addition.material, state.more_grams, session.now
    )
    if takes and takes[-1].short:
        return [f"By the account lot {takes[-1].lot} holds less: count it with O, or take it all."]
    if len(takes) < 2:
        return []
    parts = ", then ".join(
        f"{show_grams(session.shop, take.grams)} from lot {take.lot}" for take in takes
    )
    return [f"Lot {takes[0].lot} runs out: {parts}."]
