"""Chemistry of plaster: the water that sets, the water that must dry out, what is left.

Plaster is the hemihydrate of calcium sulfate, CaSO4 . 1/2 H2O. Setting takes up water until it
is the dihydrate, CaSO4 . 2 H2O; every gram of water beyond that has to dry out.
Source: stoichiometry with IUPAC abridged atomic masses, from the shared table of constants.
"""

from functools import lru_cache

from floorboard.shop.checked_numbers import above, at_least, between
from floorboard.shop.physical_constants import physical_constants


@lru_cache(maxsize=1)
def _molar_masses() -> tuple[float, float]:
    """Grams a mole of water and of calcium sulfate without water."""
    mass = physical_constants("atomic_masses")
    water = 2 * mass["hydrogen"] + mass["oxygen"]
    return water, mass["calcium"] + mass["sulfur"] + 4 * mass["oxygen"]


def hydration_water_grams(plaster_grams: float) -> float:
    """Water that pure plaster takes up in setting: 18.618 g to 100 g."""
    water, sulfate = _molar_masses()
    return at_least(plaster_grams, 0, "Plaster in grams") * 1.5 * water / (sulfate + water / 2)


def combined_water_share() -> float:
    """Share of set plaster's weight that is water held in the crystal, 0.20928.

    Drying too hot drives this water off and leaves a chalky, weak casting.
    """
    water, sulfate = _molar_masses()
    return 2 * water / (sulfate + 2 * water)


def dry_casting_grams(
    plaster_grams: float, water_grams: float, other_solids_grams: float = 0.0
) -> float:
    """Weight of a casting when all free water has dried out.

    With less water than setting needs, only as much plaster sets as there is water for.
    """
    taken_up = min(at_least(water_grams, 0, "Water in grams"), hydration_water_grams(plaster_grams))
    return plaster_grams + taken_up + at_least(other_solids_grams, 0, "Other solids in grams")


def free_water_grams(plaster_grams: float, water_grams: float) -> float:
    """Water that has to dry out of a casting."""
    return at_least(water_grams, 0, "Water in grams") - min(
        water_grams, hydration_water_grams(plaster_grams)
    )


def dry_density_kg_per_m3(water_parts: float) -> float:
    """Density of dry set plaster, poured with so many parts of water to 100 of plaster.

    (100 + 18.618) / (100/2.73 + W), within 1.5 % of the plaster makers' published values for
    W from 38 to 74. ``ValueError`` when there is too little water to set (W under 18.618) or
    when W is over 200, past anything that is poured.
    """
    needed = hydration_water_grams(100)
    parts = between(water_parts, needed, 200, "Parts of water to 100 of plaster")
    powder = physical_constants("gypsum")["plaster_density_g_per_ml"]
    return 1000 * (100 + needed) / (100 / powder + parts)


def drying_heat_warning(air_celsius: float) -> str | None:
    """A sentence when the drying air is hotter than set plaster bears, else None."""
    limit = physical_constants("gypsum")["highest_drying_celsius"]
    if above(air_celsius, -50, "Temperature of the drying air in C") <= limit:
        return None
    return (
        f"Drying air at {air_celsius:.0f} C is too hot for set plaster; keep it at "
        f"{limit:.0f} C or below, or the surface turns to powder."
    )
