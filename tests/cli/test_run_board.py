"""A board that a fault ended is opened anew; one without its database ends in a sentence."""

from __future__ import annotations

import datetime as dt
from types import SimpleNamespace

import pytest

from floorboard.cli.run_board import BoardFault, keep_open
from floorboard.screens.fault_log import FaultLog
from floorboard.store.errors import DatabaseBusy, DatabaseGone


class Boards:
    """Apps that each end with the next of some faults; None is a board that was quit."""

    def __init__(self, *faults: Exception | None, has_session: bool = True) -> None:
        self.faults = list(faults)
        self.has_session = has_session
        self.opened = 0

    def open(self, said: str) -> SimpleNamespace:
        self.opened += 1
        moment = dt.datetime(2026, 3, 12, tzinfo=dt.UTC)
        fault = self.faults.pop(0)
        return SimpleNamespace(
            run=lambda: None, fault=fault, moment=moment, has_session=self.has_session
        )

    def keep_open(self) -> None:
        keep_open(self.open, FaultLog(None), steady=lambda: 0.0)


def test_a_board_that_stumbled_is_opened_anew():
    boards = Boards(ValueError("x"), DatabaseBusy("held"), None)
    boards.keep_open()
    assert boards.opened == 3


def test_a_board_that_keeps_stumbling_is_given_up_with_its_reason():
    boards = Boards(*[ValueError("x")] * 3)
    with pytest.raises(BoardFault, match="met with a ValueError"):
        boards.keep_open()
    held = Boards(*[DatabaseBusy("It is held.")] * 3)
    with pytest.raises(DatabaseBusy, match=r"It is held\."):
        held.keep_open()


def test_a_board_whose_database_is_gone_ends_at_once_and_says_so():
    boards = Boards(DatabaseGone("floor.db was moved."), None)
    with pytest.raises(DatabaseGone, match=r"floor\.db was moved\."):
        boards.keep_open()
    assert boards.opened == 1


def test_a_board_whose_session_cannot_be_opened_ends_at_once_and_says_why():
    boards = Boards(DatabaseBusy("It is held."), None, has_session=False)
    with pytest.raises(DatabaseBusy, match=r"It is held\."):
        boards.keep_open()
    assert boards.opened == 1
