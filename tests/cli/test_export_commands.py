"""The history as plain tables, and labels by command."""

from __future__ import annotations

import sqlite3
from contextlib import closing

import pyarrow.parquet as pq
import pytest
from click.testing import CliRunner

from floorboard.cli.main import cli
from floorboard.floor import events as e
from floorboard.store.sqlite_store import open_store
from tests.store.small_shop import SHOP, START, Bench


@pytest.fixture
def database(tmp_path):
    path = tmp_path / "floor.db"
    with open_store(path) as store:
        store.load_shop(SHOP, source="", at=START, person=None, station="")
        bench = Bench(store)
        bench.cast_bowl("c1")
        bench.begin("c2", "tile-1", "monday")
        note = bench.log(e.Noted(note="struck"))
        bench.strike(note[0].seq)
    return path


def run(database, *arguments):
    words = [arguments[0], "--database", str(database), *map(str, arguments[1:])]
    return CliRunner().invoke(cli, words)


def test_the_sqlite_file_has_the_history_as_plain_tables_with_the_site(database, tmp_path):
    target = tmp_path / "history.sqlite"
    assert run(database, "export", target, "--site", "North").exit_code == 0
    with closing(sqlite3.connect(target)) as plain:
        castings = plain.execute("SELECT site, serial, piece, begun_by FROM castings").fetchall()
        layers = plain.execute("SELECT number FROM works WHERE kind = 'layer'").fetchall()
        struck = plain.execute("SELECT count(*) FROM entries WHERE struck_by IS NOT NULL")
        orders = plain.execute("SELECT quantity FROM orders WHERE order_id = 'friday'").fetchone()
        assert castings == [("North", "c1", "bowl", "ana"), ("North", "c2", "tile", "ana")]
        assert layers == [(1,), (2,)]
        assert struck.fetchone() == (1,)
        assert orders == (4,)


def test_the_parquet_files_hold_the_same_rows_with_moments_as_moments(database, tmp_path):
    assert run(database, "export", tmp_path / "sqlite", "--site", "x").exit_code == 0
    assert run(database, "export", tmp_path / "folder", "--parquet", "--site", "x").exit_code == 0
    with closing(sqlite3.connect(tmp_path / "sqlite")) as plain:
        for path in sorted((tmp_path / "folder").glob("*.parquet")):
            table = pq.read_table(path)
            sql = f"SELECT * FROM {path.stem}"
            assert table.num_rows == len(plain.execute(sql).fetchall()), path.stem
    castings = pq.read_table(tmp_path / "folder" / "castings.parquet")
    assert castings.column("begun_at")[0].as_py() == START.replace(minute=1)


def test_nothing_is_written_over_and_never_the_shops_own_database(database, tmp_path):
    target = tmp_path / "history.sqlite"
    run(database, "export", target)
    again = run(database, "export", target)
    assert again.exit_code == 1
    assert "is there already" in again.output
    own = run(database, "export", database, "--force")
    assert own.exit_code == 1
    assert "is the shop's own database" in own.output
    assert run(database, "tally", "--day", "2026-03-12").exit_code == 0


def test_labels_are_of_the_castings_asked_for(database, tmp_path):
    named = run(database, "labels", tmp_path / "a.html", "c1", "c2")
    assert named.exit_code == 0
    page = (tmp_path / "a.html").read_text(encoding="utf-8")
    assert page.count('class="label"') == 2
    assert "for monday" in page
    run(database, "labels", tmp_path / "b.html")
    assert (tmp_path / "b.html").read_text(encoding="utf-8").count('class="label"') == 1
    run(database, "labels", tmp_path / "c.html", "--day", "2026-03-12")
    assert "c1" in (tmp_path / "c.html").read_text(encoding="utf-8")
    from floorboard.usecases.label_words import NoSuchCasting

    assert isinstance(run(database, "labels", tmp_path / "d.html", "c9").exception, NoSuchCasting)
