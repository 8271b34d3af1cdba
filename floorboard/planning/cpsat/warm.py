"""Load the exact engine ahead of its first use; it takes a third of a second."""

from __future__ import annotations


def warm() -> None:
    """Import the solver."""
    import ortools.sat.python.cp_model  # noqa: F401
