"""What can be wrong with a scheduling network before any solving."""

from __future__ import annotations

from floorboard.shop.errors import FloorboardError


class PlanningError(FloorboardError):
    """A plan or a network cannot be worked with; the message says what to change."""


class NetworkError(PlanningError):
    """A network contradicts its own definitions (an index out of range, a negative length)."""
