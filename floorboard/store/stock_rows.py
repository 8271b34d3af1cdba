"""What moved stock, and where it went: all read by index, however long the log is."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from floorboard.store import event_log
from floorboard.store.moments import from_text, to_text
from floorboard.store.rows import StockMove

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable, Iterable
    from contextlib import AbstractContextManager

_COLUMNS = "seq, material, lot, grams, kind, at, batch, casting, expires, cost"
_NO_LOT = ""

Lot = tuple[str, str]
NumberedMove = tuple[int, StockMove]


class StockRows:
    """Reads the stock table. Lots are (material, lot); a lot of "" is one not named."""

    def __init__(self, reading: Callable[[], AbstractContextManager[sqlite3.Connection]]) -> None:
        self._reading = reading

    def moves(self, after: int = 0) -> list[NumberedMove]:
        """Return all moves of entries after a number, with their entries', in order of the log."""
        with self._reading() as connection:
            sql = f"SELECT {_COLUMNS} FROM stock WHERE seq > ? ORDER BY seq, place"
            return _moves(connection.execute(sql, (after,)))

    def moves_of(self, material: str) -> list[NumberedMove]:
        """Return all moves of one material, in order of the log."""
        with self._reading() as connection:
            sql = f"SELECT {_COLUMNS} FROM stock WHERE material = ? ORDER BY seq, place"
            return _moves(connection.execute(sql, (material,)))

    def last(self) -> int:
        """Return the number of the log's last entry."""
        with self._reading() as connection:
            return event_log.last_seq(connection)

    def struck_since(self, seq: int) -> bool:
        """Return whether any entry was struck after this number."""
        with self._reading() as connection:
            return event_log.struck_since(connection, seq)

    def materials_with(self, lot: str, materials: Iterable[str]) -> list[str]:
        """Return those of these materials that have a lot of this name."""
        sql = "SELECT 1 FROM stock WHERE material = ? AND lot = ? LIMIT 1"
        with self._reading() as connection:
            return [key for key in materials if connection.execute(sql, (key, lot)).fetchone()]

    def batches_from(self, lot: Lot) -> list[str]:
        """Return the batches a lot went into, in order of the log."""
        with self._reading() as connection:
            sql = "SELECT batch FROM stock WHERE material = ? AND lot = ? AND batch IS NOT NULL ORDER BY seq"
            return list(dict.fromkeys(batch for (batch,) in connection.execute(sql, lot)))

    def castings_from(self, lot: Lot) -> list[str]:
        """Return the castings a lot was used on by finishing steps, in order of the log."""
        with self._reading() as connection:
            sql = (
                "SELECT casting FROM stock WHERE material = ? AND lot = ? AND casting IS NOT NULL"
                " ORDER BY seq, place"
            )
            return list(dict.fromkeys(casting for (casting,) in connection.execute(sql, lot)))

    def made_from(self, lot: Lot) -> list[Lot]:
        """Return the lots made up with something of a lot."""
        with self._reading() as connection:
            sql = (
                "SELECT made.material, made.lot FROM stock AS taken"
                " JOIN stock AS made ON made.seq = taken.seq AND made.kind = 'made up'"
                " WHERE taken.material = ? AND taken.lot = ? AND taken.kind = 'into lot'"
            )
            return list(dict.fromkeys(connection.execute(sql, lot)))

    def made_of(self, lot: Lot) -> list[Lot]:
        """Return the lots that a lot made up in the shop was made of."""
        with self._reading() as connection:
            sql = (
                "SELECT taken.material, taken.lot FROM stock AS made"
                " JOIN stock AS taken ON taken.seq = made.seq AND taken.kind = 'into lot'"
                " WHERE made.material = ? AND made.lot = ? AND made.kind = 'made up'"
            )
            return list(dict.fromkeys(connection.execute(sql, lot)))

    def weighed_into(self, batches: Iterable[str]) -> list[Lot]:
        """Return the lots that went into any of these batches, in order of the log."""
        found: dict[Lot, None] = {}
        sql = (
            "SELECT material, lot FROM stock WHERE batch = ? AND seq IN"
            " (SELECT seq FROM entries WHERE batch = ? AND kind = 'material weighed')"
            " ORDER BY seq"
        )
        with self._reading() as connection:
            for batch in batches:
                found |= dict.fromkeys(connection.execute(sql, (batch, batch)))
        return list(found)

    def used_on(self, casting: str) -> list[Lot]:
        """Return the lots of what finishing steps used on a casting."""
        with self._reading() as connection:
            sql = (
                "SELECT material, lot FROM stock WHERE casting = ? AND seq IN"
                " (SELECT seq FROM entry_castings WHERE casting = ?) ORDER BY seq"
            )
            return list(dict.fromkeys(connection.execute(sql, (casting, casting))))

    def used_by_step(self, seq: int, casting: str) -> list[tuple[str, float]]:
        """Return (material, grams) that one entry of a finishing step used on a casting."""
        with self._reading() as connection:
            sql = "SELECT material, -grams FROM stock WHERE seq = ? AND casting = ? ORDER BY place"
            return list(connection.execute(sql, (seq, casting)))

    def has_unnamed_use(self, material: str) -> bool:
        """Return whether a batch or casting took some of a material without naming its lot.

        Only of a material that has lots at all, for else there is none to name.
        """
        with self._reading() as connection:
            sql = "SELECT 1 FROM stock WHERE material = ? AND lot > ? LIMIT 1"
            if connection.execute(sql, (material, _NO_LOT)).fetchone() is None:
                return False
            sql = (
                "SELECT 1 FROM stock WHERE material = ? AND lot = ?"
                " AND (batch IS NOT NULL OR casting IS NOT NULL) LIMIT 1"
            )
            return connection.execute(sql, (material, _NO_LOT)).fetchone() is not None

    def batches_lost(self, start: dt.datetime, end: dt.datetime) -> list[str]:
        """Return the batches lost in `[start, end)`."""
        with self._reading() as connection:
            sql = "SELECT serial FROM batches WHERE lost_at >= ? AND lost_at < ? ORDER BY lost_at"
            return [serial for (serial,) in connection.execute(sql, (to_text(start), to_text(end)))]

    def castings_poured(self, batches: Iterable[str]) -> list[str]:
        """Return the castings with a layer of any of these batches, in order of the log."""
        with self._reading() as connection:
            return event_log.castings_poured(connection, batches)

    def batches_poured(self, casting: str) -> list[str]:
        """Return the batches a casting has a layer of, in order of the log."""
        with self._reading() as connection:
            return event_log.batches_poured(connection, casting)


def _moves(rows: Iterable[tuple[Any, ...]]) -> list[NumberedMove]:
    def date(text: str | None) -> dt.date | None:
        return None if text is None else dt.date.fromisoformat(text)

    return [
        (
            seq,
            StockMove(
                material, lot, grams, kind, from_text(at), batch, casting, date(expires), cost
            ),
        )
        for seq, material, lot, grams, kind, at, batch, casting, expires, cost in rows
    ]
