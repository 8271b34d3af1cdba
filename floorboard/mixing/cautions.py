"""The usual cautions of the work, in a sentence each.

They are short on purpose and replace nothing: the supplier's safety data sheet and local rules
come first, and the last line says so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from floorboard.shop.mixes import Caution

SENTENCES: dict[Caution, str] = {
    "dust": "Dust: wear a respirator when weighing powder or sanding, and pour powder low.",
    "fibre": "Fibre: gloves, sleeves and eye protection; keep loose fibre out of the air.",
    "skin": "Skin: wear gloves; rinse wet mix off at once.",
    "heat": "Heat: a setting mass gets hot; never put any part of the body in it.",
    "vapour": "Vapour: open the room to fresh air and keep flames away.",
    "lifting": "Lifting: two people or a lift for a full mold or bucket.",
}
DEFERENCE = "The supplier's safety data sheet and local rules come before these lines."


def caution_sentences(*cautions: Iterable[Caution]) -> tuple[str, ...]:
    """Return the sentence of each caution once, in a fixed order, and what they defer to."""
    wanted = {caution for group in cautions for caution in group}
    return (*(text for key, text in SENTENCES.items() if key in wanted), DEFERENCE)
