"""Finds the best plan of a dosing program: one goal after the other, each exact.

The goals in their order: the ranges of the style are missed by as little as possible; the mash
lies as near its target as the shelf allows, give or take 0.05; as few different salts as possible;
with these the mash as near its target as they allow; as little mass as possible. Each is a
mixed-integer program (HiGHS through scipy.optimize.milp, run to a zero gap); the next one may not
give up what the one before has reached. Ties are broken by the order of the shelf, so the same
input gives the same plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from recipe_tools.dosing.program import Program

KEPT = 1e-6
WORTH_A_SALT_PH = 0.05
"""A salt less is worth so much pH: a pocket meter reads no finer (derived_default)."""
PH_KEPT = 0.005


@dataclass(frozen=True, slots=True)
class Found:
    """A plan: values by column. missed: how much of the ranges is missed, weighted; 0 is met."""

    values: tuple[float, ...]
    missed: float
    off_ph: float


def search(program: Program) -> Found | None:
    """Return the best plan, None where the hard rows cannot all be met."""
    solver = _Solver(program)
    answer = solver.best(program.missed)
    if answer is None:
        return None
    missed = answer.cost
    solver.keep(program.missed, missed + KEPT)
    answer = solver.best(program.off_ph) or answer
    solver.keep(program.off_ph, answer.cost + WORTH_A_SALT_PH)
    answer = solver.best(program.used) or answer
    solver.keep(program.used, round(answer.cost) + 0.5)
    answer = solver.best(program.off_ph) or answer
    off_ph = answer.cost
    solver.keep(program.off_ph, off_ph + PH_KEPT)
    answer = solver.best(program.mass) or answer
    return Found(answer.values, missed, off_ph)


def broken_limits(program: Program) -> tuple[str, ...]:
    """Return the labels of the hard rows that cannot be met together, fewest possible."""
    loose = Program(
        columns=list(program.columns),
        upper=list(program.upper),
        whole=list(program.whole),
    )
    for place, row in enumerate(program.rows):
        coefficients = dict(row.coefficients)
        if place in program.hard:
            slack = loose.add(1e5)
            loose.missed[slack] = 1.0 / max(1.0, abs(row.high if row.high < 1e9 else row.low))
            loose.slacks[slack] = row.label
            coefficients[slack] = -1.0 if row.high < float("inf") else 1.0
        loose.require(row.label, coefficients, row.low, row.high)
    answer = _Solver(loose).best(loose.missed)
    if answer is None:
        return ()
    labels = [label for column, label in loose.slacks.items() if answer.values[column] > 1e-6]
    return tuple(dict.fromkeys(labels))


@dataclass(frozen=True, slots=True)
class _Answer:
    values: tuple[float, ...]
    cost: float


class _Solver:
    """Holds the rows as a sparse matrix; rows may be added between goals."""

    def __init__(self, program: Program) -> None:
        self._width = len(program.upper)
        self._upper = program.upper
        self._whole = [1 if whole else 0 for whole in program.whole]
        self._rows = [row.coefficients for row in program.rows]
        self._low = [row.low for row in program.rows]
        self._high = [row.high for row in program.rows]

    def keep(self, cost: dict[int, float], high: float) -> None:
        """Add a row: what a goal has reached may not be given up; nothing without costs."""
        if not cost:
            return
        self._rows.append(cost)
        self._low.append(float("-inf"))
        self._high.append(high)

    def best(self, cost: dict[int, float]) -> _Answer | None:
        """Return the plan of least cost, None where no plan meets all rows."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_matrix

        data: list[float] = []
        columns: list[int] = []
        starts = [0]
        for row in self._rows:
            columns.extend(row)
            data.extend(row.values())
            starts.append(len(columns))
        matrix = csr_matrix((data, columns, starts), shape=(len(self._rows), self._width))
        goal = np.zeros(self._width)
        for column, weight in cost.items():
            goal[column] = weight
        answer: Any = milp(
            goal,
            integrality=np.array(self._whole),
            bounds=Bounds(np.zeros(self._width), np.array(self._upper)),
            constraints=LinearConstraint(matrix, np.array(self._low), np.array(self._high)),
            options={"mip_rel_gap": 0.0, "time_limit": 20.0},
        )
        if answer.x is None:
            return None
        values = tuple(
            float(round(value)) if whole else float(value)
            for value, whole in zip(answer.x, self._whole, strict=True)
        )
        return _Answer(values, float(answer.fun))
