"""Where an addition goes."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Confidence, Severity
from recipe_tools.rules.examples import additions, dose, more_additions
from tests.rules.brew import found, one
from tests.rules.whole_files import STANDARDS, said

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


@pytest.mark.parametrize(
    ("late_g", "early_g", "speaks"), [(3.0, 3.0, True), (2.99, 3.0, False), (3.0, 0.0, True)]
)
def test_half_of_the_calcium_in_the_boil_is_late(
    late_g: float, early_g: float, speaks: bool
) -> None:
    doses = [dose(GYPSUM, late_g, use="add_to_boil")]
    if early_g:
        doses.append(dose(GYPSUM, early_g, step=1))
    assert bool(found(LATE, additions(*doses))) is speaks


@pytest.mark.parametrize(
    ("addition", "severity"),
    [
        (dose(GYPSUM, 1, use="add_to_package"), Severity.WARNING),
        (dose("Baking soda", 1, use="add_to_fermentation"), Severity.WARNING),
        (dose("Slaked lime", 1, use="add_to_boil"), Severity.WARNING),
        (dose("Baking soda", 1, step=2), None),
        (dose("Baking soda", 1, step=1), None),
        (dose("Epsom salt", 6, use="add_to_boil"), None),
        (dose("Table salt", 6, use="add_to_fermentation"), None),
        (dose("Sodium metabisulfite", 0.3, use="add_to_package"), None),
        (dose("Lactic acid 80 %", 3, "ml", use="add_to_fermentation"), None),
        (dose("Zymurgite", 3, use="add_to_boil"), None),
    ],
)
def test_what_comes_late_is_judged_by_what_it_is_for(
    addition: dict[str, object], severity: Severity | None
) -> None:
    items = found(LATE, more_additions(addition))
    assert [item.severity for item in items] == ([] if severity is None else [severity])


def test_a_late_dose_is_told_with_its_effect() -> None:
    soda = one(LATE, more_additions(dose("Baking soda", 3, use="add_to_boil")))
    assert soda.message == (
        "3.0 g of 'Baking soda' goes into the boil, where it cannot change the mash and only "
        "raises the pH of the wort"
    )
    salt = one(LATE, more_additions(dose(GYPSUM, 3, use="add_to_fermentation")))
    assert salt.message.endswith("goes into the fermenter, where it cannot change the mash")
    assert salt.values["stage"] == "fermenter"
    bare = {k: v for k, v in dose("Baking soda", 1, use="add_to_boil").items() if k != "amount"}
    assert "  " not in one(LATE, more_additions(bare)).message


def test_every_late_dose_is_told() -> None:
    late = more_additions(
        dose("Epsom salt", 1, step=1),
        dose("Zymurgite", 1, use="add_to_boil"),
        dose("Table salt", 1, use="add_to_boil"),
        dose("Baking soda", 1, use="add_to_boil"),
        dose("Slaked lime", 1, use="add_to_boil"),
    )
    assert [item.values["value"] for item in found(LATE, late)] == ["Baking soda", "Slaked lime"]


def test_acids_and_bases_of_one_water_are_summed_up() -> None:
    # baking soda 84.006 g/mol; 80 % lactic acid 10.27 mEq/mL at pH 5.4 (handbook density)
    rule = "addition/acid-and-base-together"
    doses = [
        dose("Lactic acid 80 %", 1, "ml", step=2),
        dose("Lactic acid 80 %", 2, "ml", step=2),
        dose("Baking soda", 1, step=2),
        dose("Baking soda", 2, step=2),
        dose("Baking soda", 5, step=1),
    ]
    item = one(rule, more_additions(*doses))
    assert item.values["value"] == "sparge"
    assert item.values["acid"] == pytest.approx(3 * 10.27, abs=0.1)
    assert item.values["base"] == pytest.approx(3000 / 84.006, abs=0.1)
    assert item.pointer.endswith("/miscellaneous_additions/4")
    assert item.related[0].pointer.endswith("/miscellaneous_additions/2")
    assert "both go into the sparge water" in item.message


def test_acid_and_base_of_both_waters_are_told_for_each() -> None:
    rule = "addition/acid-and-base-together"
    doses = [
        item
        for number in (1, 2)
        for item in (
            dose("Lactic acid 80 %", 2, "ml", step=number),
            dose("Baking soda", 1, step=number),
        )
    ]
    assert [i.values["value"] for i in found(rule, more_additions(*doses))] == ["mash", "sparge"]
    assert not found(rule, more_additions(dose("Baking soda", 2, step=1)))
    assert not found(rule, more_additions(dose("Lactic acid 80 %", 2, "ml", step=1)))


@pytest.mark.parametrize(
    ("name", "speaks"),
    [("Baking soda", True), ("Activated carbon", False), ("Potassium metabisulfite", False)],
)
def test_what_treats_the_source_needs_no_stage(name: str, speaks: bool) -> None:
    timeless = {k: v for k, v in dose(name, 1).items() if k != "timing"}
    assert bool(found("addition/stage-unknown", more_additions(timeless))) is speaks


def test_every_agent_without_a_stage_is_told_where_grain_is_mashed() -> None:
    rule = "addition/stage-unknown"
    timeless = [
        {k: v for k, v in dose(name, 1).items() if k != "timing"}
        for name in ("Zymurgite", "Epsom salt", "Baking soda")
    ]
    items = found(rule, more_additions(dose("Epsom salt", 2, step=1), *timeless))
    assert [item.values["value"] for item in items] == ["Epsom salt", "Baking soda"]
    assert not found(rule, {**more_additions(*timeless), "type": "extract", "mash": None})


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize(
    ("millilitres", "grams", "speaks"),
    # 80 % lactic acid 10.27 mEq/mL at pH 5.4 (handbook density), baking soda 11.90 mEq/g
    [(0.01, 2.0, False), (0.17, 2.0, False), (0.22, 2.0, True), (0.22, 5.0, False),
     (3.0, 0.1, False), (3.0, 0.2, True), (6.0, 0.24, False), (6.0, 0.28, True)],
)  # fmt: skip
def test_a_trace_of_acid_or_base_cancels_nothing(
    standard: str, millilitres: float, grams: float, speaks: bool
) -> None:
    rule = "addition/acid-and-base-together"
    for step in (1, 2):
        doses = (
            dose("Lactic acid 80 %", millilitres, "ml", step=step),
            dose("Baking soda", grams, step=step),
        )
        assert bool(said(standard, more_additions(*doses), rule=rule)) is speaks


def test_acid_of_unknown_strength_leaves_open_whether_it_cancels() -> None:
    # 10 to 85 % phosphoric acid: 0.3 mL are 0.3 to 4.5 mEq beside 23.8 of soda
    rule = "addition/acid-and-base-together"
    doubtful = (dose("Phosphoric acid", 0.3, "ml", step=1), dose("Baking soda", 2, step=1))
    (item,) = said("beerjson", more_additions(*doubtful), rule=rule, least=Confidence.POSSIBLE)
    assert item.confidence < Confidence.CERTAIN
