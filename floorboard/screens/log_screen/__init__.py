"""The log: search, read, strike."""
