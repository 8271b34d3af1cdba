"""The finishing and drying queue: every casting out of its mold, and what it waits for."""
