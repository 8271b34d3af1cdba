"""Small charts as inline SVG: drawn to be read on paper, in grey, and without a legend.

All texts are escaped. Colours are set by CSS classes, so that the page decides on them; what they
tell is also told by place and by word.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from floorboard.records.quality_model import WeightChart

LETTER = 5.2


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar of a row: a name, how much of how much, and what is written at its end."""

    name: str
    part: float
    whole: float
    said: str


@dataclass(frozen=True, slots=True)
class Whisker:
    """A share with its interval, all from 0 to 1."""

    name: str
    share: float
    low: float
    high: float
    said: str


@dataclass(frozen=True, slots=True)
class Column:
    """A column of parts stacked from the bottom: (CSS class, amount), and a label under it."""

    label: str
    parts: tuple[tuple[str, float], ...]
    said: str = ""


def svg(width: float, height: float, parts: Iterable[str], title: str) -> str:
    """Return a picture that scales to the width of its place; `title` is for readers by ear."""
    return (
        f'<svg viewBox="0 0 {width:g} {height:g}" role="img" aria-label="{escape(title)}">'
        f"<title>{escape(title)}</title>{''.join(parts)}</svg>"
    )


def text(x: float, y: float, words: str, kind: str = "", anchor: str = "start") -> str:
    """Return words at a place; `anchor` is start, middle or end."""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" class="{kind}">'
        f"{escape(words)}</text>"
    )


def rect(x: float, y: float, width: float, height: float, kind: str) -> str:
    """Return a filled rectangle."""
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{max(0.0, width):.1f}"'
        f' height="{max(0.0, height):.1f}" class="{kind}"/>'
    )


def line(x1: float, y1: float, x2: float, y2: float, kind: str) -> str:
    """Return a line."""
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" class="{kind}"/>'


def shortened(words: str, width: float) -> str:
    """Return words cut to about so many units of the picture."""
    most = max(1, int(width / LETTER))
    return words if len(words) <= most else words[: most - 1] + "…"


def bars(rows: Sequence[Bar], title: str, width: float = 330) -> str:
    """Return lying bars, each a part inside its whole."""
    name, said, step = 84.0, 78.0, 15.0
    room = width - name - said
    most = max((row.whole for row in rows), default=1) or 1
    parts = []
    for place, row in enumerate(rows):
        y = place * step
        parts.append(text(0, y + 10, shortened(row.name, name - 4)))
        parts.append(rect(name, y + 2, room * row.whole / most, 10, "whole"))
        parts.append(rect(name, y + 4, room * min(row.part, row.whole) / most, 6, "part"))
        parts.append(text(name + room + 4, y + 10, row.said))
    return svg(width, max(step, step * len(rows)), parts, title)


def whiskers(rows: Sequence[Whisker], title: str, width: float = 330) -> str:
    """Return shares as dots with their intervals on one scale from 0 to 100 %."""
    name, said, step = 104.0, 92.0, 16.0
    room = width - name - said
    height = step * len(rows)
    parts = [line(name + room * s, 0, name + room * s, height, "grid") for s in (0, 0.5, 1)]
    for place, row in enumerate(rows):
        y = place * step + step / 2
        parts.append(text(0, y + 3, shortened(row.name, name)))
        parts.append(line(name + room * row.low, y, name + room * row.high, y, "interval"))
        for end in (row.low, row.high):
            parts.append(line(name + room * end, y - 3, name + room * end, y + 3, "interval"))
        parts.append(
            f'<circle cx="{name + room * row.share:.1f}" cy="{y:.1f}" r="3.2" class="dot"/>'
        )
        parts.append(text(name + room + 8, y + 3, row.said))
    parts += [
        text(name + room * s, height + 9, f"{100 * s:.0f} %", "small", "middle")
        for s in (0, 0.5, 1)
    ]
    return svg(width, height + 12, parts, title)


def columns(rows: Sequence[Column], title: str, width: float = 330, height: float = 74) -> str:
    """Return standing columns of stacked parts; the highest is written on the scale."""
    most = max((sum(amount for _, amount in row.parts) for row in rows), default=0) or 1
    left, bottom, top = 18.0, height - 12, 8.0
    room = (width - left) / max(1, len(rows))
    thick = min(26.0, room * 0.72)
    parts = [
        line(left, bottom, width, bottom, "axis"),
        line(left, top, width, top, "grid"),
        text(left - 3, top + 3, f"{most:.0f}", "small", "end"),
        text(left - 3, bottom, "0", "small", "end"),
    ]
    every = max(1, -(-len(rows) * 22 // int(width - left)))
    for place, row in enumerate(rows):
        x, y = left + room * (place + 0.5), bottom
        for kind, amount in row.parts:
            tall = (bottom - top) * amount / most
            y -= tall
            parts.append(rect(x - thick / 2, y, thick, tall, kind))
        if row.said:
            parts.append(text(x, y - 1.5, row.said, "small", "middle"))
        if place % every == 0:
            parts.append(text(x, height - 2, row.label, "small", "middle"))
    return svg(width, height, parts, title)


def weights(chart: WeightChart, name: str, width: float = 330, height: float = 84) -> str:
    """Return a piece's last weights with centre, limits and moving average; signals are ringed."""
    points = chart.points[-60:]
    values = [p.grams for p in points] + [p.ewma for p in points]
    low, high = min([*values, chart.lower]), max([*values, chart.upper])
    margin = (high - low or 1) * 0.06
    low, high = low - margin, high + margin
    left, right, top, bottom = 4.0, width - 46, 12.0, height - 6

    def y(value: float) -> float:
        return bottom - (bottom - top) * (value - low) / (high - low)

    def x(place: int) -> float:
        return left + (right - left) * (place + 0.5) / len(points)

    parts = [text(left, 8, shortened(name, width * 0.9), "name")]
    for value, kind in ((chart.upper, "limit"), (chart.center, "centre"), (chart.lower, "limit")):
        parts.append(line(left, y(value), right, y(value), kind))
        parts.append(text(right + 3, y(value) + 3, f"{value:.0f} g", "small"))
    path = " ".join(f"{x(n):.1f},{y(p.grams):.1f}" for n, p in enumerate(points))
    parts.append(f'<polyline points="{path}" class="single"/>')
    path = " ".join(f"{x(n):.1f},{y(p.ewma):.1f}" for n, p in enumerate(points))
    parts.append(f'<polyline points="{path}" class="average"/>')
    for n, point in enumerate(points):
        place = f'cx="{x(n):.1f}" cy="{y(point.grams):.1f}"'
        parts.append(f'<circle {place} r="1.5" class="point"/>')
        if point.signals:
            parts.append(f'<circle {place} r="4" class="signal"/>')
    return svg(width, height, parts, f"Weights of {name}")
