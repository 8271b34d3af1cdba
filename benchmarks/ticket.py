"""How long a ticket takes, and tracing a lot through a long log. Printed, never asserted.

Run: python -m benchmarks.ticket
"""

from __future__ import annotations

import datetime as dt
import statistics
import time
from typing import TYPE_CHECKING

from floorboard.mixing.correction import correct
from floorboard.mixing.stock import Draw
from floorboard.mixing.ticket import Serving, Ticket, ticket_for
from floorboard.mixing.ticket_text import ticket_text
from floorboard.mixing.trace import Pour, trace_casting, trace_lot
from floorboard.reports.ticket_html import ticket_html
from floorboard.shop.materials import Material
from floorboard.shop.mixes import Mix

if TYPE_CHECKING:
    from collections.abc import Callable

TICKET_GOAL_MS = 5.0
TRACE_GOAL_MS = 100.0
ENTRIES = 200_000


def median_ms(work: Callable[[], object], times: int) -> float:
    """Return the median of so many runs, in milliseconds."""
    spans = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        spans.append((time.perf_counter() - start) * 1000)
    return statistics.median(spans)


def a_large_mix() -> tuple[Mix, dict[str, Material]]:
    """Return an invented mix of ten parts and ten additives, each in a stage of its own."""
    keys = [f"material-{n}" for n in range(20)]
    materials = {
        key: Material.model_validate({"name": key.title(), "form": form})
        for key, form in zip(keys, ("powder", "liquid", "fibre", "powder") * 5, strict=True)
    }
    mix = Mix.model_validate(
        {
            "name": "Ten and ten",
            "parts": [{"material": key, "parts": n + 1} for n, key in enumerate(keys[:10])],
            "additives": [
                {"material": key, "percent": "2 %", "of": "everything before it"}
                for key in keys[10:]
            ],
            "stages": [{"add": [key], "stir": "10 s"} for key in keys],
            "weigh": "60 s",
            "working_time": {
                "additive": keys[10],
                "points": [
                    {"percent": f"{n} %", "working_time": f"{40 - n} min"} for n in range(30)
                ],
            },
            "largest_batch": "10 kg",
        }
    )
    return mix, materials


def a_long_log() -> tuple[list[Draw], list[Pour]]:
    """Return draws and pours of so many entries, half and half, over 400 lots."""
    at = dt.datetime(2026, 1, 5, 7, tzinfo=dt.UTC)
    draws = [
        Draw(at, f"m{n % 8}", 100.0, f"lot-{n * 400 // ENTRIES}", f"batch-{n // 4}")
        for n in range(ENTRIES // 2)
    ]
    pours = [Pour(f"batch-{n // 4}", f"casting-{n // 5}", n % 5) for n in range(ENTRIES // 2)]
    return draws, pours


def main() -> None:
    """Print each time against its goal."""
    mix, materials = a_large_mix()
    servings = [Serving(mold=f"mold-{n}", layer=n, grams=450) for n in range(6)]

    def write() -> Ticket:
        return ticket_for("ten-and-ten", mix, materials, servings)

    ticket = write()
    draws, pours = a_long_log()
    lines = [
        ("ticket, 20 additions", median_ms(write, 200), TICKET_GOAL_MS),
        ("ticket as text", median_ms(lambda: ticket_text(ticket), 200), TICKET_GOAL_MS),
        ("ticket as HTML", median_ms(lambda: ticket_html(ticket), 200), TICKET_GOAL_MS),
        (
            "correction of an over-pour",
            median_ms(lambda: correct(ticket.batch, {0: 200.0}), 200),
            TICKET_GOAL_MS,
        ),
        (
            f"lot to castings, {ENTRIES} entries",
            median_ms(lambda: trace_lot("m3", "lot-77", draws, pours), 9),
            TRACE_GOAL_MS,
        ),
        (
            f"casting to lots, {ENTRIES} entries",
            median_ms(lambda: trace_casting("casting-9000", draws, pours), 9),
            TRACE_GOAL_MS,
        ),
    ]
    for what, took, goal in lines:
        print(f"{what:<36} {took:8.3f} ms   goal {goal:g} ms   {took / goal:6.1%} of it")


if __name__ == "__main__":
    main()
