"""The solver HiGHS for a mixed-integer program, silent, and the same on every machine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

Matrix = tuple[list[int], list[int], list[float]]
"""Row by row: where each row starts, columns, coefficients."""


@dataclass(frozen=True, slots=True)
class Answer:
    """A solution of one goal."""

    values: tuple[float, ...]
    cost: float


def least_cost(
    cost: list[float],
    upper: list[float],
    whole: Sequence[bool],
    rows: Matrix,
    bounds: tuple[list[float], list[float]],
    *,
    most_nodes: int,
) -> Answer | None:
    """Return the variables from 0 to upper of least cost whose rows lie within their bounds.

    whole: which of them are whole numbers. None where no values meet all rows, or where the search
    tree grew to most_nodes before any were found.
    """
    import highspy

    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(cost), len(bounds[0])
    model.col_cost_, model.col_lower_, model.col_upper_ = cost, [0.0] * len(cost), upper
    model.row_lower_, model.row_upper_ = bounds
    matrix = model.a_matrix_
    matrix.format_ = highspy.MatrixFormat.kRowwise
    matrix.num_col_, matrix.num_row_ = len(cost), len(bounds[0])
    matrix.start_, matrix.index_, matrix.value_ = rows
    kinds = highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger
    model.integrality_ = [kinds[item] for item in whole]
    solver = _silent()()
    for name, value in (
        ("output_flag", False),
        ("mip_rel_gap", 0.0),
        ("mip_max_nodes", most_nodes),
        ("threads", 1),
    ):
        solver.setOptionValue(name, value)
    solver.passModel(model)
    solver.run()
    if solver.getInfo().primal_solution_status != highspy.kSolutionStatusFeasible:
        return None
    return Answer(tuple(solver.getSolution().col_value), solver.getObjectiveValue())


@cache
def _silent() -> Any:
    """Return the class of the solver without its callbacks, with which it announces itself."""
    import highspy

    class Silent(highspy.Highs):
        def enableCallbacks(self) -> None:  # noqa: N802 - as it is called there
            self.silent()

    return Silent
