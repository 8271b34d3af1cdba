import math

import pytest

from floorboard.mixing.refusal import MixingError
from floorboard.mixing.shapes import (
    frustum_side_area_mm2,
    hemisphere_area_mm2,
    hemisphere_shell_ml,
    sphere_area_mm2,
)

# Solid geometry; figures computed.


def test_a_hemisphere_shell_of_12_mm_in_a_radius_of_300_mm_is_6518_ml() -> None:
    shell = hemisphere_shell_ml(300, 12)
    assert shell == pytest.approx(6518.03, abs=0.005)
    by_outer_area = hemisphere_area_mm2(300) * 12 / 1000
    assert 100 * (by_outer_area / shell - 1) == pytest.approx(4.109, abs=0.0005)
    by_middle_area = hemisphere_area_mm2(294) * 12 / 1000
    assert 1 - by_middle_area / shell == pytest.approx(1.4e-4, abs=0.05e-4)


def test_a_sphere_of_radius_100_mm_has_125664_mm2() -> None:
    assert sphere_area_mm2(100) == pytest.approx(125663.706, abs=0.0005)


def test_a_frustum_of_200_and_100_mm_and_300_mm_high_has_298038_mm2_of_side() -> None:
    assert frustum_side_area_mm2(200, 100, 300) == pytest.approx(298037.65, abs=0.005)
    assert frustum_side_area_mm2(50, 50, 10) == pytest.approx(2 * math.pi * 50 * 10)


@pytest.mark.parametrize(
    ("shape", "lengths", "sentence"),
    [
        (sphere_area_mm2, (0,), "radius: found 0 mm"),
        (hemisphere_shell_ml, (300, 301), "found 301 mm in a radius of 300 mm"),
        (hemisphere_shell_ml, (300, 0), "thickness: found 0 mm"),
        (frustum_side_area_mm2, (0, 0, 9), "found 0 mm below and above"),
        (frustum_side_area_mm2, (-1, 5, 9), "lower radius: found -1 mm"),
        (frustum_side_area_mm2, (5, 5, math.inf), "height: found inf mm"),
    ],
)
def test_a_shape_without_size_is_refused(shape, lengths, sentence) -> None:
    with pytest.raises(MixingError, match=sentence):
        shape(*lengths)
