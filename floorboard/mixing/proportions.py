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
    """Grams of one addition for one gram of all parts; for an additive, also its base.

    `base` holds the places, counted from 0, of the additions the base is the sum of.
    """

    material: str
    role: Literal["part", "additive"]
    grams: float
    percent: float | None = None
    of: str | None = None
    base: tuple[int, ...] = ()
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
        # By place: parts first, then additives.
        self._grams: dict[int, float] = {}
        self._bases: dict[int, tuple[int, ...]] = {}

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
        self._grams = {place: part.grams for place, part in enumerate(parts)}
        for place in range(len(parts), len(parts) + len(self.mix.additives)):
            self._grams_at(place, ())
        if self.findings:
            return ()
        return tuple(
            Proportion(
                additive.material,
                "additive",
                self._grams[place],
                self._percent(additive),
                additive.of,
                self._bases[place],
                sum(self._grams[other] for other in self._bases[place]),
                None if additive.least is None else float(additive.least),
                None if additive.most is None else float(additive.most),
            )
            for place, additive in enumerate(self.mix.additives, len(parts))
        )

    def _percent(self, additive: Additive) -> float:
        return float(self.percents.get(additive.material, additive.percent))

    def _grams_at(self, place: int, open_: tuple[int, ...]) -> float:
        """Grams of a part or additive; additives resting on it are `open_`."""
        if place in self._grams:
            return self._grams[place]
        index = place - len(self.mix.parts)
        if place in open_:
            circle = " of ".join(
                self.mix.additives[other - len(self.mix.parts)].material
                for other in (*open_[open_.index(place) :], place)
            )
            self.find(
                f"additives.{index}.of",
                f"found bases that go in a circle, {circle}; "
                "expected each to rest on the parts in the end",
            )
            self._grams[place] = 0.0
            return 0.0
        base = self._bases[place] = self._base(index)
        whole = sum(self._grams_at(other, (*open_, place)) for other in base)
        additive = self.mix.additives[index]
        grams = whole * self._percent(additive) / 100.0 / self._strength(index)
        # A circle found further down has already settled this one, with a finding.
        return self._grams.setdefault(place, grams)

    def _base(self, index: int) -> tuple[int, ...]:
        """Places of the additions whose sum an additive is a percentage of."""
        of = self.mix.additives[index].of
        parts = range(len(self.mix.parts))
        if of == ALL_PARTS:
            return tuple(parts)
        if of in {ALL_POWDERS, ALL_LIQUIDS}:
            form = "powder" if of == ALL_POWDERS else "liquid"
            forms = [self.materials[part.material].form for part in self.mix.parts]
            if form not in forms:
                self.find(f"additives.{index}.of", f"found {of!r}, but no part is a {form}")
            return tuple(place for place in parts if forms[place] == form)
        if of == EVERYTHING:
            return tuple(range(len(parts) + index))
        named = tuple(place for place in parts if self.mix.parts[place].material == of)
        return named or self._additive_base(index, of)

    def _additive_base(self, index: int, of: str) -> tuple[int, ...]:
        names = [additive.material for additive in self.mix.additives]
        places = [place for place, name in enumerate(names, len(self.mix.parts)) if name == of]
        others = tuple(place for place in places if place != index + len(self.mix.parts))
        if not places:
            known = dict.fromkeys([part.material for part in self.mix.parts])
            known |= dict.fromkeys(name for at, name in enumerate(names) if at != index)
            self.find(
                f"additives.{index}.of",
                f"found {of!r}, which is not in the mix; expected one of: "
                f"{', '.join((*known, *COLLECTIVE_BASES))}",
            )
        return others or tuple(places)

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
