"""Keeps the shop and the log in SQLite. The only place that knows a database."""
