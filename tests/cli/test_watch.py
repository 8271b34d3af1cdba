"""Beside the board the database is checked and backed up, and trouble is told in a sentence."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from floorboard.cli import watch
from floorboard.cli.watch import StoreWatch
from floorboard.store.backup import backups_in
from floorboard.store.verify import verify
from tests.cli.test_safekeeping_commands import database  # noqa: F401, a fixture
from tests.store.test_verify import tamper

LONGEST_WAIT_SECONDS = 60


class Heard:
    """What the watch told; and that it has looked once."""

    def __init__(self, monkeypatch) -> None:
        self.sentences: list[str] = []
        self.looked = threading.Event()
        back_up = StoreWatch._back_up

        def back_up_and_say(watching: StoreWatch) -> str:
            said = back_up(watching)
            self.looked.set()
            return said

        monkeypatch.setattr(StoreWatch, "_back_up", back_up_and_say)

    def watch(self, path: Path) -> None:
        with StoreWatch(path, self.sentences.append, settle_seconds=0):
            assert self.looked.wait(LONGEST_WAIT_SECONDS)


@pytest.fixture
def heard(monkeypatch) -> Heard:
    return Heard(monkeypatch)


def test_a_sound_database_is_backed_up_and_nothing_is_told(database, heard):  # noqa: F811
    heard.watch(database)
    assert heard.sentences == []
    (backup,) = backups_in(database.parent / "backups", database)
    assert verify(backup.path) == []


def test_a_damaged_database_is_told_with_what_to_do(database, heard, monkeypatch):  # noqa: F811
    tamper(database, "UPDATE entries SET checksum = 0 WHERE seq = 3")
    monkeypatch.setattr(watch, "LOOK_EVERY_SECONDS", 0.01)
    heard.watch(database)
    damaged, *_ = heard.sentences
    assert damaged.startswith("The database is damaged: entries: Entry 3 is not as it was written.")
    assert damaged.endswith("floorboard restore")
    assert backups_in(database.parent / "backups", database) == []


def test_a_watch_that_ends_before_it_looked_leaves_nothing_behind(database, heard):  # noqa: F811
    with StoreWatch(database, heard.sentences.append, settle_seconds=LONGEST_WAIT_SECONDS):
        pass
    assert heard.sentences == []
    assert not (database.parent / "backups").exists()
