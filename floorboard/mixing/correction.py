"""An over-pour put right: what more of everything else brings the ratio back.

What is in the bucket stays there, so the batch grows to fit what went in too heavily. If the
bucket cannot hold that, the batch is filled up as far as it goes and allowed only if every
additive stays inside its supplier's range and every part inside the tolerance.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.refusal import refuse
from floorboard.mixing.scale_rounding import to_scale
from floorboard.shop.base import Definition

if TYPE_CHECKING:
    from collections.abc import Mapping

    from floorboard.mixing.batch import Addition, Batch

SLACK = 1e-9
HALVINGS = 60


class TopUp(Definition):
    """One addition after the correction: what is in, what to add, what it comes to, in grams."""

    place: int
    material: str
    name: str
    weighed_grams: float
    add_grams: float
    comes_to_grams: float


class Correction(Definition):
    """What to do about the weights so far.

    `fits`: the batch can be saved. `ratio_returns`: every addition is back in proportion, to
    the scale's resolution. `can_be_left`: poured as it is with the rest as on the ticket, every
    additive stays in its stated range and every part within the tolerance.
    """

    fits: bool
    ratio_returns: bool
    can_be_left: bool
    made_grams: float
    more_grams: float
    top_ups: tuple[TopUp, ...]
    sentences: tuple[str, ...]


def correct(
    batch: Batch, weighed: Mapping[int, float], *, tolerance_percent: float = 2.0
) -> Correction:
    """Work out what to add, given what has been weighed so far.

    Parameters
    ----------
    weighed : grams in the bucket, by the addition's place; places not yet weighed are left out.
    tolerance_percent : how far a part, or an additive without a range, may be off.

    Raises
    ------
    MixingError
        If a weight is negative, no number, or of a place the batch has not.
    """
    _check(batch, weighed)
    exact = [addition.exact_grams for addition in batch.additions]
    # A weight the scale cannot tell from its target is no over-pour.
    blind = batch.resolution_grams / 2 + SLACK
    over = [
        place for place, grams in weighed.items() if grams > batch.additions[place].grams + blind
    ]
    strange = [place for place in over if exact[place] <= 0]
    scale = max([1.0, *(weighed[place] / exact[place] for place in over if exact[place] > 0)])
    as_planned = _off(batch, _filled(exact, weighed, 1.0), tolerance_percent)
    whole = sum(_filled(exact, weighed, scale))
    # Rounding alone must not push a batch that just fits out of its bucket.
    holds = batch.largest_grams + len(exact) * blind
    if whole <= holds and not strange:
        return _saved(batch, weighed, scale, over, can_be_left=not as_planned)
    off = []
    if whole > holds:
        off.append(
            f"the corrected batch would be {whole:.6g} g and the bucket holds "
            f"{batch.largest_grams:.6g} g"
        )
    room = _largest_scale(exact, weighed, batch.largest_grams)
    if room is None:
        return _lost(batch, over, off)
    limits = _off(batch, _filled(exact, weighed, min(scale, room)), tolerance_percent)
    if limits:
        return _lost(batch, over, [*off, *limits], can_be_left=not as_planned)
    return _saved(batch, weighed, min(scale, room), over, can_be_left=not as_planned, short=whole)


def _check(batch: Batch, weighed: Mapping[int, float]) -> None:
    for place, grams in weighed.items():
        if not 0 <= place < len(batch.additions):
            raise refuse(
                "weighed", f"found place {place}, expected 0 to {len(batch.additions) - 1}"
            )
        if not 0 <= grams < float("inf"):
            raise refuse(
                batch.additions[place].material,
                f"found {grams:g} g weighed, expected nothing or more",
            )


def _filled(exact: list[float], weighed: Mapping[int, float], scale: float) -> list[float]:
    """Grams of each addition once everything lacking is made up to a scale of the batch."""
    return [max(grams * scale, weighed.get(place, 0.0)) for place, grams in enumerate(exact)]


def _largest_scale(
    exact: list[float], weighed: Mapping[int, float], largest: float
) -> float | None:
    """Greatest scale at which the filled batch still fits the bucket, None if it never does."""
    if sum(weighed.values()) > largest * (1 + SLACK):
        return None
    low, high = 0.0, largest / sum(exact)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if sum(_filled(exact, weighed, middle)) <= largest:
            low = middle
        else:
            high = middle
    return low


def _off(batch: Batch, grams: list[float], tolerance: float) -> list[str]:
    """What is out of range or tolerance if the batch holds these grams, in words."""
    parts = [one for one in batch.additions if one.role == "part"]
    whole = sum(grams[one.place] for one in parts)
    nominal = sum(one.exact_grams for one in parts)
    found = []
    for one in batch.additions:
        if one.role == "part":
            share, wanted = grams[one.place] / whole, one.exact_grams / nominal
            spare = max(tolerance, 100 * batch.resolution_grams / one.exact_grams)
            if abs(share / wanted - 1) * 100 > spare:
                found.append(
                    f"{one.name} would be {100 * share:.3g} % of all parts "
                    f"and not {100 * wanted:.3g} %"
                )
        elif text := _additive_off(one, grams, tolerance, batch.resolution_grams):
            found.append(text)
    return found


def _additive_off(
    one: Addition, grams: list[float], tolerance: float, resolution: float
) -> str | None:
    if one.percent is None:
        return None
    base = sum(grams[other] for other in one.base)
    if one.exact_grams <= 0 or not one.base_grams or not base:
        return f"the mix takes no {one.name}" if grams[one.place] > 0 else None
    percent = one.percent * (grams[one.place] / one.exact_grams) / (base / one.base_grams)
    spare = max(tolerance / 100, resolution / one.exact_grams) * one.percent
    least = one.percent - spare if one.least is None else one.least
    most = one.percent + spare if one.most is None else one.most
    if least - SLACK <= percent <= most + SLACK:
        return None
    return (
        f"{one.name} would be {percent:.3g} % of {one.of_name}, outside {least:.3g} to {most:.3g} %"
    )


def _saved(
    batch: Batch,
    weighed: Mapping[int, float],
    scale: float,
    over: list[int],
    *,
    can_be_left: bool,
    short: float | None = None,
) -> Correction:
    top_ups = []
    for one in batch.additions:
        there = weighed.get(one.place, 0.0)
        wanted = one.grams if scale == 1.0 else one.exact_grams * scale
        more = max(0.0, to_scale(wanted - there, batch.resolution_grams))
        top_ups.append(
            TopUp(
                place=one.place,
                material=one.material,
                name=one.name,
                weighed_grams=there,
                add_grams=more,
                comes_to_grams=there + more,
            )
        )
    made = sum(one.comes_to_grams for one in top_ups)
    return Correction(
        fits=True,
        ratio_returns=short is None,
        can_be_left=can_be_left,
        made_grams=made,
        more_grams=made - batch.weighed_grams,
        top_ups=tuple(top_ups),
        sentences=(*_over_sentences(batch, weighed, over), *_outcome(batch, made, over, short)),
    )


def _outcome(batch: Batch, made: float, over: list[int], short: float | None) -> tuple[str, ...]:
    if short is not None:
        return (
            f"The full correction would be {short:.6g} g and the bucket holds "
            f"{batch.largest_grams:.6g} g; filled up to it, everything stays within its limits.",
        )
    if not over:
        return ("Nothing is over: add what is still missing.",)
    return (f"Add what is listed: the batch comes to {made:.6g} g and the ratio is back.",)


def _over_sentences(batch: Batch, weighed: Mapping[int, float], over: list[int]) -> tuple[str, ...]:
    return tuple(
        f"{batch.additions[place].name} is {weighed[place] - batch.additions[place].grams:.4g} "
        f"g over its {batch.additions[place].grams:g} g."
        for place in over
    )


def _lost(
    batch: Batch, over: list[int], why: list[str], *, can_be_left: bool = False
) -> Correction:
    materials = ", ".join(batch.additions[place].name for place in over)
    return Correction(
        fits=False,
        ratio_returns=False,
        can_be_left=can_be_left,
        made_grams=0.0,
        more_grams=0.0,
        top_ups=(),
        sentences=(
            f"{materials} cannot be put right in this bucket: {'; '.join(why)}. "
            + (
                "Left as it is, with the rest as on the ticket, it stays within its limits."
                if can_be_left
                else "Set it aside and weigh a new batch."
            ),
        ),
    )
