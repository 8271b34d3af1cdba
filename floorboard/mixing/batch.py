"""A batch: how much of each part and additive, so that the wanted amount can be applied.

The wanted amount is mixed mass as applied, all parts and all additives together. What stays in
the bucket (`loss.each` and `loss.share` of the batch) is made on top of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from floorboard.mixing.amounts import made_grams, usable_grams
from floorboard.mixing.contents import contents
from floorboard.mixing.proportions import Proportion, proportions
from floorboard.mixing.refusal import refuse
from floorboard.mixing.scale_rounding import to_scale
from floorboard.shop.base import Definition
from floorboard.shop.materials import Form

if TYPE_CHECKING:
    from collections.abc import Mapping

    from floorboard.shop.materials import Material
    from floorboard.shop.mixes import Mix

# A plan keeps batches in the bucket to a millionth; its tickets must not be stricter.
BUCKET_SLACK = 1e-6


class Addition(Definition):
    """One part or additive of a batch.

    `place` counts from 0 in the order the mix lists them, parts first. `grams` is what to weigh,
    rounded to the scale; `exact_grams` what the arithmetic gives. An additive carries its
    percentage, its base (as the mix says it, as a person reads it, by places and by exact
    weight), and the supplier's range.
    """

    place: int
    material: str
    name: str
    form: Form
    role: Literal["part", "additive"]
    exact_grams: float
    grams: float
    percent: float | None = None
    of: str | None = None
    of_name: str | None = None
    base: tuple[int, ...] = ()
    base_grams: float | None = None
    least: float | None = None
    most: float | None = None

    @property
    def error_grams(self) -> float:
        """What rounding to the scale adds, in grams; below zero where it takes away."""
        return self.grams - self.exact_grams

    @property
    def in_words(self) -> str:
        """The additive's percentage and its base, as "5 % of Part B"; empty for a part."""
        return "" if self.percent is None else f"{self.percent:.4g} % of {self.of_name}"


class Batch(Definition):
    """One bucketful of a mix, worked out and rounded to the scale."""

    mix_name: str
    wanted_grams: float
    allowance_grams: float
    made_grams: float
    weighed_grams: float
    resolution_grams: float
    largest_grams: float
    additions: tuple[Addition, ...]
    by_material: dict[str, float]
    by_active: dict[str, float]
    remarks: tuple[str, ...] = ()

    @property
    def rounding_error_grams(self) -> float:
        """What the weighed batch is over (or, below zero, under) the exact one."""
        return self.weighed_grams - self.made_grams


def batch_for(
    mix: Mix,
    materials: Mapping[str, Material],
    wanted_grams: float,
    *,
    percents: Mapping[str, float] | None = None,
    resolution_grams: float = 1.0,
) -> Batch:
    """Work out the batch from which `wanted_grams` can be applied.

    Parameters
    ----------
    wanted_grams : the sum of the layers it serves, mixed mass as applied.
    percents : other percentages for this batch, by the additive's material.
    resolution_grams : the smallest difference the scale shows.

    Raises
    ------
    MixingError
        If the mix is mistaken, nothing is wanted, or the batch is over the bucket.
    """
    shares = proportions(mix, materials, percents)
    made = made_grams(mix, wanted_grams)
    if made > mix.largest_batch * (1 + BUCKET_SLACK):
        most = usable_grams(mix, mix.largest_batch)
        raise refuse(
            "largest_batch",
            f"found a batch of {made:.6g} g for {wanted_grams:.6g} g wanted, expected at most "
            f"the {mix.largest_batch:.6g} g the bucket holds: it serves {most:.6g} g, so make "
            "more than one batch",
        )
    return _batch(mix, materials, shares, wanted_grams, made, resolution_grams)


def batch_from(
    mix: Mix,
    materials: Mapping[str, Material],
    material: str,
    grams: float,
    *,
    percents: Mapping[str, float] | None = None,
    resolution_grams: float = 1.0,
) -> Batch:
    """Work out the batch that takes so many grams of one material, as 200 g of powder."""
    share = share_of(mix, materials, material, percents)
    wanted = usable_grams(mix, grams / share)
    if wanted <= 0:
        raise refuse(
            material,
            f"found {grams:g} g, which makes {grams / share:.4g} g of {mix.name!r}: "
            "all of it stays in the bucket",
        )
    return batch_for(mix, materials, wanted, percents=percents, resolution_grams=resolution_grams)


def share_of(
    mix: Mix,
    materials: Mapping[str, Material],
    material: str,
    percents: Mapping[str, float] | None = None,
) -> float:
    """Grams of a material in one gram of the whole mix, as part and as additive together."""
    shares = proportions(mix, materials, percents)
    mine = sum(share.grams for share in shares if share.material == material)
    if mine <= 0:
        names = ", ".join(dict.fromkeys(share.material for share in shares))
        raise refuse(
            "material", f"found {material!r}, which the mix takes none of; expected one of: {names}"
        )
    return mine / sum(share.grams for share in shares)


def _additions(
    materials: Mapping[str, Material],
    shares: tuple[Proportion, ...],
    made: float,
    resolution: float,
) -> tuple[Addition, ...]:
    scale = made / sum(share.grams for share in shares)
    return tuple(
        Addition(
            place=place,
            material=share.material,
            name=materials[share.material].name,
            form=materials[share.material].form,
            role=share.role,
            exact_grams=share.grams * scale,
            grams=to_scale(share.grams * scale, resolution),
            percent=share.percent,
            of=share.of,
            of_name=_base_name(share, materials),
            base=share.base,
            base_grams=None if share.base_grams is None else share.base_grams * scale,
            least=share.least,
            most=share.most,
        )
        for place, share in enumerate(shares)
    )


def _batch(
    mix: Mix,
    materials: Mapping[str, Material],
    shares: tuple[Proportion, ...],
    wanted: float,
    made: float,
    resolution: float,
) -> Batch:
    additions = _additions(materials, shares, made, resolution)
    by_material: dict[str, float] = {}
    by_active: dict[str, float] = {}
    for addition in additions:
        _add(by_material, {addition.material: addition.grams})
        _add(by_active, contents(addition.material, addition.grams, materials))
    remarks = [text for addition in additions if (text := range_remark(addition))]
    remarks += [text for addition in additions if (text := _rounding_remark(addition, resolution))]
    return Batch(
        mix_name=mix.name,
        wanted_grams=wanted,
        allowance_grams=made - wanted,
        made_grams=made,
        weighed_grams=to_scale(sum(addition.grams for addition in additions), resolution),
        resolution_grams=resolution,
        largest_grams=float(mix.largest_batch),
        additions=additions,
        by_material=by_material,
        by_active=by_active,
        remarks=tuple(remarks),
    )


def _base_name(share: Proportion, materials: Mapping[str, Material]) -> str | None:
    known = materials.get(share.of or "")
    return share.of if known is None else known.name


def _add(totals: dict[str, float], more: Mapping[str, float]) -> None:
    for key, grams in more.items():
        totals[key] = totals.get(key, 0.0) + grams


def range_remark(addition: Addition) -> str | None:
    """Return a sentence if an additive lies outside the supplier's range."""
    if addition.percent is None:
        return None
    named = f"{addition.name} at {addition.in_words}"
    if addition.least is not None and addition.percent < addition.least:
        return f"{named} is under the supplier's range, which begins at {addition.least:g} %."
    if addition.most is not None and addition.percent > addition.most:
        return f"{named} is over the supplier's range, which ends at {addition.most:g} %."
    return None


# Beyond this share of an addition its rounding is worth a sentence: the usual scale tolerance.
ROUNDING_WORTH_SAYING = 0.02


def _rounding_remark(addition: Addition, resolution: float) -> str | None:
    error = abs(addition.error_grams)
    if addition.exact_grams <= 0 or error <= ROUNDING_WORTH_SAYING * addition.exact_grams:
        return None
    return (
        f"{addition.name} should be {addition.exact_grams:.4g} g and can be weighed as "
        f"{addition.grams:g} g: the scale's {resolution:g} g puts it "
        f"{100 * error / addition.exact_grams:.2g} % off; use a finer scale for it."
    )
