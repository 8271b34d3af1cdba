"""What a scanned label names: a casting, a batch or a mold. Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from floorboard.floor.floor import Floor
    from floorboard.shop.shop import Shop

# So much of a scan that names nothing is repeated on the screen.
SHOWN = 24


@dataclass(frozen=True, slots=True)
class Scanned:
    """What a scan chooses and what is said about it. Nothing is chosen if it names nothing here."""

    mold: str | None
    casting: str | None
    message: str


def read_scan(shop: Shop, floor: Floor, text: str) -> Scanned:
    """Return what a scanned text names. It never logs anything."""
    label = text.strip()
    casting = floor.castings.get(label)
    if casting is not None:
        if casting.in_mold:
            number = shop.molds[casting.mold].number if casting.mold in shop.molds else casting.mold
            return Scanned(casting.mold, label, f"Scanned casting {label}, in mold {number}.")
        state = "scrapped" if casting.rejected_at else "after the mold"
        return Scanned(
            None, label, f"Scanned casting {label}, {casting.build.piece.name}: {state}."
        )
    batch = floor.batches.get(label.upper())
    if batch is not None:
        serving = next(iter(batch.to_serve()), None)
        serves = floor.castings.get(serving.casting) if serving is not None else None
        if serves is None or not serves.in_mold:
            return Scanned(None, None, f"Scanned batch {batch.serial}: all its layers are in.")
        return Scanned(serves.mold, serves.serial, f"Scanned batch {batch.serial}.")
    if re.fullmatch(r"[0-9]{1,4}", label, re.ASCII):
        mold = shop.mold_by_number(int(label))
        if mold is not None:
            return Scanned(mold, None, f"Scanned mold {int(label)}.")
    return Scanned(None, None, _nothing(label))


def _nothing(label: str) -> str:
    shown = "".join(character if character.isprintable() else "?" for character in label)
    if len(shown) > SHOWN:
        shown = f"{shown[:SHOWN]}…"
    return f"Scanned {shown!r}: no open casting, batch or mold has that name. Nothing was logged."
