"""Surface area from a mesh file (STL or OBJ), for a layer given by thickness and area.

trimesh reads the file; it comes with the optional extra `mesh` and is loaded only when asked for.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any, Literal

from floorboard.mixing.refusal import refuse
from floorboard.shop.base import Definition

MeshUnit = Literal["mm", "cm", "m", "in"]
MM_PER: dict[MeshUnit, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
LARGEST_MEGABYTES = 200


class MeshArea(Definition):
    """Area in mm2 of all faces of a mesh; `closed` if it encloses a volume."""

    area_mm2: float
    faces: int
    closed: bool
    remarks: tuple[str, ...] = ()


def mesh_area(path: str | Path, unit: MeshUnit = "mm") -> MeshArea:
    """Measure the surface of a mesh file.

    Parameters
    ----------
    unit : of the lengths in the file; mesh files do not say.

    Raises
    ------
    MixingError
        In a sentence, if trimesh is not installed, or the file is missing, too large, of another
        kind, damaged or empty.
    """
    file = Path(path)
    if unit not in MM_PER:
        raise refuse("unit", f"found {unit!r}, expected one of: {', '.join(MM_PER)}")
    kind = file.suffix.lower().lstrip(".")
    if kind not in {"stl", "obj"}:
        raise refuse("mesh", f"found {file.name!r}, expected a file that ends in .stl or .obj")
    if not file.is_file():
        raise refuse("mesh", f"found no file {str(file)!r}")
    megabytes = file.stat().st_size / 1e6
    if megabytes > LARGEST_MEGABYTES:
        raise refuse(
            "mesh",
            f"found {file.name!r} of {megabytes:.0f} MB, expected at most {LARGEST_MEGABYTES} MB; "
            "save it with fewer faces",
        )
    mesh = _read(_trimesh(), file, kind)
    area = float(mesh.area) * MM_PER[unit] ** 2
    if not math.isfinite(area) or area <= 0:
        raise refuse("mesh", f"found {file.name!r} with a surface of {area:g} mm2")
    closed = bool(mesh.is_watertight)
    remarks = (
        (
            "This mesh is closed, so its area counts every face, inside and out: for a layer "
            "keep only the faces that are coated.",
        )
        if closed
        else ()
    )
    return MeshArea(area_mm2=area, faces=len(mesh.faces), closed=closed, remarks=remarks)


def _trimesh() -> Any:
    try:
        import trimesh
    except ImportError:
        raise refuse(
            "mesh",
            "reading mesh files needs the extra 'mesh': pip install 'floorboard[mesh]'; "
            "or give the area itself, such as '1800 cm2'",
        ) from None
    return trimesh


def _read(trimesh: Any, file: Path, kind: str) -> Any:
    try:
        with file.open("rb") as stream:
            # Materials would be looked up as further files beside this one.
            mesh = trimesh.load(stream, file_type=kind, force="mesh", skip_materials=True)
    except Exception as error:  # trimesh passes on whatever its parsers run into
        raise refuse(
            "mesh", f"found {file.name!r}, which cannot be read as {kind.upper()}: {error}"
        ) from error
    if not len(getattr(mesh, "faces", ())):
        raise refuse("mesh", f"found {file.name!r} without a single face")
    return mesh
