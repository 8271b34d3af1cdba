"""Material used against the tickets and against theory, what was wasted, and what it cost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.amounts import layer_grams
from floorboard.mixing.cost import Cost, cost_of, hands_cost, materials_cost
from floorboard.mixing.proportions import proportions
from floorboard.mixing.refusal import MixingError
from floorboard.records.tally_model import BatchLine, CostLine, MaterialLine

if TYPE_CHECKING:
    from collections.abc import Mapping

    from floorboard.records.tally_model import PersonLine
    from floorboard.records.tally_past import Past
    from floorboard.shop.materials import Material
    from floorboard.shop.mixes import Mix

Sums = dict[str, float]


def mix_shares(mix: Mix | None, materials: Mapping[str, Material]) -> Sums:
    """Return the grams of each material in a gram of a mix; empty where it cannot be told."""
    if mix is None:
        return {}
    try:
        parts = proportions(mix, materials)
    except MixingError:
        return {}
    whole = sum(part.grams for part in parts)
    shares: Sums = {}
    for part in parts:
        _add(shares, part.material, part.grams / whole)
    return shares


def theory_grams(past: Past) -> Sums:
    """Return what the layers applied call for, by material, with no loss at all."""
    found: Sums = {}
    for row in past.layers:
        build = past.builds[row.build]
        if row.layer >= len(build.piece.layers):
            continue
        layer, mix = build.piece.layers[row.layer], build.mix_of_layer(row.layer)
        grams = row.count * layer_grams(layer, mix)
        for material, share in mix_shares(mix, build.materials).items():
            _add(found, material, grams * share)
    return found


def material_lines(past: Past) -> tuple[MaterialLine, ...]:
    """Return every material used, wasted or called for, most used first."""
    weighed = {row.material: row for row in past.materials}
    by_ticket, lost = _by_ticket(past)
    theory = theory_grams(past)
    prices = _prices(past)
    lines = []
    for name in weighed.keys() | by_ticket.keys() | theory.keys():
        row = weighed.get(name)
        steps = row.step_grams if row is not None else 0.0
        used = (row.weighed_grams if row is not None else 0.0) + by_ticket.get(name, 0.0) + steps
        spilt = row.wasted_grams if row is not None else 0.0
        cost = materials_cost({name: used + spilt}, past.shop.materials, prices)
        lines.append(
            MaterialLine(
                material=name,
                name=past.shop.materials[name].name if name in past.shop.materials else name,
                ticket_grams=(row.target_grams if row is not None else 0.0)
                + by_ticket.get(name, 0.0),
                used_grams=used,
                theory_grams=theory.get(name, 0.0) + steps,
                wasted_grams=spilt + lost.get(name, 0.0),
                cost=None if cost.unpriced else cost.total,
            )
        )
    return tuple(sorted(lines, key=lambda line: (-line.used_grams, line.material)))


def _by_ticket(past: Past) -> tuple[Sums, Sums]:
    """Return grams by material not logged as weighed, and of batches lost, by their tickets."""
    weighed = {(row.mix, row.material): row.grams for row in past.weighed_batches}
    bare: Sums = {}
    lost: Sums = {}
    for row in past.batches:
        for material, share in _shares_of(row.mix, past).items():
            unweighed = row.grams - weighed.get((row.mix, material), 0.0)
            _add(bare, material, max(0.0, unweighed) * share)
            _add(lost, material, row.lost_grams * share)
    return bare, lost


def _shares_of(mix: str, past: Past) -> Sums:
    """As the shop mixes it now; a mix it has no more, as the castings at hand were built with."""
    if mix in past.shop.mixes:
        return mix_shares(past.shop.mixes[mix], past.shop.materials)
    builds = (past.builds[row.build] for row in past.layers)
    known = next((build for build in builds if mix in build.mixes), None)
    return {} if known is None else mix_shares(known.mixes[mix], known.materials)


def batch_lines(past: Past) -> tuple[BatchLine, ...]:
    """Return the batches by mix."""
    names = {key: mix.name for key, mix in past.shop.mixes.items()}
    return tuple(
        BatchLine(
            mix=row.mix,
            name=names.get(row.mix, row.mix),
            batches=row.batches,
            grams=row.grams,
            lost=row.lost,
            lost_grams=row.lost_grams,
            unweighed=row.unweighed,
        )
        for row in past.batches
    )


def cost_line(
    past: Past, materials: tuple[MaterialLine, ...], people: tuple[PersonLine, ...], good: int
) -> CostLine:
    """Return what the material used and the hands-on time cost, and a good casting's share."""
    grams = {row.material: row.wasted_grams for row in past.materials}
    for line in materials:
        grams[line.material] = grams.get(line.material, 0.0) + line.used_grams
    costs: list[Cost] = [materials_cost(grams, past.shop.materials, _prices(past))]
    for person in people:
        known = past.shop.people.get(person.person)
        hourly = float(known.hourly) if known is not None else 0.0
        costs.append(hands_cost(60 * person.used_minutes, hourly))
    cost = cost_of(costs)
    return CostLine(
        materials=cost.materials,
        hands=cost.hands,
        total=cost.total,
        per_good=cost.total / good if good else None,
        unpriced=cost.unpriced,
    )


def _prices(past: Past) -> Sums:
    return {row.material: row.lot_price for row in past.materials if row.lot_price is not None}


def _add(sums: Sums, key: str, more: float) -> None:
    sums[key] = sums.get(key, 0.0) + more
