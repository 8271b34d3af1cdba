import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorboard.mixing.scale_line import read_scale_line
from floorboard.mixing.scale_rounding import to_scale


@pytest.mark.parametrize(
    ("line", "grams", "kind"),
    [
        ("ST,GS,+00123.4 g", 123.4, "gross"),
        (b"ST,GS,+00123.4 g\r\n", 123.4, "gross"),
        ("ST,NT,+  123.4g", 123.4, "net"),
        ("ST,+00123.45  g", 123.45, None),
        ("123.4 g", 123.4, None),
        ("\x02 0.1234 kg\x03", 123.4, None),
        ("st,gs,-0000.5 G", -0.5, "gross"),
        ("ST,GS,-00000.0 g", 0.0, "gross"),
        ("1 lb", 453.59237, None),  # NIST SP 811
        ("1 oz", 28.349523125, None),  # NIST SP 811
    ],
)
def test_a_still_weight_is_taken(line, grams, kind) -> None:
    found = read_scale_line(line)
    assert found.grams == pytest.approx(grams)
    assert found.kind == kind
    assert found.taken


def test_an_unstable_weight_is_not_taken() -> None:
    found = read_scale_line("US,GS,+00123.4 g")
    assert not found.taken
    assert found.sentence == "The scale is not still yet at 00123.4 g: wait, then take it."


def test_an_overloaded_scale_is_not_taken() -> None:
    assert "more than it can weigh" in read_scale_line("OL,GS,+99999.9 g").sentence
    assert "more than it can weigh" in read_scale_line("OL").sentence


@pytest.mark.parametrize(
    "line",
    [
        "",
        "hello",
        "123.4",
        "12,34 g",
        "1.2.3 g",
        "123 gg",
        "ST,XX,+1 g",
        b"\xff\xfe",
        "9" * 500 + " g",
    ],
)
def test_a_line_that_is_no_weight_is_told_in_a_sentence(line) -> None:
    found = read_scale_line(line)
    assert found.grams is None
    assert found.sentence.startswith("The scale sent")


@given(st.binary(max_size=60))
def test_no_line_whatever_breaks_the_reading(line) -> None:
    found = read_scale_line(line)
    assert found.taken == (found.sentence == "")


UNITS = pint.UnitRegistry()


@given(st.integers(0, 400_000), st.sampled_from([("g", 1), ("kg", 4), ("lb", 4), ("oz", 3)]))
def test_units_there_and_back_are_exact_to_the_scales_resolution(tenths, unit) -> None:
    name, decimals = unit
    grams = tenths / 10
    there = UNITS.Quantity(grams, "g").to(name).magnitude
    back = read_scale_line(f"ST,GS,+{there:.{decimals + 2}f} {name}").grams
    assert back == pytest.approx(UNITS.Quantity(round(there, decimals + 2), name).to("g").magnitude)
    assert to_scale(back, 0.1) == to_scale(grams, 0.1)
