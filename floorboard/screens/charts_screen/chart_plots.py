"""Draws the charts' series with the plotting widget, in the board's colours or in none."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual.color import Color
from textual_plotext import PlotextPlot

from floorboard.screens import looks
from floorboard.screens.console_font import LIKE

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rich.console import RenderableType

    from floorboard.floor.standing import State
    from floorboard.screens.charts_screen.charts_view import (
        DayCurve,
        HandsLoad,
        MoldBars,
        WeightCurve,
    )
    from floorboard.screens.looks import Palette

HEADROOM = 1.4
LEGEND_ROOM = 5
# A mold used longer than this many lives is drawn as if it were that; its label says the pulls.
MOST_LIVES = 1.5


@dataclass(frozen=True, slots=True)
class Pen:
    """What to draw with: the palette's colours, marks that this terminal has, and the room."""

    palette: Palette
    ascii_only: bool
    width: int

    def tone(self, state: State) -> tuple[int, int, int] | str:
        """Return a state's colour, as the plotting library takes it."""
        return self.color(self.palette.tones[state])

    def color(self, name: str) -> tuple[int, int, int] | str:
        """Return a colour, or the terminal's own where none is to be shown."""
        return "default" if self.palette.plain else Color.parse(name).rgb

    def mark(self, mark: str, ascii_mark: str) -> str:
        """Return a mark, or the one to stand for it in ASCII."""
        return ascii_mark if self.ascii_only else mark


class Chart(PlotextPlot):
    """One chart; `draw` is given the plot, empty and in the board's colours."""

    def __init__(self, *, ascii_only: bool, id: str) -> None:
        super().__init__(id=id)
        self._ascii = ascii_only
        self._draw: Callable[[Any, Pen], None] | None = None

    def on_unmount(self) -> None:
        """Let go of the app: its signal would keep every chart ever shown."""
        self.app.theme_changed_signal.unsubscribe(self)

    def show(self, draw: Callable[[Any, Pen], None] | None) -> None:
        """Draw with this from now on, again whenever size or colours change."""
        self._draw = draw
        self.refresh()

    def render(self) -> RenderableType:
        """Draw the chart for the size and the colours there are now."""
        width, height = self.size.width, self.size.height
        if self._draw is None or width < 20 or height < 5:
            return Text("")
        plot = self.plt
        pen = Pen(looks.palette_of(self.app.theme), self._ascii, width)
        plot.clear_figure()
        plot.plotsize(width, height)
        # The widget needs the size set on the figure itself as well.
        plot._set_size(width, height)  # noqa: SLF001
        self._dress(plot, pen)
        self._draw(plot, pen)
        drawn = Text.from_ansi(plot.build())
        drawn.no_wrap = True
        if self._ascii:
            drawn.plain = drawn.plain.translate(LIKE)
        return drawn

    def _dress(self, plot: Any, pen: Pen) -> None:
        if pen.palette.plain:
            plot.theme("clear")
            return
        ground = pen.color(pen.palette.ground)
        plot.canvas_color(ground)
        plot.axes_color(ground)
        plot.ticks_color(pen.color(pen.palette.quiet))


def draw_day(curve: DayCurve) -> Callable[[Any, Pen], None]:
    """Return how to draw the day: a line of what is done, and one of what is planned."""

    def draw(plot: Any, pen: Pen) -> None:
        plot.title("Castings demolded: done and planned")
        planned, done = stairs(curve.planned), stairs(curve.done)
        dots, blocks = pen.mark("·", "."), pen.mark("hd", "#")
        plot.plot(*planned, label="planned", color=pen.tone("soon"), marker=dots)
        plot.plot(*done, label="done", color=pen.tone("in hand"), marker=blocks)
        plot.vline(curve.now_hour, pen.color(pen.palette.quiet))
        most = max(count for _, count in (*curve.done, *curve.planned))
        plot.xlim(curve.first_hour, curve.last_hour)
        plot.ylim(0, max(1, most))
        plot.xticks(*hour_ticks(curve.first_hour, curve.last_hour, pen.width))
        step = max(1, round(most / 6))
        plot.yticks(list(range(0, most + 1, step)) or [0, 1])

    return draw


def draw_load(load: HandsLoad) -> Callable[[Any, Pen], None]:
    """Return how to draw the hours: bars of what is used and planned, and what is there."""

    def draw(plot: Any, pen: Pen) -> None:
        labels = [hour.label for hour in load.hours]
        plot.title("Hands by the hour, minutes")
        plot.stacked_bar(
            labels,
            [[hour.used for hour in load.hours], [hour.planned for hour in load.hours]],
            labels=["used", "planned"],
            color=[pen.tone("in hand"), pen.tone("soon")],
            marker=[pen.mark("sd", "#"), pen.mark("░", "=")],
            width=0.6,
        )
        places = list(range(1, len(labels) + 1))
        plot.scatter(
            places,
            [hour.there for hour in load.hours],
            label="there",
            color=pen.tone("due"),
            marker=pen.mark("━", "-"),
        )
        # Above the bars there is room for the words that say which is which.
        most = max(max(hour.there, hour.used + hour.planned) for hour in load.hours)
        plot.ylim(0, HEADROOM * max(60.0, most))
        every = 30 * (1 + int(most) // 240)
        plot.yticks(list(range(0, int(most) + every, every)))

    return draw


def draw_molds(molds: MoldBars) -> Callable[[Any, Pen], None]:
    """Return how to draw the molds: a bar of each one's life used, and the line to retire at."""

    def draw(plot: Any, pen: Pen) -> None:
        bars = list(reversed(molds.bars))
        plot.title("Pulls of each mold, per cent of its life")
        labels = [f"{bar.label} {bar.pulls}/{bar.limit}" for bar in bars]
        over = [100 * min(bar.share, MOST_LIVES) if bar.share >= 1 else 0 for bar in bars]
        within = [100 * bar.share if bar.share < 1 else 0 for bar in bars]
        for values, color in ((over, pen.tone("window lost")), (within, pen.tone("in hand"))):
            if any(values):
                mark = pen.mark("sd", "#")
                plot.bar(labels, values, orientation="h", width=0.5, color=color, marker=mark)
        plot.vline(100, pen.tone("due"))
        plot.xlim(0, 1.1 * max(100, *over))
        # Words on the axis that touch are left out by the plot: the line's own is to stay.
        plot.xticks([0, 25, 50, 100], ["0", "25", "50", "retire"])

    return draw


def draw_weights(curve: WeightCurve) -> Callable[[Any, Pen], None]:
    """Return how to draw a piece's weights: points, their average, and the limits."""

    def draw(plot: Any, pen: Pen) -> None:
        places = list(range(1, len(curve.grams) + 1))
        plot.title(f"Weights of {curve.name}, grams")
        ends, dash = [places[0], places[-1]], pen.mark("╌", "-")
        limit = pen.tone("closing")
        plot.plot(ends, [curve.lower] * 2, color=limit, marker=dash)
        plot.plot(ends, [curve.center] * 2, color=pen.tone("curing"), marker=dash)
        plot.plot(ends, [curve.upper] * 2, color=limit, marker=dash)
        plot.plot(
            places,
            list(curve.ewma),
            label="average",
            color=pen.tone("soon"),
            marker=pen.mark("·", "."),
        )
        quiet = [place for place in range(len(places)) if place not in curve.signals]
        for chosen, label, color, mark in (
            (quiet, "weight", pen.tone("in hand"), pen.mark("●", "o")),
            (list(curve.signals), "signal", pen.tone("window lost"), pen.mark("✖", "X")),
        ):
            if chosen:
                at = [places[place] for place in chosen]
                grams = [curve.grams[place] for place in chosen]
                plot.scatter(at, grams, label=label, color=color, marker=mark)
        ticks = [curve.lower, curve.center, curve.upper]
        plot.yticks(ticks, [f"{grams:.0f}" for grams in ticks])
        room = 0.1 * max(1.0, curve.upper - curve.lower)
        lowest = min(curve.lower, *curve.grams) - room
        plot.ylim(lowest, max(curve.upper, *curve.grams) + LEGEND_ROOM * room)
        every = max(1, len(places) // 8)
        plot.xticks(places[::every])

    return draw


def draw_bars(title: str, bars: Sequence[tuple[str, float]]) -> Callable[[Any, Pen], None]:
    """Return how to draw one bar for each label."""

    def draw(plot: Any, pen: Pen) -> None:
        plot.title(title)
        labels, heights = [label for label, _ in bars], [height for _, height in bars]
        mark = pen.mark("sd", "#")
        plot.bar(labels, heights, width=0.5, color=pen.tone("in hand"), marker=mark)
        plot.ylim(0, 1.1 * max(1.0, *heights))

    return draw


def stairs(points: tuple[tuple[float, int], ...]) -> tuple[list[float], list[int]]:
    """Return counts as stairs: a count stands until the moment at which it grows."""
    hours: list[float] = []
    counts: list[int] = []
    for hour, count in points:
        if counts:
            hours.append(hour)
            counts.append(counts[-1])
        hours.append(hour)
        counts.append(count)
    return hours, counts


def hour_ticks(first: float, last: float, width: int) -> tuple[list[float], list[str]]:
    """Return whole hours for the axis, as many as there is room for."""
    every = 1
    while (last - first) / every * 6 > max(12, width - 8):
        every += 1
    hours = [
        hour for hour in range(int(first), int(last) + 1) if hour >= first and hour % every == 0
    ]
    return [float(hour) for hour in hours], [f"{hour % 24:02d}" for hour in hours]
