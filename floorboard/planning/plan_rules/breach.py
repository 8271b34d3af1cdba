"""A breach: which rule, by whom or what, by how much."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

Unit = Literal["s", "g", "count"]

# Plans are in whole seconds; only the arithmetic of a factor leaves less than this over.
TOLERANCE_SECONDS = 0.001


class Breach(BaseModel):
    """One breach of one rule; `amount` is in `unit` and above nothing."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    rule: str = Field(description="a name of RULES")
    subject: str = Field(description="the person, casting, batch, mold or station")
    amount: float
    unit: Unit
    message: str


def seconds(rule: str, subject: str, amount: float, message: str) -> Breach:
    """Return a breach measured in seconds."""
    return Breach(rule=rule, subject=subject, amount=round(amount, 3), unit="s", message=message)


def count(rule: str, subject: str, message: str, amount: float = 1) -> Breach:
    """Return a breach that is counted."""
    return Breach(rule=rule, subject=subject, amount=amount, unit="count", message=message)


def grams(rule: str, subject: str, amount: float, message: str) -> Breach:
    """Return a breach measured in grams."""
    return Breach(rule=rule, subject=subject, amount=round(amount, 3), unit="g", message=message)


def span_text(amount: float) -> str:
    """Return a length of time for a message: "45 s", "7 min 30 s", "2 h 5 min"."""
    whole = max(1, round(amount))
    minutes, rest = divmod(whole, 60)
    if whole >= 3600:
        return f"{whole // 3600} h {minutes % 60} min"
    if not minutes:
        return f"{rest} s"
    return f"{minutes} min {rest} s" if rest else f"{minutes} min"
