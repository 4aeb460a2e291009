"""A linear programme over the corners of all parts, written row by row and solved by GLOP."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ortools.linear_solver import linear_solver_pb2, pywraplp


class Programme:
    """Variables with bounds and costs, and rows between bounds; the sum of costs is made least.

    Rows go straight into the solver's own message, which is several times quicker than to set
    coefficients one by one: a search presses layouts some hundred times.
    """

    def __init__(self) -> None:
        self._model = linear_solver_pb2.MPModelProto()
        self.x: list[int] = []  # columns of the parts' corners, across
        self.y: list[int] = []  # and along

    def variable(self, low: float, high: float = math.inf, cost: float = 0.0) -> int:
        """Add a variable; returns its column."""
        self._model.variable.add(lower_bound=low, upper_bound=high, objective_coefficient=cost)
        return len(self._model.variable) - 1

    def row(
        self, columns: Sequence[int], shares: Sequence[float], *, low: float, high: float = math.inf
    ) -> None:
        """Keep ``sum(share * variable)`` between two bounds; every column stands in it once."""
        self._model.constraint.add(var_index=columns, coefficient=shares, lower_bound=low, upper_bound=high)

    def solve(self) -> list[float] | None:
        """Values of all variables, None where no values keep every row."""
        solver = pywraplp.Solver.CreateSolver("GLOP")
        solver.LoadModelFromProto(self._model)
        if solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        return [variable.solution_value() for variable in solver.variables()]
