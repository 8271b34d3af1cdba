"""Every screen at every size, in dark and in light: what it shows, and that all of it can be read.

The pictures are texts, one a screen and size; they lie beside this file. Look at what changed
before taking new ones: pytest -n 0 tests/screens/test_every_size.py --snapshot-update
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from rich.cells import cell_len
from rich.color import Color
from rich.color_triplet import ColorTriplet
from syrupy.extensions.single_file import SingleFileSnapshotExtension, WriteMode

from floorboard.screens.app import BoardApp
from floorboard.screens.console_font import console_text
from floorboard.screens.setup_screen.guide_app import GuideApp
from tests.board_run import settled

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Iterator

    from textual.app import App
    from textual.strip import Strip

pytestmark = pytest.mark.usefixtures("colours")

SIZES = ((60, 20), (80, 24), (120, 40), (200, 60))
# Each screen by the keys that open it from the floor.
SCREENS: dict[str, tuple[str, ...]] = {
    "floor": ("6",),
    "far": ("slash",),
    "keys": ("question_mark",),
    "hands": ("h",),
    "log": ("l", "down"),
    "set-up": ("s", *["down"] * 4),
    "piece": ("s", *["down"] * 4, "enter", "enter", "tab"),
    "ticket": ("m",),
    "stock": ("o",),
    "tally": ("t",),
    "finishing": ("f", "down"),
    "charts": ("d",),
    "reason": ("6", "r"),
    "defects": ("f", "i"),
    "note": ("6", "n"),
    "cautions": ("m", "c"),
}
# WCAG 2.2, criterion 1.4.3.
LEAST_CONTRAST = 4.5
# What stands for a stretch of nothing or a line, and is not read.
DRAWN = re.compile(r"[\s▔▁▊▎▏▌▐█▀▄│─┊╌━▇▆▅▃▂┤┌┐└┘┴┬┼·]*")


class TextPicture(SingleFileSnapshotExtension):
    """One text file a picture."""

    _write_mode = WriteMode.TEXT
    _file_extension = "txt"
    file_extension = "txt"


@pytest.fixture
def picture(snapshot):
    """Compares with the text beside this file."""
    return snapshot.use_extension(TextPicture)


def text_of(app: App[object]) -> str:
    """Return what stands on the screen; of a question its box alone."""
    lines = ("".join(segment.text for segment in strip).rstrip() for strip in strips_of(app))
    return "\n".join(lines) + "\n"


def strips_of(app: App[object]) -> list[Strip]:
    """Return the lines of the screen; of a question its box alone.

    What lies under it is dim, and follows the size of the terminal when it can.
    """
    strips = app.screen._compositor.render_strips()
    if not app.screen.is_modal:
        return strips
    box = app.screen.children[0].region
    return [strip.crop(box.x, box.right) for strip in strips[box.y : box.bottom]]


def contrast(a: ColorTriplet, b: ColorTriplet) -> float:
    """Return the contrast of two colours as WCAG 2.2 defines it."""

    def luminance(color: ColorTriplet) -> float:
        parts = [
            c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in color.normalized
        ]
        return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]

    bright, dark = sorted((luminance(a), luminance(b)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def hard_to_read(strips: list[Strip]) -> Iterator[tuple[str, float]]:
    """Yield every piece of text that stands out too little from its ground."""
    for strip in strips:
        for segment in strip:
            style = segment.style
            if style is None or DRAWN.fullmatch(segment.text):
                continue
            ink, ground = _triplet(style.color), _triplet(style.bgcolor)
            if ink is None or ground is None:
                continue
            found = contrast(ink, ground)
            if found < LEAST_CONTRAST:
                yield segment.text, round(found, 2)


def _triplet(color: Color | None) -> ColorTriplet | None:
    return color.triplet if color is not None else None


async def all_settled(app, pilot) -> None:
    """Wait for plan, counts and every other worker, then for the layout."""
    await pilot.pause()
    if isinstance(app, BoardApp):
        # It is counted within a second anyway; a picture does not wait for that.
        app.count_day()
        await settled(pilot)
        await app.workers.wait_for_complete()
    await pilot.pause()
    # What goes by the machine's clock is over: the second look, the number being typed.
    for screen in app.screen_stack:
        for part in ("gate", "_digits"):
            if hasattr(screen, part):
                getattr(screen, part).forget()
    if isinstance(app, BoardApp):
        app.show_floor()
    await pilot.pause()


async def seen_at_every_size(app, pilot, name, picture) -> None:
    """Compare at each size in dark and in light, and look at the contrast of both, then of strong."""
    for width, height in SIZES:
        focused = app.screen.focused
        await pilot.resize_terminal(width, height)
        await all_settled(app, pilot)
        assert app.screen.focused is focused
        shown = text_of(app)
        assert picture(name=f"{name}-{width}x{height}") == shown
        assert all(cell_len(line) <= width for line in shown.splitlines())
        last = (width, height) == SIZES[-1]
        # A question looks the same at every size; what lies under it is dim.
        light = ["floorboard-light"] if last or not app.screen.is_modal else []
        strong = ["floorboard-strong"] if last else []
        for theme in (*light, *strong, "floorboard-dark"):
            if theme in app.available_themes:
                app.theme = theme
                await pilot.pause()
                assert text_of(app) == shown
            assert list(hard_to_read(strips_of(app))) == []


@pytest.mark.parametrize("name", SCREENS)
async def test_a_screen_is_laid_out_for_every_size_and_read_in_every_palette(
    demo_session, name, picture
):
    app = BoardApp(demo_session)
    async with app.run_test(size=SIZES[0]) as pilot:
        await all_settled(app, pilot)
        for key in SCREENS[name]:
            await pilot.press(key)
            await all_settled(app, pilot)
        await seen_at_every_size(app, pilot, name, picture)


async def test_the_keypad_is_laid_out_for_every_size(demo_session, picture):
    app = BoardApp(demo_session)
    app.taps = True
    async with app.run_test(size=SIZES[0]) as pilot:
        await all_settled(app, pilot)
        for key in ("6", "g"):
            await pilot.press(key)
            await all_settled(app, pilot)
        await seen_at_every_size(app, pilot, "keypad", picture)


async def test_the_first_run_guide_is_laid_out_for_every_size(picture):
    app = GuideApp("Europe/Lisbon")
    async with app.run_test(size=SIZES[0]) as pilot:
        await all_settled(app, pilot)
        await seen_at_every_size(app, pilot, "guide", picture)


async def through_every_screen(app, pilot) -> AsyncIterator[str]:
    """Open one screen after the other."""
    await all_settled(app, pilot)
    for name, keys in SCREENS.items():
        for key in keys:
            await pilot.press(key)
            await all_settled(app, pilot)
        yield name
        while len(app.screen_stack) > 2:
            app.pop_screen()
        await all_settled(app, pilot)


def test_every_sign_on_any_screen_has_one_that_a_plain_console_can_show():
    pictures = Path(__file__).parent / "__snapshots__" / Path(__file__).stem
    shown = {c for file in pictures.glob("*.txt") for c in file.read_text(encoding="utf-8")}
    assert "◆" in shown
    assert {c for c in shown if console_text(c) == "?"} == {"?"}


async def test_a_plain_console_is_sent_letters_and_ascii_alone(demo_session):
    app = BoardApp(demo_session, ascii_only=True)
    async with app.run_test(size=SIZES[1]) as pilot:
        async for name in through_every_screen(app, pilot):
            odd = {c for c in text_of(app) if not c.isascii() and not c.isalpha()}
            assert odd == set(), name


async def test_no_colours_are_sent_where_none_are_asked_for_and_states_are_still_told_apart(
    demo_session, monkeypatch
):
    monkeypatch.setenv("NO_COLOR", "1")
    app = BoardApp(demo_session)
    async with app.run_test(size=SIZES[1]) as pilot:
        async for name in through_every_screen(app, pilot):
            for strip in app.screen._compositor.render_strips():
                for segment in strip:
                    style = segment.style
                    sent = [] if style is None else [style.color, style.bgcolor]
                    assert all(color is None or color.is_default for color in sent), name
            if name == "floor":
                assert "◆ in hand" in text_of(app)
                assert "○ curing" in text_of(app)
                assert "□ empty" in text_of(app)
