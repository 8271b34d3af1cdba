"""The board: every mold in rotation, one or two lines each, drawn by a single widget.

One widget that draws its own lines costs the same at 12 molds as at 200; a widget a mold does not.
Only the rows whose text changed are drawn again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from floorboard.screens import looks
from floorboard.screens.fit import fit, fit_right
from floorboard.screens.floor_screen.ribbon import ribbon_cells, ribbon_scale, ribbon_seconds

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events

    from floorboard.floor.standing import State
    from floorboard.screens.floor_screen.mold_row import MoldRow
    from floorboard.screens.looks import Palette

HEADER_LINES = 1
# A space, the shape, a space and the longest word of a state.
STATE_WIDTH = 14
COUNTDOWN_WIDTH = 7
NUMBER_WIDTH = 4
LONG_MINUTES = 120
COUNTDOWN_AT = 1 + NUMBER_WIDTH + 2 + STATE_WIDTH


@dataclass(frozen=True, slots=True)
class Columns:
    """How wide each column is at a width of the board; 0 leaves it out."""

    waits: int
    what: int
    piece: int
    layers: int
    ribbon: int

    @classmethod
    def at(cls, width: int) -> Columns:
        """Return the columns laid out for a width: less shown when narrow, nothing squeezed."""
        left = width - (1 + NUMBER_WIDTH + 2 + STATE_WIDTH + COUNTDOWN_WIDTH + 1)
        waits = 13 if width >= 76 else 0
        # Where room is short, "layer 2" says enough of "1/4".
        layers = 7 if width >= 66 else 0
        what = 12 if width >= 56 else 0
        left -= waits + layers + what
        ribbon = 0 if width < 96 else min(60, max(20, left - 24))
        piece = max(0, min(left - ribbon - 1, 40))
        if ribbon:
            ribbon = left - piece - 1
        return cls(waits, what, piece, layers, ribbon)


@dataclass(frozen=True, slots=True)
class RowStyles:
    """The styles of a row: of its plain, bold and quiet text, its tone, its mark, its badge."""

    plain: Style
    bold: Style
    quiet: Style
    toned: Style
    mark: Style
    badge: Style


class Board(ScrollView, can_focus=True, inherit_bindings=False):
    """All molds, the most urgent first."""

    DEFAULT_CSS = """
    Board {
        background: $background; color: $foreground;
        overflow-x: hidden; scrollbar-size-vertical: 1;
    }
    """
    COMPONENT_CLASSES: ClassVar[set[str]] = set()

    @dataclass
    class MoldChosen(Message):
        """A mold was chosen with the mouse or by touch."""

        mold: str

    def __init__(self, *, ascii_only: bool = False, id: str | None = None) -> None:
        super().__init__(id=id)
        self._rows: list[MoldRow] = []
        self._chosen: str | None = None
        self._ascii = ascii_only
        self._cache: dict[tuple[object, ...], list[Strip]] = {}
        self._styles_made: dict[tuple[State, bool, str], RowStyles] = {}
        # Each mold's ribbon as last drawn.
        self._strips: dict[str, str] = {}

    @property
    def rows(self) -> Sequence[MoldRow]:
        """The rows as last shown."""
        return self._rows

    def show(self, rows: list[MoldRow], chosen: str | None) -> None:
        """Show these rows; draw again only those that changed."""
        old, old_chosen = self._rows, self._chosen
        self._rows, self._chosen = rows, chosen
        self._lay_out()
        if len(old) != len(rows):
            self.refresh()
            return
        width, each, scroll = self._width, self._lines_each, self.scroll_offset.y
        for index, (before, after) in enumerate(zip(old, rows, strict=True)):
            rechosen = (before.mold == old_chosen) != (after.mold == chosen)
            top = HEADER_LINES + index * each - scroll
            if (before == after and not rechosen) or not -each < top < self.size.height:
                continue
            if not rechosen and self._only_counts(before, after):
                self.refresh(Region(COUNTDOWN_AT, top, COUNTDOWN_WIDTH, 1))
            else:
                self.refresh(Region(0, top, width, each))

    def _only_counts(self, before: MoldRow, after: MoldRow) -> bool:
        """Return whether a row differs in its countdown alone, as most do from second to second."""
        width = Columns.at(self._width).ribbon
        strip = ribbon_cells(after.ribbon, width, ribbon_seconds(width), self._ascii)
        same_strip = self._strips.get(after.mold) == strip
        self._strips[after.mold] = strip
        return (
            same_strip
            and replace(before, countdown=after.countdown, ribbon=after.ribbon) == after
            and (self._lines_each == 1 or planned_words(before) == planned_words(after))
        )

    @property
    def _width(self) -> int:
        return self.scrollable_content_region.width

    @property
    def _lines_each(self) -> int:
        room = self.size.height - HEADER_LINES
        return 2 if self._rows and len(self._rows) * 2 <= room else 1

    def _lay_out(self) -> None:
        lines = HEADER_LINES + len(self._rows) * self._lines_each
        size = Size(self._width, lines)
        if size != self.virtual_size:
            self.virtual_size = size

    def on_resize(self) -> None:
        """Lay the columns out for the new width."""
        self._cache.clear()
        self._strips.clear()
        self._lay_out()
        self.refresh()

    def show_row_of(self, mold: str) -> None:
        """Scroll a mold into view."""
        for index, row in enumerate(self._rows):
            if row.mold == mold:
                top = HEADER_LINES + index * self._lines_each
                self.scroll_to_region(Region(0, top, 1, self._lines_each), animate=False)

    def on_click(self, event: events.Click) -> None:
        """Choose the mold that was clicked or tapped."""
        y = event.y + self.scroll_offset.y - HEADER_LINES
        index = y // self._lines_each
        if y >= 0 and index < len(self._rows):
            self.post_message(self.MoldChosen(self._rows[index].mold))

    def render_line(self, y: int) -> Strip:
        """Draw one line of the board."""
        width = self._width
        line = y + self.scroll_offset.y
        if line < HEADER_LINES:
            return self._header(width)
        index, part = divmod(line - HEADER_LINES, self._lines_each)
        if index >= len(self._rows):
            return Strip.blank(width, self.rich_style)
        return self._row_strips(self._rows[index], width)[part]

    def _row_strips(self, row: MoldRow, width: int) -> list[Strip]:
        chosen = row.mold == self._chosen
        palette = looks.palette_of(self.app.theme)
        key = (row, width, chosen, palette.name, self._lines_each)
        strips = self._cache.get(key)
        if strips is None:
            if len(self._cache) > 2 * len(self._rows) + 50:
                self._cache.clear()
            strips = [self._first_line(row, width, chosen, palette)]
            if self._lines_each == 2:
                strips.append(self._second_line(row, width, chosen, palette))
            self._cache[key] = strips
        return strips

    def _header(self, width: int) -> Strip:
        columns = Columns.at(width)
        quiet = looks.palette_of(self.app.theme).quiet_style()
        text = " " + fit_right("mold", NUMBER_WIDTH) + "  " + fit("   state", STATE_WIDTH)
        text += fit_right("time", COUNTDOWN_WIDTH) + " " + fit("", columns.waits)
        text += fit("layers", columns.layers) + fit("waits for", columns.what)
        text += fit("piece", columns.piece) + " "
        if columns.ribbon:
            seconds = ribbon_seconds(columns.ribbon)
            text += ribbon_scale(columns.ribbon, seconds, self._ascii)
        return Strip([Segment(fit(text, width), self.rich_style + quiet)], width)

    def _first_line(self, row: MoldRow, width: int, chosen: bool, palette: Palette) -> Strip:
        columns = Columns.at(width)
        styles = self._styles_of(row.state, chosen, palette)
        strong = looks.LOOKS[row.state].strong
        mark = "▌" if chosen and not self._ascii else ">" if chosen else " "
        flag = "!" if row.flagged else " "
        state = f" {looks.shape(row.state, self._ascii)} {row.state}"
        # What is blank takes its neighbour's style: one run of text is shorter to send than three.
        segments = [
            Segment(mark, styles.mark if chosen else styles.bold),
            Segment(fit_right(str(row.number), NUMBER_WIDTH), styles.bold),
            Segment(flag + " ", styles.toned if row.flagged else styles.bold),
            Segment(fit(state, STATE_WIDTH), styles.badge if strong else styles.toned),
            Segment(fit_right(row.countdown, COUNTDOWN_WIDTH), styles.toned),
            Segment(" " + fit(row.waits_for, columns.waits), styles.quiet),
            Segment(fit(layer_text(row), columns.layers), styles.plain),
            Segment(fit(row.what, columns.what), styles.bold if strong else styles.plain),
            Segment(fit(row.piece, columns.piece) + " ", styles.plain),
        ]
        if columns.ribbon:
            seconds = ribbon_seconds(columns.ribbon)
            cells = ribbon_cells(row.ribbon, columns.ribbon, seconds, self._ascii)
            segments.append(Segment(cells, styles.toned))
        return Strip(segments).simplify().adjust_cell_length(width, styles.plain)

    def _styles_of(self, state: State, chosen: bool, palette: Palette) -> RowStyles:
        """Return the styles of a row; they are few, and made once."""
        key = (state, chosen, palette.name)
        styles = self._styles_made.get(key)
        if styles is None:
            plain = self._ground(chosen, palette)
            toned = plain + palette.tone(state)
            styles = RowStyles(
                plain=plain,
                bold=plain + Style(bold=True),
                quiet=plain + palette.quiet_style(),
                toned=toned,
                mark=toned + Style(bold=True),
                badge=plain + palette.badge(state),
            )
            self._styles_made[key] = styles
        return styles

    def _ground(self, chosen: bool, palette: Palette) -> Style:
        """Return the style of a row's plain text: on a lifted ground if it is chosen."""
        if not chosen:
            return self.rich_style
        return self.rich_style + palette.chosen_style()

    def _second_line(self, row: MoldRow, width: int, chosen: bool, palette: Palette) -> Strip:
        quiet = self._ground(chosen, palette) + palette.quiet_style()
        words = f"{row.casting}  {planned_words(row)}"
        indent = " " * (1 + NUMBER_WIDTH + 2)
        return Strip([Segment(fit(f"{indent} {words.strip()}", width), quiet)], width)


def planned_words(row: MoldRow) -> str:
    """Return who takes a mold up and when, in whole minutes: "Maia in 4 min"."""
    if row.ribbon.planned_in is None or not row.who:
        return ""
    minutes = max(0, round(row.ribbon.planned_in / 60))
    if minutes >= LONG_MINUTES:
        return f"{row.who} in {minutes // 60} h {minutes % 60:02} min"
    return f"{row.who} in {minutes} min" if minutes else f"{row.who} now"


def layer_text(row: MoldRow) -> str:
    """Return how many layers are in, of how many: "2/4"; nothing for an empty mold."""
    return f"{row.layer}/{row.layers}" if row.casting else ""
