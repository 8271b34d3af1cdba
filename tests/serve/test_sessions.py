"""Boards behind the socket: named, found again, ended."""

from __future__ import annotations

import asyncio
import json
import os
import secrets
import signal
import sys
from collections.abc import Awaitable, Callable
from typing import Any, cast

import psutil
import pytest
from aiohttp import WSMsgType
from textual_serve.download_manager import DownloadManager

from floorboard.serve.board_process import BoardProcess
from floorboard.serve.sessions import TERMINAL_MODES, BoardSession, SessionKey
from tests.serve.conftest import PATIENCE_SECONDS, Shop, closing_code, seen

OpenShop = Callable[..., Awaitable[Shop]]


def boards(shop: Shop) -> list[BoardProcess]:
    sessions = shop.server.sessions._open.values()
    return [session.process for session in sessions if session.process is not None]


def board_pids(shop: Shop) -> list[int]:
    return [board.pid for board in boards(shop)]


async def ended(board: BoardProcess) -> None:
    """Wait until a board's process is over and taken off the process table."""
    async with asyncio.timeout(PATIENCE_SECONDS):
        assert board._task is not None
        await asyncio.shield(board._task)
    assert not psutil.pid_exists(board.pid)


async def test_the_board_knows_its_station_and_is_told_no_secret(
    open_shop: OpenShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FLOORBOARD_PIN", "plaster-27")
    shop = await open_shop()
    await shop.sign_in("Bench 2; touch x $(id)")
    board = await shop.open_board()
    await seen(board, "STATION=Bench 2; touch x $(id)=")
    environment = psutil.Process(board_pids(shop)[0]).environ()
    assert "plaster-27" not in str(environment)


async def test_two_stations_have_boards_of_their_own(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in("Bench 1")
    one = await shop.open_board()
    await seen(one, "STATION=Bench 1=")
    shop.client.session.cookie_jar.clear()
    await shop.sign_in("Wall")
    other = await shop.open_board()
    await seen(other, "STATION=Wall=")
    await one.send_str('["stdin", "+"]')
    await seen(one, "COUNT=1=")
    await other.send_str('["stdin", "+"]')
    await seen(other, "COUNT=1=")


async def test_the_board_runs_without_a_shell_between(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in()
    board = await shop.open_board()
    await seen(board, "COUNT=0=")
    (pid,) = board_pids(shop)
    # A child of this very process: no shell stands between.
    child = next(child for child in psutil.Process().children() if child.pid == pid)
    assert child.cmdline()[-2:] == ["-m", "tests.serve.dummy_board"]


async def test_a_reload_finds_the_same_board_painted_anew(open_shop: OpenShop) -> None:
    shop = await open_shop(hold_left_seconds=60)
    await shop.sign_in()
    place = secrets.token_hex(16)
    board = await shop.open_board(place)
    opening = await seen(board, "COUNT=0=")
    await board.send_str('["stdin", "+"]')
    await seen(board, "COUNT=1=")
    (pid,) = board_pids(shop)
    await board.close()
    again = await shop.open_board(place)
    shown = await seen(again, "row-009")
    assert board_pids(shop) == [pid]
    assert "COUNT=1=" in shown
    modes = TERMINAL_MODES.decode()
    assert shown.startswith("\x1bc" + modes)
    # The modes told again are those a new board tells itself.
    for mode in modes.split("\x1b")[1:]:
        assert f"\x1b{mode}" in opening


async def test_a_second_page_of_the_same_tab_takes_the_board_over(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in()
    place = secrets.token_hex(16)
    old = await shop.open_board(place)
    await seen(old, "COUNT=0=")
    new = await shop.open_board(place)
    await seen(new, "COUNT=0=")
    assert await closing_code(old) == 4002
    await new.send_str('["stdin", "+"]')
    await seen(new, "COUNT=1=")


async def test_another_browser_cannot_take_a_board_by_its_tab(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in("Bench 1")
    place = secrets.token_hex(16)
    mine = await shop.open_board(place)
    await seen(mine, "COUNT=0=")
    shop.client.session.cookie_jar.clear()
    await shop.sign_in("Wall")
    other = await shop.open_board(place)
    await seen(other, "STATION=Wall=")
    assert len(set(board_pids(shop))) == 2


async def test_a_killed_board_opens_again_on_its_view(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in()
    place = secrets.token_hex(16)
    board = await shop.open_board(place)
    await seen(board, "VIEW=floor=")
    await board.send_str('["stdin", "v"]')
    await seen(board, "VIEW=tally=")
    os.kill(board_pids(shop)[0], signal.SIGKILL)
    assert await closing_code(board) == 4001
    again = await shop.open_board(place)
    await seen(again, "VIEW=tally=")
    elsewhere = await shop.open_board()
    await seen(elsewhere, "VIEW=floor=")


async def test_a_board_left_with_its_own_key_is_closed_for_good(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in()
    board = await shop.open_board()
    await seen(board, "COUNT=0=")
    await board.send_str('["stdin", "q"]')
    assert await closing_code(board) == 4000
    assert board_pids(shop) == []


async def test_a_closed_tab_ends_its_board(open_shop: OpenShop) -> None:
    shop = await open_shop(hold_left_seconds=0)
    await shop.sign_in()
    board = await shop.open_board()
    await seen(board, "COUNT=0=")
    (process,) = boards(shop)
    await board.close()
    await ended(process)


async def test_a_board_whose_page_went_makes_room_for_another(open_shop: OpenShop) -> None:
    shop = await open_shop(max_sessions=1, hold_left_seconds=600)
    await shop.sign_in()
    board = await shop.open_board()
    await seen(board, "COUNT=0=")
    (process,) = boards(shop)
    await board.close()
    await seen(await shop.open_board(), "COUNT=0=")
    await ended(process)


@pytest.mark.parametrize("how", ["signed out", "pass expired", "station renamed"])
async def test_a_board_ends_with_its_pass_or_its_name(how: str, open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in()
    if how == "pass expired":
        shop.wall.now += 16 * 3600 - 1.0
    board = await shop.open_board()
    await seen(board, "COUNT=0=")
    (process,) = boards(shop)
    if how == "signed out":
        await shop.post("/sign-out")
    elif how == "station renamed":
        await shop.post("/station", typed="Bench 2")
    assert await closing_code(board) == 4003
    await ended(process)


async def test_a_stopping_server_ends_its_boards(open_shop: OpenShop) -> None:
    shop = await open_shop()
    await shop.sign_in()
    board = await shop.open_board()
    await seen(board, "COUNT=0=")
    (pid,) = board_pids(shop)
    await shop.server.sessions.end_all()
    assert not psutil.pid_exists(pid)
    assert await closing_code(board) == 1012


async def test_a_board_that_will_not_leave_is_killed(
    open_shop: OpenShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    stubborn = (
        "import signal, sys, time; signal.signal(signal.SIGTERM, signal.SIG_IGN);"
        "sys.stdout.write('__GANGLION__\\n'); sys.stdout.write('D\\0\\0\\0\\5READY');"
        "sys.stdout.flush(); time.sleep(600)"
    )
    monkeypatch.setattr("floorboard.serve.board_process._QUIT_SECONDS", 0.05)
    monkeypatch.setattr("floorboard.serve.board_process._TERMINATE_SECONDS", 0.05)
    shop = await open_shop(command=[sys.executable, "-c", stubborn])
    await shop.sign_in()
    board = await shop.open_board()
    await seen(board, "READY")
    (process,) = boards(shop)
    await board.close()
    await ended(process)


@pytest.mark.parametrize(
    "program", ["import sys; sys.exit(3)", "print('no board', flush=True)", "print('x\\n' * 50)"]
)
async def test_what_is_no_board_ends_the_connection_and_is_logged(
    program: str, open_shop: OpenShop
) -> None:
    shop = await open_shop(command=[sys.executable, "-c", program])
    await shop.sign_in()
    assert await closing_code(await shop.open_board()) in {4000, 4001}
    assert board_pids(shop) == []


async def test_a_command_that_does_not_exist_is_said_without_a_dead_page(
    open_shop: OpenShop,
) -> None:
    shop = await open_shop(command="no-such-program-here")
    await shop.sign_in()
    assert await closing_code(await shop.open_board()) == 1011


async def test_a_lost_connection_is_waited_for(open_shop: OpenShop) -> None:
    shop = await open_shop(hold_left_seconds=0, hold_lost_seconds=600)
    await shop.sign_in()
    place = secrets.token_hex(16)
    board = await shop.open_board(place)
    await seen(board, "COUNT=0=")
    await board.send_str('["stdin", "+"]')
    await seen(board, "COUNT=1=")
    (pid,) = board_pids(shop)
    board._response.connection.transport.abort()
    again = await shop.open_board(place)
    await seen(again, "COUNT=1=")
    assert board_pids(shop) == [pid]


async def test_a_page_that_takes_nothing_any_more_is_cut_off(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("floorboard.serve.sessions._SEND_SECONDS", 0.01)

    class StuckSocket:
        async def send_bytes(self, data: bytes) -> None:
            await asyncio.Event().wait()

    class Transport:
        aborted = False

        def abort(self) -> None:
            self.aborted = True

    session, transport = BoardSession(SessionKey("pass", "place")), Transport()
    session.attach(cast("Any", StuckSocket()), cast("Any", transport))
    await session.show_output(b"frame")
    assert transport.aborted
    assert session.socket is None
    await session.show_output(b"let go")


async def test_a_file_the_board_offers_is_saved_by_its_own_browser_only(
    open_shop: OpenShop,
) -> None:
    shop = await open_shop()
    await shop.sign_in()
    board = await shop.open_board()
    await seen(board, "COUNT=0=")
    await board.send_str('["stdin", "d"]')
    async with asyncio.timeout(PATIENCE_SECONDS):
        while (frame := await board.receive()).type is not WSMsgType.TEXT:
            pass
    kind, key = frame.json()
    assert kind == "deliver_file_start"
    mine = {cookie.key: cookie.value for cookie in shop.client.session.cookie_jar}
    shop.client.session.cookie_jar.clear()
    await shop.sign_in("Wall")
    assert (await shop.client.get(f"/download/{key}")).status == 404
    answer = await shop.client.get(f"/download/{key}", cookies=mine)
    assert await answer.text() == "serial,piece\n"
    disposition = answer.headers["Content-Disposition"]
    assert disposition == "attachment; filename*=UTF-8''tally%3B%221%22.csv"


@pytest.mark.parametrize(
    ("url", "opened"),
    [("https://board.example/x", True), ("javascript:alert(1)", False), ("file:///etc", False)],
)
async def test_only_web_addresses_are_opened_in_the_browser(url: str, opened: bool) -> None:
    said: list[str] = []

    async def hear(text: Any) -> None:
        said.append(str(text))

    board = BoardProcess(
        ["board"], {}, on_output=hear, on_text=hear, on_end=hear, download_manager=DownloadManager()
    )
    await board.on_meta(json.dumps({"type": "open_url", "url": url, "new_tab": True}).encode())
    assert bool(said) is opened
