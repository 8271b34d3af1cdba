"""Why a mix cannot be worked out: findings, each a field and a sentence."""

from __future__ import annotations

from dataclasses import dataclass

from floorboard.shop.errors import FloorboardError


@dataclass(frozen=True, slots=True)
class Finding:
    """One mistake: the field it is in and a sentence with what was found and expected."""

    field: str
    sentence: str

    def __str__(self) -> str:
        return f"{self.field}: {self.sentence}"


class MixingError(FloorboardError):
    """A batch, working time or correction that cannot be worked out; holds every finding."""

    def __init__(self, *findings: Finding) -> None:
        super().__init__("; ".join(map(str, findings)))
        self.findings = findings


def refuse(field: str, sentence: str) -> MixingError:
    """Return the error for a single finding, ready to raise."""
    return MixingError(Finding(field, sentence))
