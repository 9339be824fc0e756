"""What a brewer would shake the head at does not stand in a plan (see `shares`)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from recipe_tools.brewday import plan
from recipe_tools.chemistry.estimate import exactly
from recipe_tools.chemistry.mash_ph import predict
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing import propose
from recipe_tools.dosing.mash_rows import MEASURED_ALKALINITY_MEQ_L, MEASURED_CALCIUM_MG_L
from tests.dosing.cases import case, read_recipe
from tests.dosing.shares import shares

DRAWN = 60


def test_salts_are_for_ions_and_acid_is_for_ph() -> None:
    found = shares(DRAWN)
    for kind in (
        "a calcium for pH",
        "b specks",
        "c two acids",
        "d extrapolation",
        "e missed, no limit named",
    ):
        assert found[kind] == [], kind
    assert len(found["plans with doses"]) > DRAWN // 2, "the cases are not worth much"


@pytest.mark.parametrize(
    ("acid", "grams_per_mole", "limit"),
    [("citric_acid_monohydrate", 210.14, 200.0), ("phosphoric_acid", 97.99, 1000.0)],
)
def test_an_acid_is_not_tasted(acid: str, grams_per_mole: float, limit: float) -> None:
    # mmol of the acid times the molar mass of what it leaves (citrate 191.1, phosphate 97.0).
    left = {"citric_acid_monohydrate": 191.12, "phosphoric_acid": 96.99}[acid]
    strength = None if acid.startswith("citric") else 75.0
    shelf = (ShelfItem("gypsum"), ShelfItem(acid, strength_percent=strength))
    reached = 0.0
    for seed in range(40):
        drawn = case(seed)
        body = {**drawn.body, "ingredients": {**drawn.body["ingredients"]}}
        body["ingredients"]["miscellaneous_additions"] = []
        recipe = read_recipe(body)
        proposal = propose(recipe, Options(shelf=shelf), replace(drawn.request, replace=True))
        if proposal.before.soured_by:
            continue
        grams = sum(i.steps * i.stock.substance_g for i in proposal.doses if i.stock.is_acid)
        assert recipe.batch_l is not None
        tasted = 1000.0 * grams / grams_per_mole * left / recipe.batch_l
        reached = max(reached, tasted)
        assert tasted <= limit + 1.0
    assert reached > 0.3 * limit


@pytest.mark.parametrize("above", [False, True])
def test_the_model_calls_beyond_what_a_plan_keeps_to(above: bool) -> None:
    mash = plan(case(0).recipe(), Options()).mash_input
    assert mash is not None
    by = 0.1 if above else -0.1
    calcium = exactly((MEASURED_CALCIUM_MG_L + by) / 20.039)
    alkalinity = exactly(MEASURED_ALKALINITY_MEQ_L + by)
    words = predict(mash._replace(calcium_meq_l=calcium, alkalinity_meq_l=alkalinity)).warnings
    assert any("calcium" in text for text in words) == above
    assert any("alkalinity" in text for text in words) == above
