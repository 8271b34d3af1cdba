"""Names and notes of any kind, shown as typed on every screen: nothing in them is an instruction."""

from __future__ import annotations

import unicodedata
from itertools import cycle

import pytest
from rich.cells import cell_len

from floorboard.floor import events as e
from floorboard.screens.app import BoardApp
from floorboard.screens.views import VIEWS
from floorboard.shop.shop import Shop
from floorboard.usecases.session import Session
from tests.board_run import press, session_on, settled
from tests.strategies import AWKWARD_NAMES
from tests.tiny_shop import tiny_shop


def named(*names: str) -> Shop:
    """Return the tiny shop with these names, each in turn, wherever it has one."""
    turn = cycle(names)
    definition = tiny_shop().model_dump()
    definition["shop"]["name"] = next(turn)
    for section in ("people", "materials", "mixes", "pieces", "molds"):
        for entry in definition[section].values():
            entry["name"] = next(turn)
    for piece in definition["pieces"].values():
        for part in (*piece["layers"], *piece["route"]):
            part["name"] = next(turn)
        piece["layers"][0]["station"] = "frame"
    definition["stations"] = {"frame": {"name": next(turn), "places": 3}}
    definition["reasons"] = {"odd": {"name": next(turn)}}
    definition["orders"] = {
        "o": {"name": next(turn), "piece": "bowl", "quantity": 3, "due": "2026-03-04"}
    }
    return Shop.model_validate(definition)


def log_everything(session: Session, name: str) -> None:
    """Log whatever carries a text of its own, and bring castings to every kind of place."""
    short = name[:60]
    for mold in ("m1", "m2"):
        for _ in range(6):
            session.confirm(session.press_for_mold(mold, "ana"))
    serial = next(iter(session.floor.castings))
    session.log(
        "ana",
        e.Noted(note=name, casting=serial),
        e.WallRead(casting=serial, point=short, millimetres=6),
        e.CastingWeighed(casting=serial, grams=700),
        e.LotReceived(material="powder", lot=short, grams=20_000),
        e.StockWasted(material="powder", lot=short, grams=5, note=name),
        e.MoldTakenOut(mold="m3", note=name),
        e.CastingInspected(casting=serial, passed=False, defects=("odd",), note=name),
        e.BatchLost(batch="B260302-01", reason=name),
        e.PersonLeft(who="ben"),
    )
    session.log(
        "ana", e.Demolded(casting=serial), e.CastingSentBack(casting=serial, step=0, reason="odd")
    )


def rows_shown(app: BoardApp) -> list[str]:
    """Return what the screen on top shows, row by row."""
    strips = app.screen._compositor.render_strips()
    return ["".join(segment.text for segment in strip) for strip in strips]


def shown_well(app: BoardApp) -> str:
    """Return what is shown, each row as wide as the screen and free of control characters."""
    rows = rows_shown(app)
    for row in rows:
        assert cell_len(row) == app.size.width, row
        harmful = {c for c in row if unicodedata.category(c) in {"Cc", "Zl", "Zp"}}
        assert not harmful, (harmful, row)
    return "\n".join(rows)


async def every_screen(app: BoardApp, pilot) -> list[str]:
    """Open every view and question there is and return what each shows."""
    shown = [shown_well(app)]
    for view in VIEWS:
        await press(pilot, view.keys.split(",")[0])
        shown.append(shown_well(app))
        for key in ("down", "enter", "tab", "enter"):
            await press(pilot, key)
            shown.append(shown_well(app))
        for _ in range(5):
            if len(app.screen_stack) > 2:
                await press(pilot, "escape")
    for keys in (("1", "r"), ("w",), ("1", "n"), ("question_mark",), ("asterisk",), ("minus",)):
        await press(pilot, *keys)
        shown.append(shown_well(app))
        if len(app.screen_stack) > 2:
            await press(pilot, "escape")
    return shown


async def test_markup_in_a_name_is_shown_as_typed_on_every_screen(tmp_path):
    name = "[b]Zed[/b]"
    with session_on(tmp_path / "f.db", named(name)) as (session, _):
        session.station = name
        log_everything(session, name)
        app = BoardApp(session)
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            screens = await every_screen(app, pilot)
    seen = 0
    for shown in screens:
        for place in range(len(shown)):
            if shown.startswith("Zed", place):
                seen += 1
                assert shown[max(0, place - 3) : place].casefold() == "[b]", shown
    assert seen > 40


@pytest.mark.parametrize("turned", [0, 3])
async def test_awkward_names_break_no_screen(tmp_path, turned):
    names = AWKWARD_NAMES[turned:] + AWKWARD_NAMES[:turned]
    with session_on(tmp_path / "f.db", named(*names)) as (session, _):
        for name in names:
            session.log("ana", e.Noted(note=name))
        log_everything(session, names[0])
        app = BoardApp(session)
        async with app.run_test(size=(100, 30)) as pilot:
            await settled(pilot)
            screens = await every_screen(app, pilot)
    assert len(screens) > 20


@pytest.mark.parametrize(
    "text", ["\x1b[2J", "a\x9b31m", "bell\x07", "two\nlines", "turned \u202eround", "\u2028"]
)
def test_no_entry_takes_a_text_that_could_drive_the_terminal(text):
    for make in (
        lambda: e.Noted(note=text),
        lambda: e.LotReceived(material="powder", lot=text, grams=1),
        lambda: e.WallRead(casting="c1", point=text, millimetres=1),
        lambda: e.ShopLoaded(digest="x", source=text),
        lambda: e.StockWasted(material="powder", lot=text, grams=1),
    ):
        with pytest.raises(ValueError, match="expected text without control characters"):
            make()
