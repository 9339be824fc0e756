"""The model card states the numbers that the model has and reaches."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from recipe_tools.chemistry import mash_balance, suspended_bases
from recipe_tools.reference.malts import crush_factor
from tests import accuracy

CARD = files("recipe_tools").joinpath("manual", "model.md").read_text("utf-8")


@pytest.mark.parametrize("found", accuracy.comparisons(), ids=lambda found: found.name.strip())
def test_the_card_prints_the_accuracy_that_is_reached(found: accuracy.Comparison) -> None:
    row = re.search(rf"^\| {re.escape(found.name.strip())} \|(.*)\|$", CARD, re.MULTILINE)
    if row is None:
        assert found.name.startswith("  "), f"the card has no row for {found.name}"
        return
    cells = [cell.strip().replace("−", "-").rstrip(" %") for cell in row.group(1).split("|")]
    stated = [float(cell) for cell in cells]
    reached = [
        found.rows,
        found.rmse,
        found.bias,
        found.worst,
        found.coverage,
        found.half_width,
    ]
    assert stated == pytest.approx(reached, abs=0.0011)


def test_the_card_states_the_constants() -> None:
    k, effect = mash_balance.DILUTION_PH_PER_DECADE, mash_balance.CALCIUM_MAGNESIUM_EFFECT
    low, best, high = crush_factor("normal")
    assert f"| {k.best:.2f} | {k.low:.2f} to {k.high:.2f} |" in CARD
    assert f"−{100 * (1 - effect.low):.0f} to +{100 * (effect.high - 1):.0f} %" in CARD
    assert f"| {best:.2f} | {low:.2f} to {high:.2f} |" in CARD
    assert f"±{mash_balance.MODEL_ERROR_PH:.2f} pH" in CARD
    assert f"0 to {100 * mash_balance.CARBON_DIOXIDE_LOST.high:.0f} %" in CARD
    lime = suspended_bases.LIME_EFFECT
    assert f"{100 * lime.best:.0f} % ({100 * lime.low:.0f} to {100 * lime.high:.0f} %)" in CARD
