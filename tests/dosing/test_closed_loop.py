"""A quick part of the closed loop (see `closed_loop`)."""

from __future__ import annotations

import pytest

from recipe_tools.recipe import FormatName
from tests.dosing.closed_loop import STANDARDS, turn

SEEDS = range(7_000, 7_040)


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_plan_in_the_file_is_clean_and_nothing_is_dosed_again(standard: FormatName) -> None:
    turns = {seed: turn(seed, standard) for seed in SEEDS}
    assert {seed: found.told for seed, found in turns.items() if found.told} == {}
    closed = [found for found in turns.values() if found.outcome == "closed" and found.complete]
    assert len(closed) >= len(SEEDS) // 2, "the cases are not worth much"
