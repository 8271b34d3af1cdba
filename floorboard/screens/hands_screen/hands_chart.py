"""The hands chart drawn line by line: people as rows, the day as time, cures lighter beneath."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from floorboard.screens import looks
from floorboard.screens.fit import fit
from floorboard.screens.hands_screen import hands_shapes as shapes

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from floorboard.floor.standing import State
    from floorboard.screens.hands_screen.hands_view import Bar, HandsChart, Lane

NAME_WIDTH = 12


def lines_of(chart: HandsChart) -> int:
    """Return how many lines a chart takes, its axis among them."""
    return 1 + len(chart.lanes)


class ChartOfHands(ScrollView, can_focus=True):
    """Lanes of bars on a common time axis."""

    DEFAULT_CSS = """
    ChartOfHands {
        background: $background; color: $foreground;
        overflow-x: hidden; scrollbar-size-vertical: 1;
    }
    """

    def __init__(self, zone: ZoneInfo, *, ascii_only: bool = False, id: str | None = None) -> None:
        super().__init__(id=id)
        self._zone = zone
        self._ascii = ascii_only
        self._chart: HandsChart | None = None
        self._now: dt.datetime | None = None

    def show(self, chart: HandsChart, now: dt.datetime) -> None:
        """Show a chart."""
        self._chart, self._now = chart, now
        self.virtual_size = Size(self.scrollable_content_region.width, lines_of(chart))
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """Draw the axis or a lane."""
        width = self.scrollable_content_region.width
        chart = self._chart
        line = y + self.scroll_offset.y
        if chart is None:
            return Strip.blank(width, self.rich_style)
        if line == 0:
            return self._axis(chart, width)
        if line <= len(chart.lanes):
            return self._lane(chart, chart.lanes[line - 1], width)
        return Strip.blank(width, self.rich_style)

    def _axis(self, chart: HandsChart, width: int) -> Strip:
        cells = [" "] * (width - NAME_WIDTH)
        hour = chart.start.astimezone(self._zone).replace(minute=0, second=0, microsecond=0)
        while hour < chart.end:
            place = self._place(chart, hour, len(cells))
            label = f"{hour.astimezone(self._zone):%H:%M}"
            if place >= 0 and place + len(label) <= len(cells):
                cells[place : place + len(label)] = label
            hour = (hour.astimezone(dt.UTC) + dt.timedelta(hours=1)).astimezone(self._zone)
        quiet = self.rich_style + looks.palette_of(self.app.theme).quiet_style()
        return Strip([Segment(fit("", NAME_WIDTH) + "".join(cells), quiet)], width)

    def _place(self, chart: HandsChart, moment: dt.datetime, cells: int) -> int:
        span = (chart.end - chart.start).total_seconds()
        return int((moment - chart.start).total_seconds() / span * cells)

    def _lane(self, chart: HandsChart, lane: Lane, width: int) -> Strip:
        room = width - NAME_WIDTH
        quiet = self.rich_style + looks.palette_of(self.app.theme).quiet_style()
        away = shapes.ASCII_AWAY if self._ascii else shapes.AWAY
        characters = [away if lane.is_person else " "] * room
        styles = [quiet] * room
        for start, end in lane.free:
            for cell in self._cells(chart, start, end, room):
                characters[cell] = " "
        for bar in lane.bars:
            self._draw_bar(bar, self._cells(chart, bar.start, bar.end, room), characters, styles)
        if self._now is not None:
            place = self._place(chart, self._now, room)
            if 0 <= place < room and characters[place] in {" ", shapes.AWAY, shapes.ASCII_AWAY}:
                characters[place] = shapes.ASCII_NOW if self._ascii else shapes.NOW
        name = Segment(
            fit(f" {lane.name}", NAME_WIDTH), self.rich_style + Style(bold=lane.is_person)
        )
        segments = [Segment(c, s) for c, s in zip(characters, styles, strict=True)]
        return Strip([name, *Segment.simplify(segments)], width)

    def _cells(self, chart: HandsChart, start: dt.datetime, end: dt.datetime, room: int) -> range:
        first = max(0, self._place(chart, start, room))
        last = min(room, max(first + 1, self._place(chart, end, room)))
        return range(first, last)

    def _draw_bar(self, bar: Bar, cells: range, characters: list[str], styles: list[Style]) -> None:
        style = self.rich_style + self._bar_style(bar)
        cures = shapes.ASCII_CURES if self._ascii else shapes.CURES
        fill = cures if bar.kind == "cure" else " "
        label = bar.label.replace("·", ".") if self._ascii else bar.label
        label = label if bar.kind != "cure" and len(label) <= len(cells) - 1 else ""
        if not label and bar.kind != "cure":
            label = bar.label[:1] if len(cells) > 1 else ""
        for offset, cell in enumerate(cells):
            characters[cell] = label[offset - 1] if 1 <= offset <= len(label) else fill
            styles[cell] = style
        if bar.kind != "cure" and cells:
            begins = shapes.ASCII_BEGINS if self._ascii else shapes.BEGINS
            characters[cells[0]] = begins if len(cells) > 1 else bar.label[:1]

    def _bar_style(self, bar: Bar) -> Style:
        palette = looks.palette_of(self.app.theme)
        state = BAR_STATES.get(bar.kind)
        if state is None:
            return palette.quiet_style()
        return palette.badge(state) + Style(bold=bar.fixed)


BAR_STATES: dict[str, State] = {
    "layer": "due",
    "batch": "closing",
    "ready": "soon",
    "demold": "in hand",
    "step": "set aside",
}
