"""What every shape on the screens means, for the key sheet. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from floorboard.screens import looks
from floorboard.screens.floor_screen import ribbon
from floorboard.screens.hands_screen import hands_shapes

if TYPE_CHECKING:
    from floorboard.floor.standing import State

STATE_WORDS: dict[State, str] = {
    "window lost": "its recoat window closed before the next layer was in: it may not bond",
    "closing": "its recoat window closes within ten minutes",
    "due": "ready now for its next layer, or to demold",
    "in hand": "somebody is at it; + and the time since",
    "soon": "ready within five minutes",
    "curing": "curing: nothing to do yet",
    "empty": "no casting in it",
    "set aside": "paused by hand; its cures run on",
    "resting": "skipped for half an hour",
    "out": "out of service",
}


@dataclass(frozen=True, slots=True)
class Meaning:
    """A shape and what it means; without a shape, a heading."""

    shape: str
    words: str


def meanings(ascii_only: bool = False) -> list[Meaning]:
    """Return every shape there is, under headings, in the signs that this terminal is sent."""

    def sign(shape: str, plain: str) -> str:
        return plain if ascii_only else shape

    states = [
        Meaning(looks.shape(state, ascii_only), f"{state}: {words}")
        for state, words in STATE_WORDS.items()
    ]
    strip = [
        Meaning(sign(ribbon.CURING, "-"), "curing, from now on to the right"),
        Meaning(sign(ribbon.OPEN, "="), "open for the next layer, or to demold"),
        Meaning(sign(ribbon.PLANNED, "v"), "the plan takes it up here"),
        Meaning(sign(ribbon.MARK, ":"), "so many minutes from now"),
    ]
    return [
        Meaning("", "What stands on the board"),
        *states,
        Meaning("!", "something odd in its log, such as a layer poured too late; L shows it"),
        Meaning(sign("▌", ">"), "the mold chosen, the person whose key Enter is"),
        Meaning("2/4", "two layers of four are in"),
        Meaning(sign("→", ">"), "add so much, until the scale shows this"),
        Meaning("", "The strip behind a mold, where there is room for it"),
        *strip,
        Meaning("", "The hands chart"),
        *(Meaning(each, words) for each, words in hands_shapes.legend(ascii_only)),
        Meaning("", "Elsewhere"),
        Meaning(sign("✓", "x"), "on the ticket: in the bucket, or poured"),
        Meaning(sign("▶", ">"), "on the ticket: this one now"),
        Meaning("!", "in the stock: something to mind; it is said beneath"),
        Meaning(">", "in the stock: the lot used first"),
    ]
