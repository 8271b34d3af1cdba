"""The served board in a real browser: keys, taps, sound, two stations, a lost connection."""

from __future__ import annotations

import contextlib
import re
import select
import shutil
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psutil
import pytest

from tests.serve.conftest import BOARD_COMMAND, PIN

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

SERVER = (
    "import pathlib, sys; from floorboard.serve.run import serve_board;"
    "serve_board(command=sys.argv[4:], port=int(sys.argv[2]), pin=sys.argv[1] or None,"
    "state_folder=pathlib.Path(sys.argv[3]), stations=('Bench 1', 'Wall'), max_sessions=2,"
    "title='Floor', announce=lambda said: print(said, flush=True))"
)
PATIENCE_MS = 20_000
CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
# Keeps what the board sent, every socket the page opened, and the count of tones it played.
WATCH = """
window.received = "";
window.sockets = [];
window.tones = 0;
const Native = window.WebSocket;
window.WebSocket = class extends Native {
  constructor(...how) {
    super(...how);
    window.sockets.push(this);
    const decoder = new TextDecoder();
    this.addEventListener("message", (event) => {
      if (typeof event.data !== "string") {
        window.received += decoder.decode(event.data, { stream: true });
      }
    });
  }
};
const play = OscillatorNode.prototype.start;
OscillatorNode.prototype.start = function (...when) {
  window.tones += 1;
  return play.apply(this, when);
};
"""


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """Start one headless Chromium for this file."""
    found = next((path for name in CHROMIUM_NAMES if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("no Chromium is installed")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield browser
        browser.close()


class Served:
    """A server process that can be stopped and started again at the same address."""

    def __init__(self, pin: str, folder: Path) -> None:
        self.pin = pin
        self.folder = folder
        # The same port for a second start: cookies are named after it.
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.start()

    def start(self) -> None:
        self.process = subprocess.Popen(
            [
                sys.executable,
                "-c",
                SERVER,
                self.pin,
                str(self.port),
                str(self.folder),
                *BOARD_COMMAND,
            ],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout is not None
        ready, _, _ = select.select([self.process.stdout], [], [], PATIENCE_MS / 1000)
        assert ready, "the server never said where it is"
        found = re.search(r"http://\S+:\d+", self.process.stdout.readline())
        assert found is not None
        self.url = found[0]

    def boards(self) -> list[psutil.Process]:
        return psutil.Process(self.process.pid).children()

    def stop(self, number: int = signal.SIGTERM) -> None:
        self.process.send_signal(number)
        self.process.wait()
        assert self.process.stdout is not None
        self.process.stdout.close()


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Callable[..., Served]]:
    servers: list[Served] = []

    def start(pin: str = "") -> Served:
        servers.append(Served(pin, tmp_path / "state"))
        return servers[-1]

    yield start
    for server in servers:
        if server.process.poll() is None:
            server.stop()


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for the tests that leave it as it was."""
    server = Served("", tmp_path_factory.mktemp("shared") / "state")
    yield server
    server.stop()


@pytest.fixture
def open_page(chromium: Any) -> Iterator[Callable[..., Any]]:
    """Open pages of browsers that know nothing of each other; all they ask for is noted."""
    contexts = []

    def open_one(url: str, **options: Any) -> Any:
        context = chromium.new_context(**{"viewport": {"width": 1024, "height": 768}, **options})
        context.set_default_timeout(PATIENCE_MS)
        context.add_init_script(WATCH)
        contexts.append(context)
        page = context.new_page()
        page.asked, page.complaints = [], []
        page.on("request", lambda request: page.asked.append(request.url))
        page.on("websocket", lambda socket: page.asked.append(socket.url))
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.on(
            "console",
            lambda said: page.complaints.append(said.text) if said.type == "error" else None,
        )
        page.goto(url)
        return page

    yield open_one
    for context in contexts:
        with contextlib.suppress(Exception):
            context.close()


def wait_for_text(page: Any, text: str) -> None:
    """Wait until the board has drawn a text since the page was loaded or last forgot."""
    page.wait_for_function("text => window.received.includes(text)", arg=text)


def forget(page: Any) -> None:
    page.evaluate("window.received = ''")


def tap_board(page: Any, row: int, column: int = 20) -> None:
    """Tap a character cell of the board."""
    place = page.evaluate(
        """([row, column]) => {
          const screen = document.querySelector(".xterm-screen").getBoundingClientRect();
          const [, columns, rows] = window.received.match(/SIZE=(\\d+)x(\\d+)=/);
          return [(column + 0.5) * screen.width / columns, (row + 0.5) * screen.height / rows];
        }""",
        [row, column],
    )
    page.touchscreen.tap(*place)


def test_pin_station_and_keys_work_without_a_tap_and_nothing_outside_is_asked(
    serve: Callable[..., Served], open_page: Callable[..., Any]
) -> None:
    server = serve(PIN)
    page = open_page(server.url)
    page.keyboard.type(PIN)
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Wall").click()
    wait_for_text(page, "STATION=Wall=")
    page.keyboard.press("+")
    wait_for_text(page, "COUNT=1=")
    page.keyboard.press("F5")
    page.reload()
    wait_for_text(page, "COUNT=1=")
    wait_for_text(page, "row-009")
    forget(page)
    page.keyboard.press("+")
    wait_for_text(page, "COUNT=2=")
    assert page.evaluate("document.fonts.check('16px \"Roboto Mono\"')")
    own = (server.url, server.url.replace("http:", "ws:"))
    assert [address for address in page.asked if not address.startswith(own)] == []
    assert any("RobotoMono" in address for address in page.asked)
    assert not any(PIN in address for address in page.asked)
    assert page.complaints == []
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in")


def test_a_tap_presses_and_a_swipe_scrolls_and_no_keyboard_comes_up_unasked(
    shared: Served, open_page: Callable[..., Any]
) -> None:
    page = open_page(shared.url, has_touch=True, is_mobile=True)
    wait_for_text(page, "row-000")
    tap_board(page, row=5)
    wait_for_text(page, "COUNT=1=")
    assert page.evaluate("document.querySelector('.xterm-helper-textarea').inputMode") == "none"
    page.get_by_role("button", name="Keyboard").tap()
    assert page.evaluate("document.activeElement.inputMode") == "text"
    touch = page.context.new_cdp_session(page)
    for kind, height in [("touchStart", 330), ("touchMove", 250), ("touchMove", 170)]:
        points = [{"x": 300, "y": height}]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    wait_for_text(page, "row-012")
    assert page.complaints == []


def test_two_stations_are_shown_at_once_and_a_third_is_told_there_is_no_room(
    serve: Callable[..., Served], open_page: Callable[..., Any]
) -> None:
    server = serve(PIN)
    pages = []
    for station in ("Bench 1", "Wall", "Office"):
        page = open_page(server.url)
        page.keyboard.type(PIN)
        page.keyboard.press("Enter")
        page.get_by_label("Another name").fill(station)
        page.get_by_role("button", name="Show the board").click()
        pages.append(page)
        if len(pages) < 3:
            wait_for_text(page, f"STATION={station}=")
    bench, wall, office = pages
    bench.keyboard.press("+")
    wait_for_text(bench, "COUNT=1=")
    wall.keyboard.press("+")
    wait_for_text(wall, "COUNT=1=")
    assert "As many boards are open as are allowed." in office.inner_text("[role=alert]")


def test_after_a_lost_connection_the_same_board_comes_back(
    serve: Callable[..., Served], open_page: Callable[..., Any]
) -> None:
    server = serve()
    page = open_page(server.url)
    wait_for_text(page, "COUNT=0=")
    page.keyboard.press("+")
    wait_for_text(page, "COUNT=1=")
    (board,) = server.boards()
    forget(page)
    page.evaluate("window.sockets.at(-1).close()")
    wait_for_text(page, "COUNT=1=")
    page.wait_for_selector("#lost", state="hidden")
    page.keyboard.press("+")
    wait_for_text(page, "COUNT=2=")
    assert [found.pid for found in server.boards()] == [board.pid]


def test_after_the_board_died_a_new_one_opens_on_the_same_view(
    serve: Callable[..., Served], open_page: Callable[..., Any]
) -> None:
    server = serve()
    page = open_page(server.url)
    wait_for_text(page, "VIEW=floor=")
    page.keyboard.press("v")
    wait_for_text(page, "VIEW=tally=")
    forget(page)
    (board,) = server.boards()
    board.kill()
    page.wait_for_selector("#lost", state="visible")
    wait_for_text(page, "VIEW=tally=")
    page.wait_for_selector("#lost", state="hidden")
    page.keyboard.press("+")
    wait_for_text(page, "COUNT=1=")


def test_while_the_server_is_away_the_page_says_so_and_returns_when_it_does(
    serve: Callable[..., Served], open_page: Callable[..., Any]
) -> None:
    server = serve(PIN)
    page = open_page(server.url)
    page.keyboard.type(PIN)
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Wall").click()
    wait_for_text(page, "VIEW=floor=")
    page.keyboard.press("v")
    wait_for_text(page, "VIEW=tally=")
    forget(page)
    server.stop(signal.SIGKILL)
    page.wait_for_selector("#lost", state="visible")
    assert "Connection lost, trying again" in page.inner_text("#lost")
    page.keyboard.press("+")
    server.start()
    wait_for_text(page, "VIEW=tally=")
    assert "STATION=Wall=" in page.evaluate("window.received")
    assert "COUNT=0=" in page.evaluate("window.received"), "a key pressed meanwhile is dropped"


def test_a_board_left_with_its_own_key_can_be_opened_again(
    shared: Served, open_page: Callable[..., Any]
) -> None:
    page = open_page(shared.url)
    wait_for_text(page, "COUNT=0=")
    page.keyboard.press("q")
    page.wait_for_selector("#lost", state="visible")
    assert "The board was closed on this screen." in page.inner_text("#lost")
    forget(page)
    page.get_by_role("button", name="Open it again").click()
    wait_for_text(page, "COUNT=0=")
    page.wait_for_selector("#lost", state="hidden")


def test_the_bell_is_seen_at_once_and_heard_after_a_tap(
    shared: Served, open_page: Callable[..., Any]
) -> None:
    page = open_page(shared.url)
    wait_for_text(page, "COUNT=0=")
    page.evaluate(
        "window.bells = 0; addEventListener('floorboard-bell', (e) => { bells += e.detail; })"
    )
    page.keyboard.press("b")
    page.wait_for_function("() => window.bells === 2")
    page.wait_for_selector("body.ringing")
    assert page.evaluate("window.tones") == 0
    page.get_by_role("button", name="Sound is off: tap for sound").click()
    page.get_by_role("button", name="Sound is on").wait_for()
    assert page.evaluate("window.tones") == 1, "the tap itself is answered with a tone"
    page.keyboard.press("b")
    page.wait_for_function("() => window.tones === 3")
    page.reload()
    wait_for_text(page, "COUNT=0=")
    page.keyboard.press("b")
    page.wait_for_function("() => window.tones === 2")


def test_only_bells_are_counted_not_the_ends_of_other_sequences(
    shared: Served, open_page: Callable[..., Any]
) -> None:
    page = open_page(shared.url)
    wait_for_text(page, "COUNT=0=")
    counted = page.evaluate(
        """() => {
          const counter = new boardBell.Counter();
          const count = (text) => counter.count(new TextEncoder().encode(text));
          return [
            count("a\\x07b\\x07"),
            count("\\x1b]52;c;eA==\\x07"),
            count("\\x1b]0;cut"), count(" in two\\x07\\x07"),
            count("\\x1b]8;;x\\x1b\\\\\\x07"),
            count("\\x1b[31m\\x07\\x1b\\x1b[0m\\x07"),
          ];
        }"""
    )
    assert counted == [2, 0, 0, 1, 1, 2]


def test_larger_text_is_kept_and_the_board_fits_without_being_started_again(
    shared: Served, open_page: Callable[..., Any]
) -> None:
    page = open_page(f"{shared.url}/?fontsize=24&delay=1&ping=x")
    wait_for_text(page, "SIZE=73x")
    assert page.url == f"{shared.url}/"
    page.keyboard.press("+")
    wait_for_text(page, "COUNT=1=")
    page.get_by_role("button", name="Larger text").click()
    page.wait_for_load_state()
    wait_for_text(page, "SIZE=6")
    wait_for_text(page, "COUNT=1=")
    bottom = page.evaluate("document.querySelector('.xterm-screen').getBoundingClientRect().bottom")
    assert bottom <= page.evaluate("document.querySelector('nav').getBoundingClientRect().top")
