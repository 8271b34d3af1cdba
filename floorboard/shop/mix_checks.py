"""What is wrong with a mix that only shows when its parts are held together."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from floorboard.shop.findings import Finding, Path, SoundParts, names_text
from floorboard.shop.mixes import (
    ALL_LIQUIDS,
    ALL_POWDERS,
    COLLECTIVE_BASES,
    EVERYTHING,
    Mix,
    WorkingTimeTable,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from floorboard.shop.materials import Material


def mix_findings(sound: SoundParts) -> Iterator[Finding]:
    """Yield what is wrong with the materials and the mixes."""
    yield from _circular_solutions(sound.materials)
    for key, mix in sound.mixes.items():
        path: Path = ("mixes", key)
        yield from _listed_twice(path, mix)
        yield from _empty_bases(path, mix, sound.materials)
        yield from _circular_bases(path, mix)
        yield from _outside_range(path, mix)
        yield from _volume_without_density(path, mix, sound.materials)
        yield from _stages(path, mix)
        yield from _outside_table(path, mix)
        yield from _temperatures_twice(path, mix)


def _circular_solutions(materials: Mapping[str, Material]) -> Iterator[Finding]:
    walked: set[str] = set()
    for key in materials:
        chain: dict[str, None] = {}
        name = key
        while name not in walked and name not in chain:
            chain[name] = None
            material = materials.get(name)
            if material is None or material.solution is None:
                break
            name = material.solution.active
        else:
            if name in chain:
                circle = list(chain)[list(chain).index(name) :]
                yield Finding(
                    ("materials", name, "solution", "active"),
                    f"a solution made from itself ({' of '.join([*circle, name])})",
                    "a material that is bought",
                    "Name the active material that is dissolved.",
                )
        walked |= chain.keys()


def _listed_twice(path: Path, mix: Mix) -> Iterator[Finding]:
    places = [((*path, "parts", i, "material"), p.material) for i, p in enumerate(mix.parts)]
    places += [
        ((*path, "additives", i, "material"), a.material) for i, a in enumerate(mix.additives)
    ]
    seen: set[str] = set()
    for place, material in places:
        if material in seen:
            yield Finding(
                place,
                f"'{material}' a second time",
                "each material once in a mix",
                "Add the two amounts together.",
            )
        seen.add(material)


def _empty_bases(path: Path, mix: Mix, materials: Mapping[str, Material]) -> Iterator[Finding]:
    forms = [materials[p.material].form if p.material in materials else None for p in mix.parts]
    if None in forms:
        return
    for index, additive in enumerate(mix.additives):
        wanted = {ALL_POWDERS: "powder", ALL_LIQUIDS: "liquid"}.get(additive.of)
        if wanted and wanted not in forms:
            yield Finding(
                (*path, "additives", index, "of"),
                f"'{additive.of}', but no part of this mix is a {wanted}",
                "a base that weighs something",
                "Name one of the parts, or 'all parts'.",
            )


def _circular_bases(path: Path, mix: Mix) -> Iterator[Finding]:
    parts = {part.material for part in mix.parts}
    place_of = {additive.material: i for i, additive in reversed(list(enumerate(mix.additives)))}
    needs: dict[int, set[int]] = {}
    for index, additive in enumerate(mix.additives):
        if additive.of == EVERYTHING:
            needs[index] = set(range(index))
        elif additive.of in COLLECTIVE_BASES or additive.of in parts:
            needs[index] = set()
        else:
            needs[index] = {place_of[additive.of]} if additive.of in place_of else set()
    for index, additive in enumerate(mix.additives):
        reached, fresh = set(needs[index]), set(needs[index])
        while fresh:
            fresh = {further for place in fresh for further in needs[place]} - reached
            reached |= fresh
        if index in reached:
            yield Finding(
                (*path, "additives", index, "of"),
                f"a percentage of '{additive.of}', which itself depends on '{additive.material}'",
                "a base that can be weighed before this additive",
                "Name a part, or 'all parts'.",
            )


def _outside_range(path: Path, mix: Mix) -> Iterator[Finding]:
    for index, additive in enumerate(mix.additives):
        least, most = additive.least, additive.most
        below = least is not None and additive.percent < least
        above = most is not None and additive.percent > most
        if below or above:
            low = f"at least {least.text}" if least is not None else ""
            high = f"at most {most.text}" if most is not None else ""
            yield Finding(
                (*path, "additives", index, "percent"),
                f"{additive.percent.text} of '{additive.material}'",
                " and ".join(text for text in (low, high) if text),
                "Mend the percentage, or the supplier's range.",
            )


def _volume_without_density(
    path: Path, mix: Mix, materials: Mapping[str, Material]
) -> Iterator[Finding]:
    if mix.by != "volume":
        return
    for index, part in enumerate(mix.parts):
        material = materials.get(part.material)
        if material is not None and not material.density:
            yield Finding(
                (*path, "parts", index, "material"),
                f"parts by volume, but '{part.material}' has no density",
                f"'density' in [materials.{part.material}], such as '1.05 g/ml'",
            )


def _stages(path: Path, mix: Mix) -> Iterator[Finding]:
    if not mix.stages:
        return
    wanted = [part.material for part in mix.parts] + [a.material for a in mix.additives]
    added: set[str] = set()
    for index, stage in enumerate(mix.stages):
        for place, material in enumerate(stage.add):
            if material in added:
                yield Finding(
                    (*path, "stages", index, "add", place),
                    f"'{material}' added a second time",
                    "each part and additive added once",
                )
            added.add(material)
        if stage.stir_at_most is not None and stage.stir > stage.stir_at_most:
            yield Finding(
                (*path, "stages", index, "stir"),
                f"{stage.stir.text}",
                f"at most {stage.stir_at_most.text}, this stage's 'stir_at_most'",
            )
    if left_out := [material for material in dict.fromkeys(wanted) if material not in added]:
        yield Finding(
            (*path, "stages"),
            f"no stage that adds {names_text(left_out)}",
            "every part and additive added in one of the stages",
        )
    clocks = [index for index, stage in enumerate(mix.stages) if stage.starts_clock]
    for index in clocks[1:]:
        yield Finding(
            (*path, "stages", index, "starts_clock"),
            f"a second stage that starts the clock (stage {clocks[0] + 1} does)",
            "one stage from which the working time runs",
        )


def _outside_table(path: Path, mix: Mix) -> Iterator[Finding]:
    if not isinstance(mix.working_time, WorkingTimeTable):
        return
    points = mix.working_time.points
    for index, additive in enumerate(mix.additives):
        if additive.material != mix.working_time.additive:
            continue
        if not points[0].percent <= additive.percent <= points[-1].percent:
            yield Finding(
                (*path, "additives", index, "percent"),
                f"{additive.percent.text} of '{additive.material}'",
                f"between {points[0].percent.text} and {points[-1].percent.text}, the ends of "
                "this mix's table of working times",
                "A table is not read past its ends: add a point, or change the percentage.",
            )


def _temperatures_twice(path: Path, mix: Mix) -> Iterator[Finding]:
    for index, (first, second) in enumerate(pairwise(mix.temperature)):
        if second.at <= first.at:
            yield Finding(
                (*path, "temperature", index + 1, "at"),
                f"{second.at.text} after {first.at.text}",
                "temperatures that rise from point to point",
            )
