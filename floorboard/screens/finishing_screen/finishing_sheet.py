"""The finishing queue laid out for a width: rows, the chosen casting, sessions, air. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.records.coating import VAPOUR_CAUTION
from floorboard.screens import looks
from floorboard.screens.blocks import Block, Said, block_lines
from floorboard.screens.fit import fit, fit_right
from floorboard.screens.lines import Line, Span, line, wrap_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from floorboard.floor.standing import State
    from floorboard.records.finishing_model import CoatingLine, FinishingQueue
    from floorboard.screens.finishing_screen.finishing_view import Details, FinishingRow
    from floorboard.shop.shop import Shop

# From this width on the details stand beside the queue, not beneath it.
SIDE_BY_SIDE = 110
SIDE_WIDTH = 46
# Less of a sentence than this says nothing.
LEAST_SENTENCE = 30
MARK, NUMBER, STATE, TIME = 2, 3, 14, 7


def row_lines(rows: Sequence[FinishingRow], width: int, ascii_only: bool) -> list[Line]:
    """Return the queue's heads and one line a casting."""
    if not rows:
        return [line("No casting is in finishing.", "quiet")]
    widths = column_widths(rows, width)
    heads = " " * MARK + fit_right("no", NUMBER) + " " + fit("   state", STATE)
    heads += fit_right("time", TIME) + " "
    names = {"counts": "", "step": "next step", "said": ""}
    heads += " ".join(fit(names.get(name, name), size) for name, size in widths.items())
    return [line(fit(heads, width), "quiet"), *(_row(row, widths, ascii_only) for row in rows)]


def column_widths(rows: Sequence[FinishingRow], width: int) -> dict[str, int]:
    """Return the columns there is room for after mark, number, state and time, and their widths."""
    widths = {"casting": max(len(row.casting) for row in rows)}
    left = width - MARK - NUMBER - 1 - STATE - TIME - 1 - widths["casting"]
    step = min(22, max(len(row.step_name) for row in rows), left - 1)
    widths["step"] = max(8, step)
    left -= widths["step"] + 1
    if left >= 14:
        widths = {"counts": 12, **widths}
        left -= 13
    if left >= 11:
        widths["piece"] = min(left - 1, max(len(row.piece) for row in rows))
        left -= widths["piece"] + 1
    orders = max(len(row.order) for row in rows)
    if orders and left >= 11:
        widths["order"] = min(left - 1, orders)
        left -= widths["order"] + 1
    if left >= LEAST_SENTENCE:
        widths["said"] = left - 1
    return widths


def _row(row: FinishingRow, widths: dict[str, int], ascii_only: bool) -> Line:
    strong = looks.LOOKS[row.look].strong
    shape = looks.shape(row.look, ascii_only)
    cells = {
        "counts": (row.counts_to, "quiet"),
        "casting": (row.casting, "plain"),
        "step": (row.step_name, "bold" if strong else "plain"),
        "piece": (row.piece, "plain"),
        "order": (row.order, "quiet"),
        "said": (row.sentence, "quiet"),
    }
    spans = [
        Span("x " if row.marked else "  ", "bold"),
        Span(fit_right(str(row.number), NUMBER) + " "),
        Span(fit(f" {shape} {row.state}", STATE), "badge" if strong else "tone", row.look),
        Span(fit_right(row.time, TIME) + " ", "tone", row.look),
    ]
    for place, (name, size) in enumerate(widths.items()):
        text, role = cells[name]
        space = "" if place == 0 else " "
        spans.append(
            Span(
                space + fit(text, size),
                "bold" if role == "bold" else "quiet" if role == "quiet" else "plain",
            )
        )
    return Line(tuple(spans), row.casting)


def coating_lines(coating: CoatingLine, width: int, most: int) -> list[Line]:
    """Return whether the air allows coating: a badge and the sentence.

    Where there is no room for all of it the caution comes first: it is never cut.
    """
    words: dict[bool | None, tuple[str, State]] = {
        True: (" Wait with coating ", "closing"),
        False: (" Air clear ", "in hand"),
        None: (" Air not read ", "soon"),
    }
    word, state = words[coating.wait]
    room = max(12, width - len(word) - 1)
    rows = wrap_text(coating.sentence, room)
    if len(rows) > most:
        if VAPOUR_CAUTION in coating.sentence:
            rest = " ".join(coating.sentence.replace(VAPOUR_CAUTION, "").split())
            rows = wrap_text(f"{VAPOUR_CAUTION} {rest}", room)
        rows = [*rows[: most - 1], fit(" ".join(rows[most - 1 :]), room).rstrip()]
    first = Line((Span(word, "badge", state), Span(f" {rows[0] if rows else ''}")))
    return [first, *(line(" " * (len(word) + 1) + row) for row in rows[1:])]


def detail_lines(found: Details | None, hint: str, width: int, most: int) -> list[Line]:
    """Return the chosen casting's details and what Enter does, in at most so many lines."""
    if found is None:
        return []
    lines = [line(fit(found.head, width), "bold")]
    if hint:
        lines.append(line(fit(hint, width), "tone", "due"))
    for sentence in found.sentences:
        rows = wrap_text(sentence, width, "  ")
        if len(lines) + len(rows) > most:
            break
        lines += [line(row) for row in rows]
    return lines


def side_lines(
    shop: Shop, queue: FinishingQueue, found: Details | None, hint: str, width: int
) -> list[Line]:
    """Return all that stands beside the queue on a wide screen."""
    lines: list[Line] = []
    if found is not None:
        parts = [Said(hint, "due")] if hint else []
        parts += [Said(sentence, indent="  ") for sentence in found.sentences]
        lines += block_lines(Block(found.head, tuple(parts)), width)
    for block in (*session_blocks(shop, queue), *air_blocks(queue)):
        lines += [Line(), *block_lines(block, width)]
    return lines


def session_blocks(shop: Shop, queue: FinishingQueue) -> list[Block]:
    """Return what can be done together, if anything can."""
    said = []
    for session in queue.sessions:
        where = shop.stations.get(session.station or "")
        at = f", {where.name}" if where is not None else ""
        mind = f" Mind: {', '.join(session.cautions)}." if session.cautions else ""
        serials = ", ".join(session.castings)
        said.append(
            Said(
                f"{session.step_name}, {session.minutes:.0f} min{at}: {serials}.{mind}", indent="  "
            )
        )
    return [Block("Can be done together", tuple(said))] if said else []


def air_blocks(queue: FinishingQueue) -> list[Block]:
    """Return the air and the racks."""
    blocks = [Block("Air for coating", (Said(queue.coating.sentence, indent="  "),))]
    if queue.racks:
        said = tuple(Said(f"{r.name}: {r.held} of {r.places} places held.") for r in queue.racks)
        blocks.append(Block("Racks", said))
    return blocks
