import sys

import pytest
import trimesh

from floorboard.mixing.mesh_area import mesh_area
from floorboard.mixing.refusal import MixingError

SQUARE = "v 0 0 0\nv 10 0 0\nv 10 20 0\nv 0 20 0\nf 1 2 3 4\n"


def test_an_open_face_of_10_by_20_mm_has_200_mm2(tmp_path) -> None:
    file = tmp_path / "face.obj"
    file.write_text(SQUARE)
    found = mesh_area(file)
    assert found.area_mm2 == pytest.approx(200)
    assert not found.closed
    assert found.remarks == ()
    assert mesh_area(file, "in").area_mm2 == pytest.approx(200 * 25.4**2)


def test_a_fine_ball_comes_near_the_sphere_and_is_said_to_be_closed(tmp_path) -> None:
    file = tmp_path / "BALL.STL"
    trimesh.creation.icosphere(subdivisions=4, radius=100).export(file, file_type="stl")
    found = mesh_area(file)
    # Sphere r 100: 125663.706 mm2 (solid geometry); a mesh of flat faces lies just inside it.
    assert found.area_mm2 == pytest.approx(125663.706, rel=3e-3)
    assert found.area_mm2 < 125663.706
    assert "counts every face" in found.remarks[0]


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("a.step", b"", "expected a file that ends in .stl or .obj"),
        ("a.stl", b"", "a.stl"),
        ("a.stl", b"solid x\nfacet normal 0 0", "a.stl"),
        ("a.stl", b"\xff" * 90, "a.stl"),
        ("a.obj", b"v 0 0 0\nf 1 2 9\n", "a.obj"),
        ("a.obj", b"v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n", "a.obj"),
    ],
)
def test_a_file_that_is_no_mesh_is_refused_in_a_sentence(tmp_path, name, content, sentence) -> None:
    file = tmp_path / name
    file.write_bytes(content)
    with pytest.raises(MixingError, match=sentence):
        mesh_area(file)


def test_a_missing_file_and_a_strange_unit_are_refused(tmp_path) -> None:
    with pytest.raises(MixingError, match="found no file"):
        mesh_area(tmp_path / "none.stl")
    with pytest.raises(MixingError, match="unit: found 'yd', expected one of: mm, cm, m, in"):
        mesh_area(tmp_path / "none.stl", "yd")


def test_without_the_extra_it_says_how_to_get_it(tmp_path, monkeypatch) -> None:
    file = tmp_path / "face.obj"
    file.write_text(SQUARE)
    monkeypatch.setitem(sys.modules, "trimesh", None)
    with pytest.raises(MixingError, match=r"pip install 'floorboard\[mesh\]'"):
        mesh_area(file)
