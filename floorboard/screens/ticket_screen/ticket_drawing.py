"""The ticket's parts as lines of text, made to fit so many cells. Pure but for the palette."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rich.cells import cell_len
from rich.text import Text

from floorboard.screens.block_digits import block_rows, block_width, largest_scale
from floorboard.screens.fit import fit, fit_right
from floorboard.screens.floor_screen.person_panel import wrap_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from rich.style import Style

    from floorboard.screens.looks import Palette
    from floorboard.screens.ticket_screen.ticket_model import (
        AdditionRow,
        BigNumber,
        LayerRow,
        RowState,
        TicketView,
    )

    # Width, height and palette, as a widget hands them over.
    Draw = Callable[[int, int, Palette], list[Text]]

MARKS: dict[RowState, tuple[str, str]] = {
    "done": ("✓", "*"),
    "off": ("!", "!"),
    "now": ("▶", ">"),
    "later": (" ", " "),
}
# Words beside a big number that would be narrower than this go below it.
LEAST_BESIDE = 14
# From this width on a layer to choose is one line.
ONE_LINE_WIDTH = 44
# From this width on what went in stands beside its addition, and so wide.
NOTES_FROM_WIDTH = 84
NOTE_WIDTH = 30
_NUMBER = re.compile(r"[+-]?\d[\d .:]*\d|[+-]?\d")


def tone_style(big: BigNumber, palette: Palette) -> Style:
    """Return the style of a big number."""
    match big.tone:
        case "good":
            return palette.tone("in hand")
        case "warn":
            return palette.tone("closing")
        case "bad":
            return palette.tone("window lost")
        case _:
            return palette.key_style()


def big_rows(
    big: BigNumber, width: int, height: int, palette: Palette, ascii_only: bool
) -> list[Text]:
    """Return a number in block digits as large as fits, its unit beside it, its label as well.

    Where the digits can be larger without the label beside them, it goes below. "2 lb 3.1 oz"
    keeps its words between the digits.
    """
    if not big.text or height < 1:
        return []
    pieces = _pieces(big.text)
    words = sum(cell_len(word) + 2 for _, word in pieces)
    digits = "".join(number for number, _ in pieces)
    style = tone_style(big, palette)
    if height < 3 or block_width(digits) + words > width:
        return [Text.assemble((fit(f"{big.text} {big.label}", width), style))]
    aside = min(cell_len(big.label) + 1, LEAST_BESIDE)
    beside = largest_scale(digits, width - words - aside, height)
    below = largest_scale(digits, width - words, height - 1)
    scale = max(beside, below)
    drawn = [(block_rows(number, scale, ascii_only), word) for number, word in pieces]
    rows = _digit_rows(drawn, style)
    if below > beside:
        return [*rows, Text(fit(big.label, width), style=palette.quiet_style())]
    room = width - max(cell_len(row.plain) for row in rows) - 1
    for place, text in enumerate(wrap_words(big.label, room, len(rows))):
        rows[place].append(f" {text}", style=palette.quiet_style())
    return rows


def _digit_rows(drawn: list[tuple[list[str], str]], style: Style) -> list[Text]:
    """Return the rows of several numbers, the word after each on the last row."""
    rows = []
    count = len(drawn[0][0])
    for row in range(count):
        line = Text()
        for blocks, word in drawn:
            line.append(blocks[row], style=style)
            line.append(f" {word if row == count - 1 else ' ' * cell_len(word)} ", style=style)
        rows.append(line)
    return rows


def _pieces(text: str) -> list[tuple[str, str]]:
    """Split "2 lb 3.1 oz" into numbers with the word after each."""
    pieces, at = [], 0
    for match in _NUMBER.finditer(text):
        after = _NUMBER.search(text, match.end())
        end = after.start() if after is not None else len(text)
        pieces.append((match[0], text[match.end() : end].strip()))
        at = end
    return pieces or [("", text[at:])]


def headline_lines(
    view: TicketView, live: str, width: int, height: int, palette: Palette, ascii_only: bool
) -> list[Text]:
    """Return the task in hand: what it is, the number to reach, how it is done."""
    key = f" Enter: {view.enter} " if view.enter else ""
    room = width - cell_len(key) - 1
    lines = []
    if room >= cell_len(view.task) or room >= 24:
        lines.append(
            Text.assemble((fit(view.task, room), "bold"), " ", (key, "bold reverse" if key else ""))
        )
    else:
        lines += [
            Text(fit(view.task, width), style="bold"),
            Text(fit(key.strip(), width), style="reverse"),
        ]
    below = [text for text in (live, view.how) if text]
    keep = min(len(below), max(0, height - len(lines) - 3))
    lines += big_rows(view.big, width, height - len(lines) - keep, palette, ascii_only)
    for text in below:
        lines += [Text(row) for row in wrap_words(text, width, max(0, height - len(lines)))]
    return lines[:height]


def addition_lines(
    rows: tuple[AdditionRow, ...], width: int, height: int, palette: Palette, ascii_only: bool
) -> list[Text]:
    """Return the additions; what is left out first when there is no room: notes, then stages."""
    amount = max([0, *(cell_len(text) for row in rows for text in (row.add, row.reading))])
    for with_stages, with_notes in ((True, True), (True, False), (False, False)):
        lines: list[Text] = []
        current = 0
        for row in rows:
            if with_stages and row.stage:
                lines.append(Text(fit(row.stage, width), style=palette.quiet_style()))
            if row.state == "now":
                current = len(lines)
            lines += _addition(row, width, amount, palette, ascii_only, with_notes)
        if len(lines) <= height:
            return lines
    # Longer than the screen even so: what is weighed now stays in view.
    first = min(max(0, current - height // 2), max(0, len(lines) - height))
    return lines[first : first + height]


def _addition(
    row: AdditionRow,
    width: int,
    amount: int,
    palette: Palette,
    ascii_only: bool,
    with_notes: bool,
) -> list[Text]:
    mark = MARKS[row.state][ascii_only]
    base = _row_style(row.state, palette)
    amounts = f"{fit_right(row.add, amount)} → {fit_right(row.reading, amount)}"
    if ascii_only:
        amounts = amounts.replace("→", ">")
    aside = NOTE_WIDTH if width >= NOTES_FROM_WIDTH else 0
    room = width - len(amounts) - 6 - (aside + 2 if aside else 0)
    line = Text.assemble(
        (f"{mark} ", base),
        (fit_right(row.number, 2) + " ", palette.quiet_style()),
        (fit(row.name, max(6, room)) + " ", base),
        (amounts, base),
    )
    if aside:
        line.append(f"  {fit(row.note, aside)}", style=palette.quiet_style())
    if row.state == "now":
        line.stylize(palette.chosen_style())
        line.pad_right(max(0, width - cell_len(line.plain)))
    below = ", ".join(text for text in (row.how, "" if aside else row.note) if text)
    if not with_notes or not below:
        return [line]
    return [line, Text(fit(f"     {below}", width), style=palette.quiet_style())]


def _row_style(state: RowState, palette: Palette) -> Style | str:
    if state == "done":
        return palette.tone("in hand")
    if state == "off":
        return palette.tone("window lost")
    return "bold" if state == "now" else ""


def side_lines(
    view: TicketView, width: int, height: int, palette: Palette, ascii_only: bool, clock: bool
) -> list[Text]:
    """Return the layers, what to mind, the clock's words and the cautions.

    `clock` says whether the working time has a place of its own. Cautions always have room: in
    full where they fit, else in a line that says which they are.
    """
    kept, clock_rows = _kept(view, width, height, clock)
    room = max(1, height - len(kept) - len(clock_rows))
    lines = layer_lines(view, width, room, palette, ascii_only)
    lines += [Text(row, style=palette.key_style()) for row in clock_rows]
    room = height - len(lines) - len(kept)
    for remark in view.remarks:
        wrapped = wrap_words(f"! {remark}", width, 4)
        if len(wrapped) > room:
            break
        lines += [Text(row, style=palette.tone("closing")) for row in wrapped]
        room -= len(wrapped)
    whole = [row for caution in view.cautions for row in wrap_words(caution, width, 3)]
    fits = len(whole) <= height - len(lines)
    lines += [Text(row, style=palette.quiet_style()) for row in (whole if fits else kept)]
    return lines[:height]


def _kept(view: TicketView, width: int, height: int, clock: bool) -> tuple[list[str], list[str]]:
    """Return the lines that must have room: the cautions in short, and the clock's words."""
    words = "" if clock else view.clock_words
    if view.clock is not None and not clock:
        words = f"{view.clock.label.capitalize()}: {view.clock.text}"
    kept = wrap_words(view.caution_words, width, 3) if view.caution_words else []
    return kept, wrap_words(words, width, 1 if height < 8 else 2)


def layers_shown(view: TicketView, width: int, height: int, clock: bool) -> int:
    """Return how many of the layers to choose there is room for."""
    kept, clock_rows = _kept(view, width, height, clock)
    return max(1, (height - len(kept) - len(clock_rows)) // lines_a_layer(width))


def lines_a_layer(width: int) -> int:
    """Return how many lines a layer to choose takes at a width."""
    return 1 if width >= ONE_LINE_WIDTH else 2


def layer_lines(
    view: TicketView, width: int, height: int, palette: Palette, ascii_only: bool
) -> list[Text]:
    """Return the layers; of more than fit, those around the cursor."""
    if not view.choosing:
        return [_served(row, width, palette, ascii_only) for row in view.layers][:height]
    each = lines_a_layer(width)
    first = first_layer(view, height // each)
    rows = view.layers[first : first + max(1, height // each)]
    return [line for row in rows for line in _choice(row, width, palette, ascii_only)]


def first_layer(view: TicketView, most: int) -> int:
    """Return the first layer shown when only so many fit: the cursor stays in view."""
    cursor = next((place for place, row in enumerate(view.layers) if row.at_cursor), 0)
    return min(max(0, cursor - max(0, most - 1)), max(0, len(view.layers) - max(1, most)))


def _served(row: LayerRow, width: int, palette: Palette, ascii_only: bool) -> Text:
    mark = MARKS[row.state][ascii_only]
    said = f"{row.grams} {row.note}".rstrip()
    text = fit(f"{mark} {row.label}", max(8, width - cell_len(said) - 1))
    return Text(f"{text} {said}", style=_row_style(row.state, palette))


def _choice(row: LayerRow, width: int, palette: Palette, ascii_only: bool) -> list[Text]:
    box = ("[x]" if row.chosen else "[ ]") if ascii_only else ("☑" if row.chosen else "☐")
    weight = "bold" if row.chosen else ""
    quiet = palette.quiet_style()
    if lines_a_layer(width) == 1:
        room = width - cell_len(row.grams) - 1
        head = fit(f"{box} {row.label}", min(room, 24))
        rest = fit(f" {row.note}", room - cell_len(head))
        lines = [Text.assemble((head, weight), (rest, quiet), (f" {row.grams}", weight))]
    else:
        head = fit(f"{box} {row.label}", max(8, width - cell_len(row.grams) - 1))
        lines = [
            Text(f"{head} {row.grams}", style=weight),
            Text(fit(f"    {row.note}", width), style=quiet),
        ]
    if row.at_cursor:
        for line in lines:
            line.pad_right(max(0, width - cell_len(line.plain)))
            line.stylize(palette.chosen_style())
    return lines


def clock_lines(
    view: TicketView, width: int, height: int, palette: Palette, ascii_only: bool
) -> list[Text]:
    """Return the working time left, in block digits."""
    if view.clock is None:
        return [
            Text(row, style=palette.quiet_style())
            for row in wrap_words(view.clock_words, width, height)
        ]
    label = Text(fit(view.clock.label, width), style=palette.quiet_style())
    digits = view.clock.text
    if block_width(digits) > width or height < 4:
        return [label, Text(fit(digits, width), style=tone_style(view.clock, palette))]
    scale = largest_scale(digits, width, height - 1)
    style = tone_style(view.clock, palette)
    return [label, *(Text(row, style=style) for row in block_rows(digits, scale, ascii_only))]
