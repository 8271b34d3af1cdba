"""Keeps the shop and the log in SQLite. The only place that knows a database."""

from floorboard.store.sqlite_store import SqliteStore, open_store

__all__ = ["SqliteStore", "open_store"]
