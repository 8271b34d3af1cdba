"""The whole history as plain tables, for other programs to read.

Each has the site's name in its first column, so that several shops can be put together. Layers
and steps count from 1. The log itself is among them, struck entries included.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.floor.history_rows import PlainTable

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator

    from floorboard.floor.history_rows import ColumnKind

# Table, columns as "name kind" or "name kind = expression", and what it is read from.
_TABLES: tuple[tuple[str, str, str], ...] = (
    (
        "castings",
        "serial text; piece text; mold text; order_id text; build text; begun_at moment;"
        " begun_by text = json_extract(state, '$.begun_by'); readied_at moment;"
        " first_layer_at moment; last_layer_at moment; demolded_at moment;"
        " demolded_by text = json_extract(state, '$.demold_by'); finished_at moment;"
        " rejected_at moment; reason text; reject_layer integer = reject_layer + 1;"
        " reject_step integer = reject_step + 1; rework integer; flags integer",
        "castings ORDER BY begun_seq",
    ),
    (
        "works",
        "seq integer; kind text; casting text; number integer = CASE WHEN kind IN"
        " ('layer', 'step') THEN number + 1 END; step_kind text; piece text; mold text; mix text;"
        " batch text; person text; station text; begun_at moment; ended_at moment;"
        " shared_by integer",
        "works ORDER BY seq, place",
    ),
    (
        "batches",
        "serial text; mix text; person text; grams real; begun_at moment; wetted_at moment;"
        " made_at moment; ended_at moment; lost_at moment",
        "batches ORDER BY begun_seq",
    ),
    (
        "weighings",
        "seq integer; batch text; mix text; material text; lot text; target_grams real;"
        " grams real; at moment; person text",
        "weighings ORDER BY seq",
    ),
    (
        "stock",
        "seq integer; material text; lot text; grams real; kind text; at moment; batch text;"
        " casting text; expires day; cost real",
        "stock ORDER BY seq, place",
    ),
    (
        "readings",
        "seq integer; kind text; casting text; piece text; mold text; value real; point text;"
        " at moment; person text",
        "readings ORDER BY seq",
    ),
    (
        "flags",
        "seq integer; casting text; rule text; message text; seconds real; at moment",
        "flags ORDER BY seq, place",
    ),
    (
        "entries",
        "seq integer; id text; at moment; logged_at moment; person text; station text; kind text;"
        " version integer; data text; struck_by integer",
        "entries ORDER BY seq",
    ),
)


def plain_tables(connection: sqlite3.Connection, site: str) -> Iterator[PlainTable]:
    """Yield the tables one by one; the rows of each must be taken before the next."""
    for name, text, source in _TABLES:
        columns: list[tuple[str, ColumnKind]] = [("site", "text")]
        expressions = ["?"]
        for part in text.split(";"):
            head, _, expression = part.strip().partition(" = ")
            column, kind = head.split()
            columns.append((column, kind))  # type: ignore[arg-type]
            expressions.append(expression or column)
        rows = connection.execute(f"SELECT {', '.join(expressions)} FROM {source}", (site,))
        yield PlainTable(name, tuple(columns), rows)


def write_sqlite(connection: sqlite3.Connection, table: PlainTable) -> None:
    """Write a table into a plain database."""
    types = {"text": "TEXT", "integer": "INTEGER", "real": "REAL", "moment": "TEXT", "day": "TEXT"}
    columns = ", ".join(f'"{name}" {types[kind]}' for name, kind in table.columns)
    connection.execute(f'CREATE TABLE "{table.name}" ({columns}) STRICT')
    marks = ", ".join("?" * len(table.columns))
    connection.executemany(f'INSERT INTO "{table.name}" VALUES ({marks})', table.rows)
