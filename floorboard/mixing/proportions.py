"""What each part and additive of a mix comes to, for one gram of all its parts.

Bases: `all parts`, `all powders` and `all liquids` count the parts only; `everything before it`
counts all parts and the additives listed earlier; a material counts as a part of the mix, or
else as another additive. A stock solution counts as weighed, water and all.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from floorboard.mixing.refusal import Finding, MixingError
from floorboard.shop.mixes import (
    ALL_LIQUIDS,
    ALL_PARTS,
    ALL_POWDERS,
    COLLECTIVE_BASES,
    EVERYTHING,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from floorboard.shop.materials import Material
    from floorboard.shop.mixes import Additive, Mix


@dataclass(frozen=True, slots=True)
class Proportion:
    """Grams of one addition for one gram of all parts; for an additive, also its base."""

    material: str
    role: Literal["part", "additive"]
    grams: float
    percent: float | None = None
    of: str | None = None
    base_grams: float | None = None
    least: float | None = None
    most: float | None = None


def proportions(
    mix: Mix, materials: Mapping[str, Material], percents: Mapping[str, float] | None = None
) -> tuple[Proportion, ...]:
    """Work out parts and additives, in the order the mix lists them, parts first.

    Parameters
    ----------
    percents : other percentages for this batch, by the additive's material.

    Raises
    ------
    MixingError
        With every mistake of the mix at once, each with its field.
    """
    percents = percents or {}
    working = _Working(mix, materials, percents)
    working.check_percents()
    parts = working.parts()
    additives = () if working.findings else working.additives(parts)
    if working.findings:
        raise MixingError(*working.findings)
    return (*parts, *additives)


def mix_findings(mix: Mix, materials: Mapping[str, Material]) -> tuple[Finding, ...]:
    """Every mistake that would keep a batch of this mix from being worked out."""
    try:
        proportions(mix, materials)
    except MixingError as refusal:
        return refusal.findings
    return ()


class _Working:
    """One working out of a mix; gathers findings rather than stopping at the first."""

    def __init__(
        self, mix: Mix, materials: Mapping[str, Material], percents: Mapping[str, float]
    ) -> None:
        self.mix = mix
        self.materials = materials
        self.percents = percents
        self.findings: list[Finding] = []
        self._grams: dict[int, float] = {}
        self._bases: dict[int, float] = {}

    def find(self, field: str, sentence: str) -> None:
        self.findings.append(Finding(field, sentence))

    def check_percents(self) -> None:
        known = {additive.material for additive in self.mix.additives}
        for material, percent in self.percents.items():
            if material not in known:
                self.find("percents", f"found {material!r}, which is no additive of this mix")
            elif not 0 <= percent < float("inf"):
                self.find("percents", f"found {percent:g} % of {material}, expected 0 % or more")

    def parts(self) -> tuple[Proportion, ...]:
        weights = [self._part_weight(index) for index in range(len(self.mix.parts))]
        for index, additive in enumerate(self.mix.additives):
            if additive.material not in self.materials:
                self.find(
                    f"additives.{index}.material",
                    f"found {additive.material!r}, which is no material of the shop",
                )
        whole = sum(weights)
        if self.findings:
            return ()
        return tuple(
            Proportion(part.material, "part", weight / whole)
            for part, weight in zip(self.mix.parts, weights, strict=True)
        )

    def _part_weight(self, index: int) -> float:
        part, field = self.mix.parts[index], f"parts.{index}"
        if not 0 < part.parts < float("inf"):
            self.find(f"{field}.parts", f"found {part.parts:g}, expected more than nothing")
        material = self.materials.get(part.material)
        if material is None:
            self.find(
                f"{field}.material", f"found {part.material!r}, which is no material of the shop"
            )
            return 0.0
        if self.mix.by == "weight":
            return part.parts
        if not material.density:
            self.find(
                f"{field}.material",
                f"found {part.parts:g} parts by volume of {part.material}, which has no density; "
                f"expected one such as '1.02 g/ml' on the material",
            )
            return 0.0
        return part.parts * material.density

    def additives(self, parts: tuple[Proportion, ...]) -> tuple[Proportion, ...]:
        for index in range(len(self.mix.additives)):
            self._additive(index, parts, ())
        if self.findings:
            return ()
        return tuple(
            Proportion(
                additive.material,
                "additive",
                self._grams[index],
                self._percent(additive),
                additive.of,
                self._bases[index],
                None if additive.least is None else float(additive.least),
                None if additive.most is None else float(additive.most),
            )
            for index, additive in enumerate(self.mix.additives)
        )

    def _percent(self, additive: Additive) -> float:
        return float(self.percents.get(additive.material, additive.percent))

    def _additive(self, index: int, parts: tuple[Proportion, ...], open_: tuple[int, ...]) -> float:
        if index in self._grams:
            return self._grams[index]
        additive = self.mix.additives[index]
        if index in open_:
            circle = [self.mix.additives[i].material for i in (*open_[open_.index(index) :], index)]
            self.find(
                f"additives.{index}.of",
                f"found bases that go in a circle, {' of '.join(circle)}; "
                "expected each to rest on the parts in the end",
            )
            self._grams[index] = self._bases[index] = 0.0
            return 0.0
        base = self._base(index, parts, (*open_, index))
        grams = base * self._percent(additive) / 100.0 / self._strength(index)
        # A circle found further down has already settled this one, with a finding.
        self._bases.setdefault(index, base)
        return self._grams.setdefault(index, grams)

    def _base(self, index: int, parts: tuple[Proportion, ...], open_: tuple[int, ...]) -> float:
        of = self.mix.additives[index].of
        others = [other for other in range(len(self.mix.additives)) if other != index]
        if of == ALL_PARTS:
            return sum(part.grams for part in parts)
        if of in {ALL_POWDERS, ALL_LIQUIDS}:
            form = "powder" if of == ALL_POWDERS else "liquid"
            chosen = [part.grams for part in parts if self.materials[part.material].form == form]
            if not chosen:
                self.find(f"additives.{index}.of", f"found {of!r}, but no part is a {form}")
            return sum(chosen)
        if of == EVERYTHING:
            before = sum(self._additive(other, parts, open_) for other in range(index))
            return sum(part.grams for part in parts) + before
        chosen = [part.grams for part in parts if part.material == of]
        if chosen:
            return sum(chosen)
        same = [other for other in others if self.mix.additives[other].material == of]
        if not same and self.mix.additives[index].material == of:
            return self._additive(index, parts, open_)
        if not same:
            known = [part.material for part in parts]
            known += [self.mix.additives[other].material for other in others]
            self.find(
                f"additives.{index}.of",
                f"found {of!r}, which is not in the mix; expected one of: "
                f"{', '.join((*dict.fromkeys(known), *COLLECTIVE_BASES))}",
            )
        return sum(self._additive(other, parts, open_) for other in same)

    def _strength(self, index: int) -> float:
        """Active share of what is weighed; 1 unless the percentage is of active material."""
        additive = self.mix.additives[index]
        if additive.counted_as == "weighed":
            return 1.0
        solution = self.materials[additive.material].solution
        if solution is None or solution.amount <= 0:
            self.find(
                f"additives.{index}.counted_as",
                f"found 'active' for {additive.material}, which is no stock solution with "
                "something dissolved; expected 'weighed'",
            )
            return 1.0
        return solution.strength_percent / 100.0
