"""One person's next thing to do, in large type, with the ticket."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.cells import cell_len
from rich.text import Text
from textual.geometry import Region
from textual.message import Message
from textual.widget import Widget

from floorboard.screens import looks
from floorboard.screens.block_digits import block_rows, block_width
from floorboard.screens.countdown import countdown
from floorboard.screens.fit import fit, fit_right

if TYPE_CHECKING:
    from rich.console import RenderableType

    from floorboard.screens.floor_screen.next_panel import NextPanel, TicketLine
    from floorboard.screens.looks import Palette


class PersonPanel(Widget):
    """A person's panel; tapping it makes the confirm key theirs."""

    DEFAULT_CSS = """
    PersonPanel { height: 1fr; width: 1fr; padding: 0 1; background: $panel; color: $foreground; }
    PersonPanel.active { border-left: outer $accent; }
    PersonPanel.other { border-left: outer $panel; }
    """

    @dataclass
    class Tapped(Message):
        """A panel was tapped: `confirm` if it was the active one."""

        person: str
        was_active: bool

    def __init__(self, person: str, *, ascii_only: bool = False) -> None:
        super().__init__(classes="other")
        self.person = person
        self._ascii = ascii_only
        self._panel: NextPanel | None = None
        self._lines: list[Text] = []

    def show(self, panel: NextPanel, active: bool) -> None:
        """Show a panel; draw again only the lines that changed."""
        if active != self.has_class("active"):
            self.set_class(active, "active")
            self.set_class(not active, "other")
        if panel == self._panel:
            return
        self._panel = panel
        before, self._lines = self._lines, self._drawn()
        if len(before) != len(self._lines):
            self.refresh()
            return
        for y, (old, new) in enumerate(zip(before, self._lines, strict=True)):
            if old != new:
                width = changed_width(old, new) or self.content_size.width
                self.refresh(Region(0, y, width, 1))

    @property
    def lines_wanted(self) -> int:
        """In how many lines the panel has something to show: its head, its ticket, a remark."""
        panel = self._panel
        if panel is None:
            return 0
        return 4 + len(panel.ticket) + bool(panel.remark) + bool(panel.after)

    def on_click(self) -> None:
        """Say that the panel was tapped."""
        self.post_message(self.Tapped(self.person, self.has_class("active")))

    def render(self) -> RenderableType:
        """Draw the panel."""
        self._lines = self._drawn()
        text = Text("\n").join(self._lines)
        text.no_wrap, text.overflow, text.end = True, "crop", ""
        return text

    def _drawn(self) -> list[Text]:
        """Return the panel as lines."""
        panel, width, height = self._panel, self.content_size.width, self.content_size.height
        if panel is None or width < 8:
            return []
        palette = looks.palette_of(self.app.theme)
        lines = self._top(panel, width, palette)
        room = height - len(lines)
        lines += self._below(panel, width, room, palette)
        return lines[:height]

    def _top(self, panel: NextPanel, width: int, palette: Palette) -> list[Text]:
        """Draw the name, the count in block digits and the task beside it."""
        count, tone, counts = self._count(panel, palette)
        key = f"Enter: {panel.key}" if panel.key and self.has_class("active") else ""
        quiet = palette.quiet
        name = fit(f"{panel.name}, {counts}" if counts else panel.name, width - len(key) - 1) + " "
        head = Text.assemble((name, f"bold {quiet}"), (key, "bold reverse" if key else ""))
        digits = block_rows(count, 1, self._ascii) if count else ["", "", ""]
        digit_width = block_width(count) + 2 if count else 0
        if width - digit_width < 16:
            digits, digit_width = [count, "", ""], len(count) + 1
        title = wrap_words(panel.title, width - digit_width, 3)
        lines = [head]
        for row in range(3):
            line = Text(fit(digits[row], digit_width) if digit_width else "", style=tone)
            beside = Text(title[row] if row < len(title) else "", style="bold")
            line = Text.assemble(line, beside)
            lines.append(line)
        return lines

    def _count(self, panel: NextPanel, palette: Palette) -> tuple[str, str, str]:
        """Return the count, its colour, and in words what it counts."""
        if panel.runs_out_in is not None:
            out = panel.runs_out_in < 0
            tone = palette.tones["window lost" if out else "closing"]
            return (
                countdown(panel.runs_out_in),
                tone,
                "working time over" if out else "working time left",
            )
        if panel.since is not None:
            return countdown(panel.since), palette.tones["in hand"], "in hand for"
        if panel.starts_in is not None:
            tone = palette.tones["due" if panel.starts_in <= 0 else "soon"]
            return (
                countdown(panel.starts_in),
                tone,
                "late by" if panel.starts_in < 0 else "starts in",
            )
        return "", "", ""

    def _below(self, panel: NextPanel, width: int, room: int, palette: Palette) -> list[Text]:
        quiet = palette.quiet
        lines = [ticket_text(line, width) for line in panel.ticket]
        notes = [note for note in (panel.remark, panel.after) if note]
        if len(lines) > room:
            lines = [*lines[: max(0, room - 1)], Text("… M shows the whole ticket", style=quiet)]
        room -= len(lines)
        for note in notes:
            wrapped = wrap_words(note, width, max(0, room))
            lines += [Text(row, style=palette.tones["closing"]) for row in wrapped]
            room -= len(wrapped)
        for caution in panel.cautions:
            wrapped = wrap_words(caution, width, 2)
            if len(wrapped) > room:
                break
            lines += [Text(row, style=quiet) for row in wrapped]
            room -= len(wrapped)
        return lines


def ticket_text(line: TicketLine, width: int) -> Text:
    """Return one weighing: number, material, what to add, and in bold what the scale then shows."""
    amounts = len(line.add) + len(line.reading) + 3
    name = fit(f"{line.number} {line.name}", max(4, width - amounts - 1))
    return Text.assemble(
        (name + " ", ""),
        (fit_right(line.add, len(line.add)), ""),
        (" → ", ""),
        (line.reading, "bold"),
    )


def changed_width(old: Text, new: Text) -> int:
    """Return how many cells from the left have to be drawn again; 0 if that cannot be told."""
    if old.spans != new.spans or len(old) != len(new):
        return 0
    pairs = enumerate(zip(old.plain, new.plain, strict=True), start=1)
    last = max((place for place, (a, b) in pairs if a != b), default=0)
    return cell_len(new.plain[:last])


def wrap_words(text: str, width: int, most: int) -> list[str]:
    """Return the text in lines of whole words, at most so many; what is left out shows as "…"."""
    lines: list[str] = []
    rest = text.split()
    while rest and len(lines) < most and width > 1:
        line = rest.pop(0)
        while rest and len(line) + 1 + len(rest[0]) <= width:
            line += " " + rest.pop(0)
        lines.append(fit(line, width).rstrip())
    if rest and lines:
        lines[-1] = fit(f"{lines[-1]} {rest[0]} …", width).rstrip()
    return lines
