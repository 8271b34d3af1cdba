"""How the floor shares out its lines between the panels, the molds and the log. Pure.

Every mold has its line before anything else has more than it needs; then each mold has its second
line if there is room for all of them; what is left is the log's.
"""

from __future__ import annotations

from dataclasses import dataclass

# A name, three lines of digits and one more.
LEAST_PANELS = 5
HEADER = 1


@dataclass(frozen=True, slots=True)
class Heights:
    """Lines of the panels and of the log; the molds have the rest.

    `least_log` is what the log needs to say anything: two lines where a rule stands over it.
    """

    panels: int
    log: int
    least_log: int = 2


def heights(room: int, molds: int, wanted: Heights, panel_lines: int) -> Heights:
    """Return how many lines each part has.

    Parameters
    ----------
    room
        Lines there are for panels, molds and log together.
    molds
        How many molds are listed.
    wanted
        What panels and log have where every mold has room besides.
    panel_lines
        How many lines the fullest panel has something to show in.
    """
    panels, log = wanted.panels, wanted.log
    both = room - panels - HEADER - 2 * molds
    if both >= wanted.least_log:
        return Heights(panels, both)
    short = HEADER + molds - (room - panels - log)
    if short > 0:
        log -= min(log, short)
        log = 0 if log < wanted.least_log else log
    for least in (max(LEAST_PANELS, panel_lines), LEAST_PANELS):
        short = HEADER + molds - (room - panels - log)
        panels -= min(max(0, short), max(0, panels - least))
    return Heights(panels, log)
