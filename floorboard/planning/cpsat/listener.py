"""Hears of every solution the engine finds. Imports OR-Tools, so import it inside functions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

if TYPE_CHECKING:
    from collections.abc import Callable


class Listener(cp_model.CpSolverSolutionCallback):
    """Passes on a way to read values, for every solution found."""

    def __init__(self, found: Callable[[Callable[[object], int]], None]) -> None:
        super().__init__()
        self._found = found

    def on_solution_callback(self) -> None:
        """Pass the solution on."""
        self._found(self._read)

    def _read(self, expression: object) -> int:
        return expression if isinstance(expression, int) else int(self.value(expression))  # type: ignore[arg-type]
