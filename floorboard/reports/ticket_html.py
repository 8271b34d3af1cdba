"""A ticket as one HTML page to print: no script, no picture, nothing fetched from elsewhere."""

from __future__ import annotations

from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from floorboard.mixing.ticket_text import clock_text, rounding_text, stir_text
from floorboard.mixing.weight_text import Units, in_units, weight_text
from floorboard.mixing.working_time import minutes_text

if TYPE_CHECKING:
    from jinja2 import Template

    from floorboard.mixing.ticket import Ticket

_TEMPLATES = Path(__file__).parent / "templates"


def ticket_html(ticket: Ticket, units: Units = "metric") -> str:
    """Return the ticket as a page; names are shown as typed, never read as markup."""
    return _template().render(
        ticket=ticket,
        weight=partial(weight_text, resolution_grams=ticket.batch.resolution_grams, units=units),
        minutes=minutes_text,
        said=partial(in_units, units=units, resolution_grams=ticket.batch.resolution_grams),
        stir=stir_text,
        clock=clock_text(ticket),
        rounding=rounding_text(ticket, units),
    )


@cache
def _template() -> Template:
    # Loaded only when a ticket is printed: commands that print none start faster without it.
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(_TEMPLATES), autoescape=True, undefined=StrictUndefined
    )
    return environment.get_template("ticket.html.j2")
