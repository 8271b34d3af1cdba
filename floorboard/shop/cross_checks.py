"""Everything wrong with a shop that its structure alone does not show.

Each check yields findings and raises nothing; all of them run, so that a person sees all
mistakes at once (the first `MOST_FINDINGS` of very many).
"""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Any

from floorboard.shop.findings import Finding, SoundParts
from floorboard.shop.mix_checks import mix_findings
from floorboard.shop.people_checks import people_findings
from floorboard.shop.piece_checks import piece_findings
from floorboard.shop.reference_checks import reference_findings
from floorboard.shop.shop import MOST

if TYPE_CHECKING:
    from collections.abc import Mapping

    from floorboard.shop.shop import Shop

__all__ = ["Finding", "findings", "findings_in_data"]

MOST_FINDINGS = 300
CHECKS = (mix_findings, piece_findings, people_findings)


def findings(shop: Shop) -> list[Finding]:
    """Return what is wrong with a shop; an empty list means it can be worked from."""
    return _found(shop.model_dump(), SoundParts.of_shop(shop))


def findings_in_data(
    data: Mapping[str, Any], damaged: frozenset[str] = frozenset()
) -> list[Finding]:
    """Return what is wrong with a shop's plain data, as far as its entries are sound.

    `damaged` names the sections of which lines could not be read: nothing is said to be missing
    from them. Of a section with more entries than a shop may have, nothing is said here: that is enough.
    """
    for section, most in MOST.items():
        if isinstance(data.get(section), dict) and len(data[section]) > most:
            return []
    return _found(data, SoundParts.of_data(data, damaged), damaged)


def _found(
    data: Mapping[str, Any], sound: SoundParts, damaged: frozenset[str] = frozenset()
) -> list[Finding]:
    checks = itertools.chain(reference_findings(data, damaged), *(check(sound) for check in CHECKS))
    return list(itertools.islice(checks, MOST_FINDINGS))
