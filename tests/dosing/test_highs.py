"""The solver against programs small enough to be solved by trying all whole numbers."""

from __future__ import annotations

import itertools
import random

import pytest

from recipe_tools.dosing.highs import least_cost

MOST_NODES = 50_000


@pytest.mark.parametrize("seed", range(25))
def test_a_program_is_solved_as_by_trying_everything(
    seed: int, capfd: pytest.CaptureFixture[str]
) -> None:
    draw = random.Random(seed)
    most = [4, 5, 3]
    cost = [float(draw.randint(1, 9)) for _ in most]
    rows = [[float(draw.randint(-3, 6)) for _ in most] for _ in range(2)]
    low, high = [float(draw.randint(0, 12)), float("-inf")], [float("inf"), 20.0]
    found = least_cost(
        cost,
        [float(item) for item in most],
        [True] * len(most),
        ([0, 3, 6], [0, 1, 2, 0, 1, 2], [*rows[0], *rows[1]]),
        (low, high),
        most_nodes=MOST_NODES,
    )
    sums = [
        sum(price * steps for price, steps in zip(cost, plan, strict=True))
        for plan in itertools.product(*(range(item + 1) for item in most))
        if all(
            least <= sum(a * x for a, x in zip(row, plan, strict=True)) <= largest
            for row, least, largest in zip(rows, low, high, strict=True)
        )
    ]
    if sums:
        assert found is not None
        assert found.cost == pytest.approx(min(sums), abs=1e-6)
    else:
        assert found is None
    # What the solver would say of itself belongs into no report.
    assert capfd.readouterr() == ("", "")
