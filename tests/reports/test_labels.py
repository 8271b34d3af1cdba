"""Labels: the codes hold the serial number, and names are shown as typed."""

from __future__ import annotations

import re

import pytest
import segno

from floorboard.reports.codes import code128_modules, code128_svg, qr_svg
from floorboard.reports.label_sheet import label_sheet
from floorboard.usecases.label_words import LabelWords

SERIAL = "260312-04"
# ISO/IEC 15417, Table 1: start code B, the digits, hyphen, capital A, and stop.
START_B, STOP = "11010010000", "1100011101011"
PATTERNS_B = {
    "0": "10011101100", "1": "10011100110", "2": "11001110010", "3": "11001011100",
    "4": "11001001110", "5": "11011100100", "6": "11001110100", "A": "10100011000",
    "-": "10011011100",
}  # fmt: skip


def test_a_code_of_letters_and_signs_is_the_standards_own_pattern():
    modules = code128_modules("A-A")
    # Check digit (ISO/IEC 15417): (104 + 1*33 + 2*13 + 3*33) mod 103 = 56, capital X in code B.
    body = PATTERNS_B["A"] + PATTERNS_B["-"] + PATTERNS_B["A"]
    assert modules == START_B + body + "11100010110" + STOP


def drawn(svg, width):
    """Return the modules of the first row as drawn."""
    row = ["0"] * width
    for x, y, length in re.findall(r"M(\d+) (\d+)h(\d+)", svg):
        if y == "0":
            row[int(x) : int(x) + int(length)] = "1" * int(length)
    return "".join(row)


def test_the_bars_drawn_are_the_codes_with_their_quiet_zones():
    modules = code128_modules(SERIAL)
    width = len(modules) + 20
    assert drawn(code128_svg(SERIAL), width) == "0" * 10 + modules + "0" * 10


def test_the_qr_drawn_is_the_codes_own_matrix():
    matrix = [list(row) for row in segno.make(SERIAL, error="m", micro=False).matrix_iter(border=4)]
    found = [[0] * len(matrix[0]) for _ in matrix]
    for x, y, length in re.findall(r"M(\d+) (\d+)h(\d+)", qr_svg(SERIAL)):
        for column in range(int(x), int(x) + int(length)):
            found[int(y)][column] = 1
    assert found == [[int(bool(cell)) for cell in row] for row in matrix]


def test_letters_that_code_128_has_not_are_refused():
    with pytest.raises(ValueError, match="cannot be written as Code 128"):
        code128_modules("猫")


def test_a_sheet_shows_names_as_typed_and_leaves_used_places_free():
    labels = [LabelWords(f"c-{n}", "<i>Owl</i>", ("mold 3",)) for n in range(25)]
    page = label_sheet(labels, "A4", skip=3)
    assert page.count('<div class="sheet">') == 2
    assert page.count('<div class="label">') == 25
    assert page.count("<div></div>") == 3
    assert "&lt;i&gt;Owl&lt;/i&gt;" in page
    assert "src=" not in page
