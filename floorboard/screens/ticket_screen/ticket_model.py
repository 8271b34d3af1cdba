"""What the ticket screen can show: plain values, drawn elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

RowState = Literal["done", "off", "now", "later"]
BigTone = Literal["plain", "good", "warn", "bad"]


@dataclass(frozen=True, slots=True)
class AdditionRow:
    """One addition: what to add, what the scale shows then, what went in and from which lot.

    `stage` counts from 1, and is set on the first addition of a stage only.
    """

    number: str
    name: str
    add: str
    reading: str
    state: RowState
    how: str
    note: str
    stage: str


@dataclass(frozen=True, slots=True)
class LayerRow:
    """One layer the batch serves, or could serve."""

    label: str
    grams: str
    note: str
    state: RowState
    chosen: bool
    at_cursor: bool


@dataclass(frozen=True, slots=True)
class BigNumber:
    """What is read from across the bench: a weight or a count, with what it is."""

    text: str
    label: str
    tone: BigTone = "plain"


@dataclass(frozen=True, slots=True)
class TicketView:
    """The whole screen. `enter` says what the Enter key does."""

    title: str
    person: str
    task: str
    how: str
    big: BigNumber
    enter: str
    additions: tuple[AdditionRow, ...] = ()
    layers: tuple[LayerRow, ...] = ()
    choosing: bool = False
    clock: BigNumber | None = None
    clock_words: str = ""
    remarks: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    caution_words: str = ""
