import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from floorboard.shop.quantities import (
    Area,
    Density,
    Duration,
    Length,
    Mass,
    Percent,
    Price,
    Quantity,
    Temperature,
    Volume,
)

UNITS = pint.UnitRegistry()

# Our word for a unit, and pint's, by kind; the kind's internal unit last.
PINT_NAMES: dict[type[Quantity], tuple[dict[str, str], str]] = {
    Mass: ({"g": "gram", "kg": "kilogram", "mg": "milligram", "t": "tonne", "lb": "pound", "lbs": "pound", "oz": "ounce"}, "gram"),
    Duration: ({"s": "second", "sec": "second", "min": "minute", "h": "hour", "d": "day", "day": "day", "days": "day"}, "second"),
    Length: ({"mm": "mm", "cm": "cm", "m": "m", "in": "inch", "ft": "foot"}, "mm"),
    Area: ({"mm2": "mm**2", "cm2": "cm**2", "m2": "m**2", "in2": "inch**2", "ft2": "foot**2", "mm²": "mm**2", "cm²": "cm**2", "m²": "m**2", "in²": "inch**2", "ft²": "foot**2"}, "mm**2"),
    Volume: ({"ml": "ml", "l": "liter", "cl": "cl", "gal": "gallon", "qt": "quart", "pt": "pint", "floz": "fluid_ounce"}, "ml"),
    Density: ({"g/ml": "g/ml", "g/cm3": "g/cm**3", "kg/l": "kg/l", "kg/m3": "kg/m**3", "lb/ft3": "pound/foot**3", "lb/gal": "pound/gallon"}, "g/ml"),
}  # fmt: skip
EVERY_UNIT = [(kind, unit) for kind, (names, _) in PINT_NAMES.items() for unit in names]


def test_pint_is_asked_for_every_unit_we_know() -> None:
    for kind, (names, _) in PINT_NAMES.items():
        assert set(names) == set(kind.factors)


@pytest.mark.parametrize(("kind", "unit"), EVERY_UNIT)
def test_a_unit_converts_as_pint_says(kind, unit) -> None:
    names, internal = PINT_NAMES[kind]
    expected = UNITS.Quantity(2.5, names[unit]).to(internal).magnitude
    assert float(kind.parse(f"2.5 {unit}")) == pytest.approx(expected, rel=1e-12)
    assert kind.parse(f"2.5{unit}") == kind.parse(f" 2.5  {unit} ")


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        # NIST SP 811 (2008), Appendix B.8 and B.9: these factors are exact.
        (Length, "1 in", 25.4),
        (Length, "1 ft", 304.8),
        (Mass, "1 lb", 453.59237),
        (Mass, "1 oz", 28.349523125),
        (Volume, "1 gal", 3785.411784),
        (Area, "1 ft2", 92903.04),
        (Area, "1 in2", 645.16),
        # 3/8 of 25.4 mm.
        (Length, "3/8 in", 9.525),
        (Length, "1 3/8 in", 34.925),
        (Mass, "1 lb 4 oz", 566.9904625),
        (Mass, "1lb4oz", 566.9904625),
        (Mass, "1.2 kg", 1200),
        (Mass, "2 KG", 2000),
        (Duration, "1 h 30 min", 5400),
        (Duration, ".5 min", 30),
        (Percent, "6 %", 6),
        (Percent, "6%", 6),
        (Temperature, "70 F", 190 / 9),
        (Temperature, "-40 F", -40),
        (Temperature, "21.5 °C", 21.5),
        (Price, "46.00 for 25 kg", 0.00184),
    ],
)
def test_a_quantity_is_read_with_its_unit(kind, text, value) -> None:
    read = kind.parse(text)
    assert float(read) == pytest.approx(value, rel=1e-15)
    assert read.text == text


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        (Mass, "420"),
        (Mass, ""),
        (Mass, "   "),
        (Mass, "g"),
        (Mass, "-5 g"),
        (Mass, "2,5 kg"),
        (Mass, "420 ml"),
        (Mass, "1/0 g"),
        (Mass, "1e400 g"),
        (Mass, "9999999999 kg"),
        (Mass, "nan g"),
        (Mass, "4 g of sand"),
        (Mass, "1 g " * 40),
        (Length, "5 cm2"),
        (Length, "5 cm²"),
        (Area, "5 cm"),
        (Density, "5 g/foo"),
        (Duration, "7 parsec"),
        (Duration, "7 min 5"),
        (Temperature, "21"),
        (Temperature, "900 C"),
        (Price, "46 EUR"),
        (Price, "46 for 0 kg"),
    ],
)
def test_what_is_no_quantity_is_refused_in_a_sentence_of_found_and_expected(kind, text) -> None:
    with pytest.raises(ValueError, match="found"):
        kind.parse(text)


@pytest.mark.parametrize("value", [420, 4.2, True, None, ["420 g"], {"g": 420}])
def test_a_number_without_a_unit_is_refused(value) -> None:
    with pytest.raises(ValidationError, match=r"expected a weight with its unit, such as '420 g'"):
        TypeAdapter(Mass).validate_python(value)


@given(
    st.just(0.0) | st.floats(1e-6, 1e8),
    st.sampled_from([Mass, Duration, Length, Area, Volume, Density, Percent]),
)
def test_a_number_given_by_a_program_is_written_so_that_it_reads_back_the_same(value, kind) -> None:
    made = kind(value)
    assert kind.parse(made.text) == value


@given(st.text(max_size=70), st.sampled_from([*PINT_NAMES, Percent, Temperature, Price]))
def test_any_text_is_either_a_finite_quantity_or_refused(text, kind) -> None:
    try:
        value = kind.parse(text)
    except ValueError:
        return
    assert math.isfinite(value)
