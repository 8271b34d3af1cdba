"""Plain tables as Parquet files, one a table, for warehouses and data frames."""

from __future__ import annotations

import os
from itertools import islice
from typing import TYPE_CHECKING, Any

from floorboard.shop.errors import FloorboardError

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from floorboard.floor.history_rows import PlainTable

ROWS_AT_ONCE = 50_000


class NoParquet(FloorboardError):
    """What writes Parquet is not installed."""


def write_parquet(folder: Path, tables: Iterable[PlainTable]) -> dict[str, int]:
    """Write each table as `folder/table.parquet` and return how many rows each has.

    Raises
    ------
    NoParquet
        If pyarrow is not installed.
    """
    try:
        import pyarrow.parquet as pq
    except ImportError:
        raise NoParquet(
            "Parquet needs pyarrow. Install it with: pip install 'floorboard[parquet]', "
            "or export a SQLite file."
        ) from None
    folder.mkdir(parents=True, exist_ok=True)
    counts: dict[str, int] = {}
    for table in tables:
        path = folder / f"{table.name}.parquet"
        half = path.with_name(f"{path.name}.part")
        schema, counts[table.name] = _schema(table), 0
        with pq.ParquetWriter(half, schema) as writer:
            rows = iter(table.rows)
            while some := list(islice(rows, ROWS_AT_ONCE)):
                writer.write_table(_arrow(table, some, schema))
                counts[table.name] += len(some)
        os.replace(half, path)
    return counts


def _schema(table: PlainTable) -> Any:
    import pyarrow as pa

    types = {
        "text": pa.string(),
        "integer": pa.int64(),
        "real": pa.float64(),
        "moment": pa.timestamp("us", tz="UTC"),
        "day": pa.date32(),
    }
    return pa.schema([(name, types[kind]) for name, kind in table.columns])


def _arrow(table: PlainTable, rows: list[Any], schema: Any) -> Any:
    import datetime as dt

    import pyarrow as pa

    read = {"moment": dt.datetime.fromisoformat, "day": dt.date.fromisoformat}
    columns = []
    for place, (_, kind) in enumerate(table.columns):
        values = [row[place] for row in rows]
        if kind in read:
            values = [None if value is None else read[kind](value) for value in values]
        columns.append(pa.array(values, type=schema.field(place).type))
    return pa.Table.from_arrays(columns, schema=schema)
