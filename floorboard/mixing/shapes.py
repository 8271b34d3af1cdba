"""Areas and shell volumes of plain shapes, for a mold that is near enough one of them.

Solid geometry; lengths in mm, areas in mm2, volumes in ml.
"""

from __future__ import annotations

import math

from floorboard.mixing.amounts import MM3_PER_ML
from floorboard.mixing.refusal import refuse


def sphere_area_mm2(radius_mm: float) -> float:
    """Area of a sphere: 4 pi r2."""
    _lengths(radius=radius_mm)
    return 4 * math.pi * radius_mm**2


def hemisphere_area_mm2(radius_mm: float) -> float:
    """Area of a half sphere's bowl, without the disc that would close it: 2 pi r2."""
    return sphere_area_mm2(radius_mm) / 2


def hemisphere_shell_ml(outer_radius_mm: float, thickness_mm: float) -> float:
    """Volume between two half spheres, the outer against the mold: 2/3 pi (R3 - (R - t)3).

    Outer area times thickness is over this, because the layers lie inward of the mold's face.
    """
    _lengths(radius=outer_radius_mm, thickness=thickness_mm)
    if thickness_mm > outer_radius_mm:
        raise refuse(
            "thickness",
            f"found {thickness_mm:g} mm in a radius of {outer_radius_mm:g} mm, "
            "expected no more than the radius",
        )
    inner = outer_radius_mm - thickness_mm
    return 2 / 3 * math.pi * (outer_radius_mm**3 - inner**3) / MM3_PER_ML


def frustum_side_area_mm2(
    lower_radius_mm: float, upper_radius_mm: float, height_mm: float
) -> float:
    """Area of the side of a cut cone: pi (R + r) sqrt((R - r)2 + h2).

    With both radii the same it is a cylinder, with one of them nothing a cone.
    """
    if lower_radius_mm == 0 and upper_radius_mm == 0:
        raise refuse("radius", "found 0 mm below and above, expected one above nothing")
    for name, radius in (("lower radius", lower_radius_mm), ("upper radius", upper_radius_mm)):
        if not 0 <= radius < float("inf"):
            raise refuse(name, f"found {radius:g} mm, expected nothing or more")
    _lengths(height=height_mm)
    slant = math.hypot(lower_radius_mm - upper_radius_mm, height_mm)
    return math.pi * (lower_radius_mm + upper_radius_mm) * slant


def _lengths(**lengths: float) -> None:
    for name, length in lengths.items():
        if not 0 < length < float("inf"):
            raise refuse(name, f"found {length:g} mm, expected more than nothing")
