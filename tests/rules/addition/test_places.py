"""Where an addition goes."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Severity
from recipe_tools.rules.examples import additions, dose, more_additions
from tests.rules.brew import found, one

GYPSUM = "Gypsum (calcium sulfate dihydrate)"
LATE = "addition/wrong-stage"


def test_a_base_in_the_boil_cannot_change_the_mash() -> None:
    late = one(LATE, more_additions(dose("Baking soda", 3, use="add_to_boil")))
    assert late.severity is Severity.WARNING
    assert not found(LATE, more_additions(dose("Baking soda", 3, step=1)))


def test_a_salt_in_the_boil_is_noted_only_where_the_mash_gets_little() -> None:
    # common practice: part of the salts in the kettle, for taste
    assert not found(LATE, more_additions(dose(GYPSUM, 2, use="add_to_boil")))
    assert one(LATE, additions(dose(GYPSUM, 6, use="add_to_boil"))).severity is Severity.NOTE


def test_gypsum_in_the_fermenter_is_a_mistake() -> None:
    late = more_additions(dose(GYPSUM, 3, use="add_to_fermentation"))
    assert one(LATE, late).severity is Severity.WARNING


@pytest.mark.parametrize("name", ["Zinc sulfate heptahydrate", "Table salt"])
def test_zinc_and_salt_may_go_into_the_kettle(name: str) -> None:
    assert not found(LATE, more_additions(dose(name, 0.2, use="add_to_boil")))


def test_acid_in_the_kettle_is_usual() -> None:
    # wort pH before the boil: common practice, no source
    assert not found(LATE, more_additions(dose("Lactic acid 80 %", 1, "ml", use="add_to_boil")))


def test_extract_beer_has_no_mash_to_miss() -> None:
    extract = {"type": "extract", "mash": None}
    late = {**more_additions(dose(GYPSUM, 3, use="add_to_boil")), **extract}
    assert not found(LATE, late)


def test_acid_and_base_cancel_each_other_only_in_the_same_water() -> None:
    rule = "addition/acid-and-base-together"
    acid, soda = dose("Lactic acid 80 %", 3, "ml", step=2), dose("Baking soda", 2, step=1)
    assert not found(rule, more_additions(acid, soda))
    both = one(rule, more_additions(dose("Lactic acid 80 %", 3, "ml", step=1), soda))
    # 2 g of baking soda are 23.8 mEq (84.006 g/mol)
    assert both.values["base"] == pytest.approx(2000 / 84.006, abs=0.2)


def test_an_agent_without_a_stage_is_counted_into_the_mash_and_that_is_said() -> None:
    timeless = {k: v for k, v in dose("Epsom salt", 1).items() if k != "timing"}
    assert found("addition/stage-unknown", more_additions(timeless))
    sulfite = {k: v for k, v in dose("Sodium metabisulfite", 0.2).items() if k != "timing"}
    assert not found("addition/stage-unknown", more_additions(sulfite))
