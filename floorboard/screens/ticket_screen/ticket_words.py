"""Words that the ticket has before a batch is begun and after."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.cautions import DEFERENCE
from floorboard.mixing.working_time import minutes_text
from floorboard.usecases.batch_ticket import conditions_are_todays, room_celsius

if TYPE_CHECKING:
    import datetime as dt

    from floorboard.mixing.ticket import Ticket, TicketStage
    from floorboard.usecases.mix_desk import MixDesk


def stage_text(ticket: Ticket, stage: TicketStage) -> str:
    """Return a stage's heading; empty for the only stage of a plain mix."""
    if len(ticket.stages) == 1 and not stage.note:
        return ""
    clock = ", clock starts" if stage.starts_clock else ""
    stir = f", stir {minutes_text(stage.stir_seconds)}" if stage.stir_seconds else ""
    return f"Stage {stage.number}{stir}{clock}"


def how_words(in_words: str, sift: bool) -> str:
    """Return how an addition goes in: its percentage, and whether it is sifted."""
    return ", ".join(text for text in (in_words, "sift in" if sift else "") if text)


def person(desk: MixDesk) -> str:
    """Return the name of the person whose desk it is."""
    return desk.session.shop.people[desk.person].name


def caution_words(cautions: tuple[str, ...]) -> str:
    """Return the cautions in a line, where there is no room for their sentences."""
    if not cautions:
        return DEFERENCE
    return f"Mind {', '.join(cautions)}: C says how. The supplier's data sheet comes first."


def clock_words(ticket: Ticket | None) -> str:
    """Return the working time and what is left of it to apply, before it runs."""
    if ticket is None:
        return ""
    stage = next((one.number for one in ticket.stages if one.starts_clock), 1)
    left = max(0.0, ticket.working_time.seconds - ticket.mixing_seconds_of_it)
    return (
        f"Working time {minutes_text(ticket.working_time.seconds)} from stage {stage}, "
        f"{minutes_text(left)} to apply"
    )


def temperature_remarks(desk: MixDesk, now: dt.datetime) -> tuple[str, ...]:
    """Say so where the day's temperature was not read."""
    floor, shop = desk.session.floor, desk.session.shop
    if conditions_are_todays(shop, floor, now):
        return ()
    celsius = room_celsius(floor)
    if celsius is None or floor.conditions_at is None:
        return ("No temperature was read yet: times are as the mix has them. D enters today's.",)
    return (
        f"The temperature was not read today: times go by {celsius:.3g} C of "
        f"{floor.conditions_at:%a %d %b}. D enters today's.",
    )
