"""What is asked while a board runs goes by index: nothing in it walks through a whole log."""

from __future__ import annotations

from pathlib import Path

import pytest

from floorboard.floor import events as e
from floorboard.store.sqlite_store import open_store
from tests.store.small_shop import SHOP, START, Bench

# Tables that have a row for each thing open, each mold, person or build; they do not grow with
# the log.
SHORT = {"molds", "away", "conditions", "builds", "shops", "serials"}
# Walks along an index that ends at once, or holds only what is open.
SHORT_WALKS = {
    "SCAN entries USING INDEX entries_at",
    "SCAN castings USING INDEX castings_open",
    "SCAN batches USING INDEX batches_open",
}


def walks(connection, statement: str) -> list[str]:
    """Return the steps of a statement that look at every row of a table, or at all up to one."""
    plan = [row[3] for row in connection.execute(f"EXPLAIN QUERY PLAN {statement}")]
    return [
        step
        for step in plan
        if (step.startswith("SCAN") and step not in SHORT_WALKS and step.split()[1] not in SHORT)
        or (step.endswith("(rowid<?)") and "LIMIT" not in statement)
    ]


@pytest.fixture
def asked(tmp_path: Path) -> tuple[object, list[str]]:
    """Every statement of a day at a store: opening, logging, striking, looking."""
    path, statements = tmp_path / "floor.db", []
    with open_store(path) as store:
        store.load_shop(SHOP, source="x", at=START, person=None, station="")
        Bench(store).cast_bowl("c-1")
    with open_store(path) as store:
        store._connection.set_trace_callback(statements.append)
        bench = Bench(store)
        store.shop()
        bench.cast_bowl("c-2")
        bench.log(e.PersonLeft(who="bo"), e.MoldCaredFor(mold="bowl-1"))
        bench.log(e.StockCounted(material="powder", lot="L1", grams=5))
        bench.begin("c-3")
        (entry,) = bench.log(e.MoldReadied(casting="c-3"), expected_seq=store.last_seq())
        bench.strike(entry.seq)
        bench.strike(entry.seq - 3)
        store.latest()
        store.of_casting("c-2")
        store.new_serial(START.date())
        store._connection.set_trace_callback(None)
        yield store._connection, statements


def test_no_statement_of_a_boards_day_walks_through_a_table_that_grows(asked):
    connection, statements = asked
    kinds = {statement.split()[0] for statement in statements}
    assert {"SELECT", "INSERT", "UPDATE", "DELETE"} <= kinds
    found = {
        statement[:200]: walks(connection, statement)
        for statement in statements
        if statement.split()[0] in {"SELECT", "UPDATE", "DELETE", "INSERT"}
    }
    assert {statement: steps for statement, steps in found.items() if steps} == {}
