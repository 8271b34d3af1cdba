"""What the tally screen shows: the tally in blocks, and those laid out for a width. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from floorboard.mixing.weight_text import weight_text
from floorboard.screens.blocks import Block, Column, Said, Table, in_columns
from floorboard.screens.lines import Line, Span, wrap_spans
from floorboard.usecases.tally_text import minutes_text, percent, when

if TYPE_CHECKING:
    from collections.abc import Iterator

    from floorboard.floor.standing import State
    from floorboard.mixing.weight_text import Units
    from floorboard.records.tally_model import CarriedLine, Counts, OrderLine, Tally

TWO_COLUMNS, THREE_COLUMNS = 110, 180
# Told one by one; the counts by step cover all of them.
MOST_TOLD = 60
MOST_REJECTS = 20

LONGEST_BAR = 24

# Head, field of the counts ("" for what is wanted), and how soon it is left out.
COUNTS = (
    Column("wanted", 2),
    Column("begun", 1),
    Column("demold", 1),
    Column("good", 0),
    Column("reject", 0),
    Column("sent back", 3),
    Column("finished", 5),
    Column("sealed", 5),
    Column("packed", 4),
    Column("left", 1),
)
COUNT_FIELDS = (
    "",
    "begun",
    "demolded",
    "good",
    "scrapped",
    "sent_back",
    "finished",
    "sealed",
    "packed",
    "carried_over",
)


def tally_sheet(tally: Tally, width: int, units: Units = "metric") -> list[Line]:
    """Return the whole sheet: the counts at the top, then the blocks in as many columns as fit."""
    count = 1 + (width >= TWO_COLUMNS) + (width >= THREE_COLUMNS)
    top = wrap_spans(head_counts(tally), width)
    return [*top, Line(), *in_columns(list(tally_blocks(tally, units)), width, count)]


def head_counts(tally: Tally) -> list[Span]:
    """Return the counts that matter most, each as a number and its word."""
    counts = tally.counts
    wanted = sum(piece.wanted for piece in tally.pieces)
    spans = [
        Span(f"{wanted} wanted", "bold"),
        Span(f"{counts.begun} begun", "bold"),
        Span(f"{counts.demolded} demolded", "bold"),
        Span(f"{counts.good} good", "tone", "in hand") if counts.good else Span("0 good", "bold"),
    ]
    if counts.scrapped:
        spans.append(Span(f"{counts.scrapped} rejected", "tone", "window lost"))
    if counts.sent_back:
        spans.append(Span(f"{counts.sent_back} sent back", "tone", "closing"))
    return [*spans, Span(f"{counts.carried_over} in progress", "bold")]


def tally_blocks(tally: Tally, units: Units) -> Iterator[Block]:
    """Yield the blocks in the order in which they are wanted, empty ones left out."""
    if tally.reconciled:
        said = [Said(check.sentence, quiet=True) for check in tally.checks[:2]]
    else:
        broken = [check.sentence for check in tally.checks if not check.holds]
        said = [Said("The counts do not reconcile:", "window lost")]
        said += [Said(text, "window lost", indent="  ") for text in broken]
    yield Block("Castings", (_pieces(tally), *said))
    if tally.reasons:
        yield Block("Rejected and sent back", (_reasons(tally), *_rejects(tally)))
    yield Block("In progress by step", tuple(_stages(tally)))
    if tally.people:
        yield Block("Hands", (_people(tally),))
    if tally.orders:
        yield Block("Orders", tuple(_orders(tally)))
    if tally.materials or tally.batches:
        yield Block("Materials", tuple(_materials(tally, units)))
    if tally.carried_over:
        yield Block("Carried over", tuple(_carried(tally)))
    if any(line.total for line in tally.yields):
        yield Block("Yields", (_yields(tally),))
    if tally.molds:
        yield Block("Molds", (_molds(tally),))
    if tally.notes:
        yield Block("Notes", tuple(Said(note, quiet=True) for note in tally.notes))


def _counts_row(counts: Counts, wanted: int) -> list[str]:
    return [str(getattr(counts, field) if field else wanted) for field in COUNT_FIELDS]


def _pieces(tally: Tally) -> Table:
    rows = [(piece.name, *_counts_row(piece.counts, piece.wanted)) for piece in tally.pieces]
    wanted = sum(piece.wanted for piece in tally.pieces)
    rows.append(("all", *_counts_row(tally.counts, wanted)))
    return Table((Column("piece"), *COUNTS), tuple(rows), frozenset({len(rows) - 1}))


def _reasons(tally: Tally) -> Table:
    rows = [(line.name, str(line.rejected), str(line.sent_back)) for line in tally.reasons]
    return Table((Column("reason"), Column("rejected"), Column("sent back")), tuple(rows))


def _rejects(tally: Tally) -> Iterator[Said]:
    reasons = {line.reason: line.name for line in tally.reasons}
    pieces = {piece.piece: piece.name for piece in tally.pieces}
    for reject in tally.rejects[:MOST_REJECTS]:
        reason = reasons.get(reject.reason, reject.reason).lower()
        yield Said(
            f"{when(reject.at, tally)} {reject.casting} {pieces.get(reject.piece, reject.piece)}:"
            f" {reason}, {reject.stage}",
            indent="  ",
        )
    if len(tally.rejects) > MOST_REJECTS:
        yield Said(f"and {len(tally.rejects) - MOST_REJECTS} more", quiet=True)


def _stages(tally: Tally) -> Iterator[Table | Said]:
    if not tally.stages:
        yield Said("No casting is in progress.", quiet=True)
        return
    most = max(line.castings for line in tally.stages)
    share = min(1.0, LONGEST_BAR / most)
    rows = [
        (line.stage, str(line.castings), "■" * max(1, round(line.castings * share)))
        for line in tally.stages
    ]
    columns = (Column("step"), Column("castings"), Column("", 1, left=True))
    yield Table(columns, tuple(rows))


def _people(tally: Tally) -> Table:
    columns = (
        Column("hands"),
        Column("layers", 1),
        Column("demold", 2),
        Column("steps", 2),
        Column("sealed", 4),
        Column("packed", 4),
        Column("used", 0),
        Column("there", 0),
        Column("used of there", 0),
    )
    rows = [
        (
            line.name,
            str(line.layers),
            str(line.demolded),
            str(line.steps),
            str(line.sealed),
            str(line.packed),
            minutes_text(line.used_minutes),
            minutes_text(line.there_minutes),
            percent(line.worker_efficiency),
        )
        for line in tally.people
    ]
    return Table(columns, tuple(rows))


ORDER_STATES: dict[str, State] = {"overdue": "window lost", "late": "closing"}


def _orders(tally: Tally) -> Iterator[Table | Said]:
    columns = (
        Column("order"),
        Column("good"),
        Column("due", 1, left=True),
        Column("state", 0, left=True),
    )
    rows = [
        (line.name, f"{line.good} of {line.quantity}", due_text(line, tally), line.state)
        for line in tally.orders
    ]
    yield Table(columns, tuple(rows))
    for line in tally.orders:
        state = ORDER_STATES.get(line.state)
        if state is not None:
            yield Said(f"{line.name} is {line.state}.", state)
    if tally.orders_due:
        yield Said(f"{tally.orders_on_time} of {tally.orders_due} due orders filled in time.")


def due_text(order: OrderLine, tally: Tally) -> str:
    """Return when an order is due; a date means its end, the midnight after it."""
    local = order.due.astimezone(ZoneInfo(tally.zone))
    if (local.hour, local.minute) == (0, 0):
        day = local.date().fromordinal(local.date().toordinal() - 1)
        return f"{day:%a} {day.day} {day:%b}"
    return f"{local:%a} {local.day} {local:%b %H:%M}"


def _materials(tally: Tally, units: Units) -> Iterator[Table | Said]:
    if tally.batches:
        parts = [
            f"{line.name} {line.batches}" + (f" ({line.lost} lost)" if line.lost else "")
            for line in tally.batches
        ]
        yield Said(f"Batches: {', '.join(parts)}.")
    columns = (
        Column("material"),
        Column("ticket", 3),
        Column("used", 0),
        Column("theory", 2),
        Column("over", 1),
        Column("wasted", 1),
        Column(tally.currency or "cost", 4),
    )
    rows = []
    for line in tally.materials:
        amounts = (
            line.ticket_grams,
            line.used_grams,
            line.theory_grams,
            line.over_theory_grams,
            line.wasted_grams,
        )
        price = "-" if line.cost is None else f"{line.cost:.2f}"
        rows.append((line.name, *(weight_text(grams, 1.0, units) for grams in amounts), price))
    yield Table(columns, tuple(rows))
    cost = tally.cost
    if cost is not None and cost.total:
        each = "" if cost.per_good is None else f", {cost.per_good:.2f} a good casting"
        money = f"{tally.currency} {cost.total:.2f}".strip()
        yield Said(
            f"Cost {money}: materials {cost.materials:.2f}, hands {cost.hands:.2f}{each}.",
            quiet=True,
        )


def _carried(tally: Tally) -> Iterator[Said]:
    for casting in tally.carried_over[:MOST_TOLD]:
        yield Said(carried_text(casting, tally), indent="  ")
    if len(tally.carried_over) > MOST_TOLD:
        yield Said(f"and {len(tally.carried_over) - MOST_TOLD} more", quiet=True)


def carried_text(casting: CarriedLine, tally: Tally) -> str:
    """Return a casting in progress: where it stands, from when and till when."""
    mold = f", mold {casting.mold_number or casting.mold}" if casting.in_mold else ""
    text = f"{casting.casting} {casting.name}{mold}: {casting.stage}"
    if casting.opens_at is not None:
        text += f" from {when(casting.opens_at, tally)}"
    if casting.closes_at is not None:
        text += f" till {when(casting.closes_at, tally)}"
    return text


def _yields(tally: Tally) -> Table:
    rows = [
        (
            line.name,
            f"{line.good} of {line.total}",
            percent(line.share),
            f"{percent(line.low)} to {percent(line.high)}",
        )
        for line in tally.yields
        if line.total
    ]
    columns = (Column("yield"), Column("good", 1), Column("share"), Column("95 % interval", 2))
    return Table(columns, tuple(rows))


def _molds(tally: Tally) -> Table:
    rows = [
        (
            f"mold {line.number if line.number is not None else line.mold} ({line.piece})",
            str(line.begun),
            str(line.demolded),
            minutes_text(line.held_minutes),
            percent(line.allocation_efficiency),
            percent(line.utilization_efficiency),
        )
        for line in tally.molds
    ]
    columns = (
        Column("mold"),
        Column("begun", 1),
        Column("demold", 1),
        Column("held", 2),
        Column("allocation", 0),
        Column("utilization", 3),
    )
    return Table(columns, tuple(rows))
