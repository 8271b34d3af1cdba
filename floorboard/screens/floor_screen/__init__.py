"""The floor: who does what next, every mold, the last entries."""
