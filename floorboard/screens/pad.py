"""The keypad on the screen: what a keyboard types, typed by taps.

It types into the field that has the cursor and never takes the cursor from it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.content import Content
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Input, Static

from floorboard.screens import looks
from floorboard.screens.fit import fit
from floorboard.screens.key_guard import is_field
from floorboard.screens.pad_keys import (
    KEY_ROWS,
    PadKey,
    PadLegend,
    Page,
    laid_out,
    pad_rows,
    units_for,
)

if TYPE_CHECKING:
    from textual import events
    from textual.app import App

PAD_ROWS = 4 * KEY_ROWS


def wants_pad(app: App[Any]) -> bool:
    """Return whether fields come with the keypad: in a browser, and once it was asked for."""
    wanted: bool | None = getattr(app, "taps", None)
    return app.is_web if wanted is None else wanted


class Tap(Static):
    """Words to tap that never take the cursor from a field; three rows high."""

    DEFAULT_CSS = """
    Tap {
        height: 3; width: auto; min-width: 5; padding: 1 2; margin: 0 1 0 0;
        background: $boost; text-style: bold;
    }
    """

    class Tapped(Message):
        """The words were tapped."""

        def __init__(self, tap: Tap) -> None:
            super().__init__()
            self.tap = tap

        @property
        def control(self) -> Tap:
            """The words."""
            return self.tap

    def on_click(self, event: events.Click) -> None:
        """Say that the words were tapped."""
        event.stop()
        self.post_message(self.Tapped(self))


class Tapline(Tap):
    """The same in one line, where a keyboard is at hand; its whole width is tapped."""

    DEFAULT_CSS = """
    Tapline {
        height: auto; width: 1fr; padding: 0; margin: 0; background: transparent; text-style: none;
    }
    """

    def __init__(self, text: str, *, id: str) -> None:
        super().__init__(Content(text), id=id, classes="hint")


class Pad(Widget, can_focus=False):
    """Four rows of keys, in pages: digits with units, letters, quick words."""

    DEFAULT_CSS = f"Pad {{ height: {PAD_ROWS}; width: 1fr; }}"

    class Left(Message):
        """The keypad's leave key was tapped."""

    def __init__(
        self, legend: PadLegend | None = None, *, page: Page = "digits", id: str | None = None
    ) -> None:
        super().__init__(id=id)
        self.legend = legend or PadLegend()
        self.page: Page = page
        self.capitals = False

    def show(self, legend: PadLegend, page: Page) -> None:
        """Show what another field needs."""
        if (legend, page) != (self.legend, self.page):
            self.legend, self.page, self.capitals = legend, page, False
            self.refresh()

    @property
    def rows(self) -> list[list[PadKey]]:
        """The keys of the page shown."""
        return pad_rows(self.page, self.legend, capitals=self.capitals)

    def field(self) -> Any:
        """Return the field that is typed into: the one with the cursor, else the first."""
        focused = self.screen.focused
        if is_field(focused):
            return focused
        return next(iter(self.screen.query(Input)), None)

    async def on_click(self, event: events.Click) -> None:
        """Press the key that was tapped."""
        event.stop()
        row = self.rows[min(3, event.y // KEY_ROWS)]
        for start, cells, key in laid_out(row, self.size.width):
            if start <= event.x < start + cells:
                await self.press(key)

    async def press(self, key: PadKey) -> None:
        """Do what a key does."""
        match key.does:
            case "type" | "word":
                self._type(key)
            case "rub out":
                field = self.field()
                if field is not None:
                    field.action_delete_left()
            case "take":
                await self._take()
            case "leave":
                self.post_message(self.Left())
            case "page":
                self.page = page_named(key.text)
                self.refresh()
            case "capitals":
                self.capitals = not self.capitals
                self.refresh()
            case "nothing":
                pass

    def _type(self, key: PadKey) -> None:
        field = self.field()
        if field is None:
            return
        before = str(field.value if isinstance(field, Input) else field.text)
        text = key.text
        if key.does == "word" and before and not before.endswith(" "):
            text = f" {text}"
        if not before:
            text = text.lstrip()
        if isinstance(field, Input):
            # What is marked is typed over, as it is from a keyboard.
            field.replace(text, *field.selection)
        else:
            field.insert(text)
        if self.capitals and key.label.isalpha():
            self.capitals = False
            self.refresh()

    async def _take(self) -> None:
        field = self.field()
        if isinstance(field, Input):
            await field.action_submit()
        else:
            self.screen.focus_next()

    def render_line(self, y: int) -> Strip:
        """Draw one line: a key's label stands on the middle one of its three."""
        width, plain = self.size.width, self.rich_style
        palette = looks.palette_of(self.app.theme)
        lifted = Style(reverse=True) if palette.plain else palette.chosen_style()
        place = min(3, y // KEY_ROWS)
        segments = []
        for number, (_, cells, key) in enumerate(laid_out(self.rows[place], width)):
            # Neighbours stand on different grounds, so that no line between them is needed.
            style = plain + lifted if (number + place) % 2 == 0 else plain
            if key.does == "take":
                style = plain + palette.badge("in hand")
            label = key.label if y % KEY_ROWS == 1 else ""
            segments.append(Segment(_centred(label, cells), style + Style(bold=True)))
        return Strip(segments).adjust_cell_length(width, plain)


class PadDock(Pad):
    """The keypad of a screen with fields: there while a field has the cursor, if it is wanted."""

    DEFAULT_CSS = "PadDock { display: none; }"

    def on_mount(self) -> None:
        """Follow the cursor from field to field."""
        self.watch(self.screen, "focused", self._follow)

    def toggle(self) -> None:
        """Bring the keypad up, or put it away, by a tap or a key."""
        self.app.taps = not self.display  # type: ignore[attr-defined]
        if self.app.taps and not is_field(self.screen.focused):  # type: ignore[attr-defined]
            field = self.field()
            if field is not None:
                field.focus()
        self._follow()

    def on_pad_left(self, event: Pad.Left) -> None:
        """Put the keypad away."""
        event.stop()
        self.toggle()

    def _follow(self) -> None:
        focused = self.screen.focused
        shown = is_field(focused) and wants_pad(self.app)
        if self.display != shown:
            self.display = shown
        if shown and focused is not None:
            self.show(*legend_of(focused))
            self.call_after_refresh(self._settle_on, focused)

    def _settle_on(self, field: Widget) -> None:
        field.scroll_visible(animate=False)
        # A finger that chose the field did not mean a place within what stands in it.
        if isinstance(field, Input) and field.selection.is_empty:
            field.action_end()


class PadInput(Input):
    """A field whose keypad offers words that are known to fit."""

    quick_words: tuple[str, ...] = ()


def _centred(label: str, cells: int) -> str:
    left = max(0, (cells - cell_len(label)) // 2)
    return fit(" " * left + label, cells) if label else " " * cells


def page_named(name: str) -> Page:
    """Return a page by its name; the digits for any other."""
    return "letters" if name == "letters" else "words" if name == "words" else "digits"


def legend_of(field: Widget) -> tuple[PadLegend, Page]:
    """Return what the keypad shows for a field of a form: units as in its example, words that fit."""
    example = str(getattr(field, "placeholder", "") or getattr(field, "value", ""))
    units = units_for(example)
    words = field.quick_words if isinstance(field, PadInput) else ()
    page: Page = "words" if words else "letters"
    if units or any(character.isdigit() for character in example):
        page = "digits"
    return PadLegend(units, words, take="Next", leave="Hide"), page
