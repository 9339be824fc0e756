"""Finds the best plan of a dosing program: one goal after the other, each exact.

The goals in their order (`recipe-tools explain doses`): the ranges of the style are met, or missed
by as little as possible; no salt helps the mash pH, and none is a speck; the mash lies within 0.05
of its target, or else as near as the shelf allows; as few different salts as possible, the usual
ones before the others, and as little of them as possible; no acid or base that is not needed for
the target, and of it what comes nearest.

Each goal is a mixed-integer program (HiGHS, run to a zero gap); the
next one may not give up what the one before has reached. Ties are broken by the order of the shelf,
and nothing depends on time or on the number of processors, so the same input gives the same plan.

A range that is missed by no more than a check lets pass counts as met where it cannot be met in
full.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from recipe_tools.dosing.columns import RANK_COST
from recipe_tools.dosing.highs import Answer, least_cost
from recipe_tools.dosing.program import PLENTY_MG_L, UNLIMITED, Program

Met = Literal["exact", "accepted", "missed"]

KEPT = 1e-5
NEAR_PH = 0.05
"""So near its target a mash is left alone: a pocket meter reads no finer (derived_default)."""
WORTH_A_SHARE = 0.05
"""Of a bound that is missed: a check lets as much pass (derived_default)."""
_AS_NEAR_PH = 0.005
"""Given up where the target is out of reach (derived_default)."""
NO_CARE = 0.5
"""Less than anything a brewer minds costs."""
MOST_NODES = 50_000
"""Bound on the search tree; unlike a time limit it gives the same plan on every machine."""


@dataclass(frozen=True, slots=True)
class Found:
    """A plan: values by column.

    met: how well the ranges are. missed: by how much, weighted. off_ph: how far the mash is off its
    target, along the tangent.
    """

    values: tuple[float, ...]
    met: Met
    missed: float
    off_ph: float = 0.0


def search_complete(program: Program) -> Found | None:
    """Return the best plan among those that meet every range, None where there is none."""
    bounds: tuple[Met, ...] = ("exact", "accepted") if program.slacks else ("exact",)
    for met in bounds:
        solver = Solver(program, met)
        if met == "accepted":
            least = solver.best(program.missed)
            if least is None:
                return None
            solver.keep(program.missed, least.cost + KEPT)
        answer = _nearest_and_fewest(solver, program)
        if answer is not None:
            missed = _valued(program.missed, answer)
            return Found(answer.values, met, missed, _valued(program.off_ph, answer))
    return None


def search_nearest(program: Program) -> Found | None:
    """Return the plan that misses the ranges least, None where the hard rows cannot all be met.

    No dose takes anything out of its range, or further out, by more than the hard rows ask for.
    """
    solver, least = least_missed(program)
    if least is None:
        return None
    solver.keep(program.missed, least.cost + KEPT)
    answer = _nearest_and_fewest(solver, program) or least
    return Found(answer.values, "missed", least.cost, _valued(program.off_ph, answer))


def least_missed(program: Program) -> tuple[Solver, Answer | None]:
    """Return a solver that keeps to what doses need not spoil, with the plan that misses least."""
    solver = Solver(program, "missed")
    spoiled = {
        solver.beyond(column, max(slack.tolerance, slack.present)): program.missed[column]
        for column, slack in program.slacks.items()
        if slack.present is not None
    }
    least = solver.best(spoiled)
    if least is None:
        return solver, None
    solver.keep(spoiled, least.cost + KEPT)
    return solver, solver.best(program.missed)


def smallest_share(program: Program, met: Met = "accepted", *, near: bool = False) -> int | None:
    """Return the fewest steps of pure water with which every range counts as met, or None.

    met: how well. near: and the mash comes to its target, without a speck and with acid alone.
    """
    if program.share is None:
        return None
    solver = Solver(program, met)
    if near:
        solver.keep(program.care, NO_CARE)
        solver.keep(program.off_ph, NEAR_PH)
    answer = solver.best({program.share: 1.0})
    return None if answer is None else round(answer.values[program.share])


def least_missing_share(program: Program) -> int | None:
    """Return the fewest steps of pure water with which ranges are hardly missed by more than least.

    None where no plan is safe.
    """
    if program.share is None:
        return None
    solver, least = least_missed(program)
    if least is None:
        return None
    solver.keep(program.missed, least.cost + WORTH_A_SHARE)
    answer = solver.best({program.share: 1.0}) or least
    return round(answer.values[program.share])


def _valued(goal: Mapping[int, float], answer: Answer) -> float:
    return sum(weight * answer.values[column] for column, weight in goal.items())


def _nearest_and_fewest(solver: Solver, program: Program) -> Answer | None:
    """Return the best plan within the rows of a solver, None where there is none."""
    careful = solver.best(program.care)
    if careful is None:
        return None
    solver.keep(program.care, careful.cost + NO_CARE)
    near = solver.best(program.salts, within=(program.off_ph, NEAR_PH))
    if near is not None:
        solver.keep(program.off_ph, NEAR_PH)
    else:
        nearest = solver.best(program.off_ph)
        if nearest is None:
            return careful
        solver.keep(program.off_ph, nearest.cost + _AS_NEAR_PH)
        near = solver.best(program.salts) or nearest
    if program.salts:
        solver.keep(program.salts, near.cost + RANK_COST / 2.0)
        if near.cost >= RANK_COST / 2.0:
            near = solver.best(program.salt_mass) or near
            solver.keep(program.salt_mass, _valued(program.salt_mass, near) + KEPT)
    return solver.best(program.rest) or near


def least_broken(program: Program) -> tuple[float, ...] | None:
    """Return the plan that breaks the hard rows least, by column; None where there is none."""
    loose = Program(
        upper=list(program.upper),
        whole=list(program.whole),
    )
    for place, row in enumerate(program.rows):
        coefficients = dict(row.coefficients)
        if place in program.hard:
            slack = loose.add(50.0 * PLENTY_MG_L)
            above = row.high < UNLIMITED
            bound = row.high if above else row.low
            loose.missed[slack] = 1.0 / max(1.0, abs(bound))
            coefficients[slack] = -1.0 if above else 1.0
        loose.require(row.label, coefficients, row.low, row.high)
    answer = Solver(loose, "missed").best(loose.missed)
    return None if answer is None else answer.values


class Solver:
    """Holds the rows of a program as a sparse matrix; rows may be added between goals."""

    def __init__(self, program: Program, met: Met) -> None:
        upper = list(program.upper)
        if met != "missed":
            for column, slack in program.slacks.items():
                upper[column] = slack.tolerance if met == "accepted" else 0.0
        self._upper = upper
        self._whole = list(program.whole)
        self._places = [place for place, whole in enumerate(program.whole) if whole]
        self._data: list[float] = []
        self._columns: list[int] = []
        self._starts = [0]
        self._low: list[float] = []
        self._high: list[float] = []
        for row in program.rows:
            self._add(row.coefficients, row.low, row.high)

    def _add(self, coefficients: dict[int, float], low: float, high: float) -> None:
        self._columns.extend(coefficients)
        self._data.extend(coefficients.values())
        self._starts.append(len(self._columns))
        self._low.append(low)
        self._high.append(high)

    def _drop_last(self) -> None:
        self._starts.pop()
        del self._columns[self._starts[-1] :]
        del self._data[self._starts[-1] :]
        self._low.pop()
        self._high.pop()

    def keep(self, cost: dict[int, float], high: float) -> None:
        """Add a row: what a goal has reached may not be given up; nothing without costs."""
        if cost:
            self._add(cost, float("-inf"), high)

    def beyond(self, column: int, bound: float) -> int:
        """Add a column for what another lies above a bound, and return its place."""
        self._upper.append(PLENTY_MG_L)
        self._whole.append(False)
        self._add({column: 1.0, len(self._upper) - 1: -1.0}, float("-inf"), bound)
        return len(self._upper) - 1

    def best(
        self, cost: dict[int, float], within: tuple[dict[int, float], float] | None = None
    ) -> Answer | None:
        """Return the plan of least cost, None where no plan meets all rows.

        within: costs and a bound on them that holds for this once.
        """
        if within is None or not within[0]:
            return self._solved(cost)
        self._add(within[0], float("-inf"), within[1])
        answer = self._solved(cost)
        self._drop_last()
        return answer

    def _solved(self, cost: dict[int, float]) -> Answer | None:
        found = least_cost(
            [cost.get(column, 0.0) for column in range(len(self._upper))],
            self._upper,
            self._whole,
            (self._starts, self._columns, self._data),
            (self._low, self._high),
            most_nodes=MOST_NODES,
        )
        if found is None:
            return None
        values = list(found.values)
        for place in self._places:
            values[place] = float(round(values[place]))
        return Answer(tuple(values), found.cost)
