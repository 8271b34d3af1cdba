"""What is kept: the event log and the shop in SQLite. The only place that knows a database."""
