"""What the server refuses before it binds anything."""

from __future__ import annotations

from typing import Any

import pytest

from floorboard.serve.settings import ServeRefusedError, is_this_machine, settle

GOOD_PIN = "plaster-27"


def test_a_board_is_served_to_this_machine_only_unless_told_otherwise() -> None:
    settings = settle("board --demo")
    assert settings.host == "127.0.0.1"
    assert settings.argv == ("board", "--demo")


def test_a_command_text_is_split_without_a_shell() -> None:
    assert settle("board 'my shop.toml' ; $HOME").argv == ("board", "my shop.toml", ";", "$HOME")


@pytest.mark.parametrize("host", ["0.0.0.0", "", "::", "192.168.1.20", "shop-pc"])
def test_another_address_is_refused_without_a_pin_and_taken_with_one(host: str) -> None:
    with pytest.raises(ServeRefusedError, match="Set a PIN"):
        settle("board", host=host)
    assert settle("board", host=host, pin=GOOD_PIN).host == host


def test_a_public_address_needs_a_pin_though_the_server_itself_is_local() -> None:
    with pytest.raises(ServeRefusedError, match="Set a PIN"):
        settle("board", public_url="https://board.example")
    settle("board", public_url="https://board.example", pin=GOOD_PIN)


@pytest.mark.parametrize("host", ["127.0.0.1", "127.8.8.8", "::1", "localhost", "LOCALHOST"])
def test_loopback_is_this_machine(host: str) -> None:
    assert is_this_machine(host)


@pytest.mark.parametrize(
    "pin",
    ["", "12345", "x" * 129, "000000", "121212", "123456", "98765432", "Password", "a\tbcdef"],
)
def test_a_pin_that_would_be_tried_first_is_refused(pin: str) -> None:
    with pytest.raises(ServeRefusedError):
        settle("board", pin=pin)


@pytest.mark.parametrize(
    "options",
    [
        {"stations": ("Bench", "Bench")},
        {"stations": ("Ben\x1bch",)},
        {"public_url": "board.example"},
        {"public_url": "ftp://board.example"},
        {"public_url": "https://board.example/board", "pin": GOOD_PIN},
        {"public_url": "https://board.example:99999", "pin": GOOD_PIN},
        {"port": 70000},
        {"max_sessions": 0},
        {"pass_hours": 0},
        {"colour": "blue"},
    ],
)
def test_what_cannot_be_served_is_refused_in_a_sentence(options: dict[str, Any]) -> None:
    with pytest.raises(ServeRefusedError, match=r"\.$"):
        settle("board", **options)


@pytest.mark.parametrize("command", ["", [], "board 'unfinished"])
def test_a_command_that_says_nothing_is_refused(command: str | list[str]) -> None:
    with pytest.raises(ServeRefusedError):
        settle(command)


def test_the_pin_shows_in_no_text_about_the_settings() -> None:
    assert GOOD_PIN not in repr(settle("board", pin=GOOD_PIN))
    with pytest.raises(ServeRefusedError) as refused:
        settle("board", pin=GOOD_PIN, port=-1)
    assert GOOD_PIN not in f"{refused.value!r} {refused.value.__cause__!r}"
