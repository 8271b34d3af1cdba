"""The finishing queue as lines of text, no wider than a terminal of 80 columns."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.usecases.columns import table, wrapped

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator

    from floorboard.records.finishing_model import FinishingLine, FinishingQueue
    from floorboard.shop.shop import Shop

WIDTH = 80


def finishing_lines(queue: FinishingQueue, shop: Shop) -> Iterator[str]:
    """Yield the queue for a person to read."""
    zone = ZoneInfo(shop.shop.zone)
    yield from wrapped(f"Coating: {queue.coating.sentence}", WIDTH)
    for rack in queue.racks:
        yield f"{rack.name}: {rack.held} of {rack.places} places held."
    yield ""
    if not queue.castings:
        yield "No casting is in finishing."
        return
    rows = [_row(line, zone, queue.as_of) for line in queue.castings]
    yield from table(["casting", "next step", "state", "opens", "closes"], rows, WIDTH)
    if queue.sessions:
        yield ""
        yield "Can be done together:"
        for session in queue.sessions:
            where = shop.stations.get(session.station or "")
            text = (
                f"  {session.step_name}, {session.minutes:.0f} min: {', '.join(session.castings)}"
            )
            text += f" ({where.name})" if where is not None else ""
            text += f". Mind: {', '.join(session.cautions)}." if session.cautions else "."
            yield from wrapped(text, WIDTH, "    ")
    told = [line for line in queue.castings if line.drying is not None]
    if told:
        yield ""
        yield "Drying to constant weight:"
        yield from _drying(told)


def _drying(told: list[FinishingLine]) -> Iterator[str]:
    """Castings of which the same is to be said are told together."""
    by_sentence: dict[str, list[str]] = {}
    for line in told:
        assert line.drying is not None
        text = line.drying.sentence
        if line.drying.left_out:
            text += f" {line.drying.left_out} weighings left out as impossible."
        by_sentence.setdefault(text, []).append(line.casting)
    for text, castings in by_sentence.items():
        yield from wrapped(f"  {', '.join(castings)}: {text}", WIDTH, "    ")


def _row(line: FinishingLine, zone: ZoneInfo, now: dt.datetime) -> list[str]:
    closes = "" if line.closes_at is None else _when(line.closes_at, zone, now)
    return [
        f"{line.casting} {line.name}",
        line.step_name,
        line.state,
        _when(line.opens_at, zone, now),
        closes,
    ]


def _when(moment: dt.datetime, zone: ZoneInfo, now: dt.datetime) -> str:
    local = moment.astimezone(zone)
    if local.date() == now.astimezone(zone).date():
        return f"{local:%H:%M}"
    return f"{local:%a %H:%M}"
