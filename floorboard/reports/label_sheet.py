"""Labels for castings on sheets to print: what it is, its number, QR and Code 128."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from floorboard.reports.codes import code128_svg, qr_svg
from floorboard.reports.page import rendered

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.usecases.label_words import LabelWords

Paper = Literal["A4", "letter"]
# Columns and rows of labels, and the size of one, in mm. A4: 70 x 37 without margins is a common
# sheet of 24; letter: 66.7 x 25.4 on a common sheet of 30.
LAYOUTS: dict[Paper, tuple[int, int, float, float, float, float]] = {
    "A4": (3, 8, 70.0, 37.0, 0.0, 0.5),
    "letter": (3, 10, 69.8, 25.4, 3.2, 12.7),
}


def label_sheet(labels: Sequence[LabelWords], paper: Paper = "A4", skip: int = 0) -> str:
    """Return the page.

    Parameters
    ----------
    skip
        How many places of the first sheet are used up already.
    """
    from markupsafe import Markup

    columns, rows, width, height, left, top = LAYOUTS[paper]
    places: list[LabelWords | None] = [*[None] * skip, *labels]
    a_sheet = columns * rows
    return rendered(
        "label_sheet.html.j2",
        sheets=[places[start : start + a_sheet] for start in range(0, len(places), a_sheet)],
        paper=paper,
        columns=columns,
        width=width,
        height=height,
        left=left,
        top=top,
        qr=lambda serial: Markup(qr_svg(serial)),
        bars=lambda serial: Markup(code128_svg(serial)),
    )
