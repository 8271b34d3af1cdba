"""A ticket as plain text, for those who pin paper over the bucket."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from floorboard.mixing.weight_text import Units, in_units, weight_text
from floorboard.mixing.working_time import minutes_text

if TYPE_CHECKING:
    from floorboard.mixing.ticket import Ticket, TicketAddition, TicketStage

WIDTH = 72
NAME_WIDTHS = (22, 28)


def ticket_text(ticket: Ticket, units: Units = "metric") -> str:
    """Return the ticket as lines of at most 72 characters, but for names longer than that."""
    batch = ticket.batch
    resolution = batch.resolution_grams

    def weight(grams: float) -> str:
        return weight_text(grams, resolution, units)

    lines = [f"{batch.mix_name}: {weight(batch.weighed_grams)}", ""]
    lines += [
        f"  for {index}. {serving.in_words}: {weight(serving.grams)}"
        for index, serving in enumerate(ticket.servings, 1)
    ]
    lines.append(f"  and {weight(batch.allowance_grams)} that stays in the bucket")
    if ticket.tare_grams:
        lines.append(f"  the scale starts at {weight(ticket.tare_grams)}")
    for stage in ticket.stages:
        lines += ["", *_stage_lines(ticket, stage, resolution, units)]
    lines += ["", f"Ready {clock_text(ticket)}", rounding_text(ticket, units)]
    lines += [
        line
        for remark in ticket.remarks
        for line in _wrapped(f"! {in_units(remark, units, resolution)}")
    ]
    lines += ["", *(line for caution in ticket.cautions for line in _wrapped(caution))]
    return "\n".join(lines) + "\n"


def clock_text(ticket: Ticket) -> str:
    """Say how much of the working time mixing takes and how much is left to apply it in."""
    left = max(0.0, ticket.working_time.seconds - ticket.mixing_seconds_of_it)
    return (
        f"{minutes_text(ticket.mixing_seconds_of_it)} into a working time of "
        f"{minutes_text(ticket.working_time.seconds)}; {minutes_text(left)} to apply it."
    )


def rounding_text(ticket: Ticket, units: Units = "metric") -> str:
    """Say what rounding to the scale adds to the batch or takes from it."""
    error, resolution = ticket.batch.rounding_error_grams, ticket.batch.resolution_grams
    text = f"Rounded to the scale's {weight_text(resolution, resolution, units)}: "
    amount = weight_text(abs(error), resolution / 10, units)
    if amount == weight_text(0.0, resolution / 10, units):
        return f"{text}nothing over or under in all."
    return f"{text}{amount} {'over' if error > 0 else 'under'} in all."


def stir_text(stage: TicketStage) -> str:
    """Say how long a stage is stirred; empty where it is not."""
    if not stage.stir_seconds:
        return ""
    text = f"stir {minutes_text(stage.stir_seconds)}"
    if stage.stir_at_most_seconds is not None:
        text += f", never more than {minutes_text(stage.stir_at_most_seconds)}"
    return text


def _stage_lines(ticket: Ticket, stage: TicketStage, resolution: float, units: Units) -> list[str]:
    head = f"Stage {stage.number} of {len(ticket.stages)}"
    if stage.starts_clock:
        head += f": the working time of {minutes_text(ticket.working_time.seconds)} starts here"
    lines = [head]
    least, most = NAME_WIDTHS
    width = min(most, max([least, *(len(addition.name) for addition in ticket.additions)]))
    lines += [_addition_line(addition, width, resolution, units) for addition in stage.additions]
    tail = "; ".join(text for text in (stir_text(stage), stage.note) if text)
    return [*lines, *(f"     {line}" for line in wrap(tail, WIDTH - 5))]


def _addition_line(addition: TicketAddition, width: int, resolution: float, units: Units) -> str:
    how = ", ".join(
        text for text in (addition.in_words, "sift in" if addition.sift else "") if text
    )
    line = (
        f" {addition.number:>2}. {addition.name:<{width}} "
        f"{weight_text(addition.grams, resolution, units):>12}  scale shows "
        f"{weight_text(addition.reading_grams, resolution, units):>12}"
    )
    return f"{line}\n     ({how})" if how else line


def _wrapped(text: str) -> list[str]:
    # A number stays with its percent sign.
    lines = wrap(text.replace(" %", "\u00a0%"), WIDTH, subsequent_indent="  ")
    return [line.replace("\u00a0", " ") for line in lines]
