"""Shops and builds as they are kept: whole, as JSON, each under its digest."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, TypeVar

from floorboard.shop.build import Build
from floorboard.shop.shop import Shop
from floorboard.store.errors import DamagedDatabase
from floorboard.store.event_log import STANDING

if TYPE_CHECKING:
    import sqlite3

Kept = TypeVar("Kept", Build, Shop)

_CURRENT = f"""
    SELECT shops.digest, shops.json FROM entries
    JOIN shops ON shops.digest = json_extract(entries.data, '$.digest')
    WHERE {STANDING} AND kind = 'shop loaded' AND entries.struck_by IS NULL
    ORDER BY entries.seq DESC LIMIT 1
"""


class BuildShelf(Mapping[str, Build]):
    """The builds kept, by digest; each is read once."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._read: dict[str, Build] = {}

    def __getitem__(self, digest: str) -> Build:
        if digest not in self._read:
            row = self._connection.execute(
                "SELECT json FROM builds WHERE digest = ?", (digest,)
            ).fetchone()
            if row is None:
                raise KeyError(digest)
            self._read[digest] = _parsed(Build, row[0], f"The build {digest}")
        return self._read[digest]

    def __iter__(self) -> Iterator[str]:
        return iter([digest for (digest,) in self._connection.execute("SELECT digest FROM builds")])

    def __len__(self) -> int:
        return int(self._connection.execute("SELECT count(*) FROM builds").fetchone()[0])

    def keep(self, build: Build) -> str:
        """Keep a build under its digest, if it is new; inside the caller's transaction."""
        digest = build.digest()
        self._connection.execute(
            "INSERT INTO builds (digest, json) VALUES (?, ?) ON CONFLICT DO NOTHING",
            (digest, build.model_dump_json()),
        )
        return digest


def digest_of(text: str) -> str:
    """Return the name under which a text is kept: 16 hex digits of its SHA-256."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def keep_shop(connection: sqlite3.Connection, shop: Shop) -> str:
    """Keep a shop and return its digest; inside the caller's transaction."""
    text = shop.model_dump_json()
    digest = digest_of(text)
    connection.execute(
        "INSERT INTO shops (digest, json) VALUES (?, ?) ON CONFLICT DO NOTHING", (digest, text)
    )
    return digest


def shops_loaded(connection: sqlite3.Connection) -> int:
    """Return how many times a shop was loaded and that not struck."""
    sql = (
        f"SELECT count(*) FROM entries WHERE {STANDING} AND kind = 'shop loaded'"
        " AND struck_by IS NULL"
    )
    return int(connection.execute(sql).fetchone()[0])


def current_digest(connection: sqlite3.Connection) -> str | None:
    """Return the digest of the shop last loaded and not struck since."""
    row = connection.execute(_CURRENT.replace(", shops.json", "")).fetchone()
    return None if row is None else str(row[0])


def current_shop(connection: sqlite3.Connection) -> Shop | None:
    """Return the shop last loaded and not struck since."""
    row = connection.execute(_CURRENT).fetchone()
    return None if row is None else _parsed(Shop, row[1], "The shop")


def _parsed(kind: type[Kept], text: str, what: str) -> Kept:
    try:
        return kind.model_validate_json(text)
    except ValueError as error:
        raise DamagedDatabase(
            f"{what} kept in the database cannot be read ({error}). "
            "Bring back the newest backup with: floorboard restore"
        ) from error
