"""Sulfite against chlorine and chloramine."""

from __future__ import annotations

import pytest

from recipe_tools.brewday import plan
from recipe_tools.checking import catalogue, check_bytes
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing import Proposal, Request, propose
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    additions,
    document,
    dose,
    merge_patch,
    more_additions,
)
from recipe_tools.water_advice.advice import dechlorination as water_dechlorination
from recipe_tools.water_report import report_from_table
from tests.dosing.cases import read_recipe, with_plan

SODIUM = ShelfItem("sodium_metabisulfite")
POTASSIUM = ShelfItem("potassium_metabisulfite")
TABLET = ShelfItem("campden_tablet_sodium")
ASCORBIC = ShelfItem("ascorbic_acid")
ACID = ShelfItem("lactic_acid", strength_percent=80.0)
LITRES = 28.5
"""All water of the plain recipe: 13.0 L of strike and 15.5 L of sparge water."""


def planned(
    *shelf: ShelfItem, chlorine: float = 1.0, chloramine: bool = False, patch: object = None
) -> Proposal:
    body = merge_patch(PLAIN_RECIPE, patch or {})
    options = Options(shelf=shelf, chlorine_mg_l=chlorine, chloramine=chloramine)
    return propose(read_recipe(body), options)


@pytest.mark.parametrize(
    ("item", "mg_per_mg"),
    [
        # mg of salt to remove 1 mg of chlorine, from a table of field guides for pipelines, which
        # includes a tenth of surplus; 1.341 and 1.568 by the equation.
        (SODIUM, 1.47),
        (POTASSIUM, 1.72),
        (TABLET, 1.47),
    ],
)
def test_the_dose_is_that_of_the_field_guides(item: ShelfItem, mg_per_mg: float) -> None:
    sulfite = planned(item, ACID).dechlorination
    assert sulfite is not None
    assert sulfite.litres == pytest.approx(LITRES)
    assert 1000.0 * sulfite.grams == pytest.approx(mg_per_mg * LITRES, rel=0.015)


def test_every_command_says_one_figure() -> None:
    # 1.47 mg of the sodium and 1.72 of the potassium salt per mg of chlorine, as above
    report = report_from_table({"alkalinity": "2 mmol/L", "chlorine": "1 mg/L"})
    answer = water_dechlorination(report, LITRES)
    assert answer is not None
    for item, advised in zip((SODIUM, POTASSIUM), answer.doses, strict=True):
        sulfite = planned(item, ACID).dechlorination
        assert sulfite is not None and advised.grams is not None
        assert sulfite.grams == pytest.approx(advised.grams, abs=0.0005)
    for rule in ("water/chlorine-untreated", "addition/sulfite-dose-low"):
        assert "1.47 mg/L of sodium" in catalogue()[rule].remedy
        assert "1.72 of the potassium" in catalogue()[rule].remedy
    # a trace that needs no sulfite gets none from either
    trace = report_from_table({"alkalinity": "2 mmol/L", "chlorine": "0.04 mg/L"})
    assert water_dechlorination(trace, LITRES) is None
    assert planned(SODIUM, ACID, chlorine=0.04).dechlorination is None


def test_a_dose_too_small_for_the_scale_goes_by_a_solution() -> None:
    sulfite = planned(SODIUM, ACID).dechlorination
    assert sulfite is not None
    # 1.475 mg/L x 28.5 L = 42 mg: 4.2 mL of 1 g in 100 mL.
    assert not sulfite.direct
    assert sulfite.solution_ml == pytest.approx(4.2)
    assert sulfite.grams == pytest.approx(0.042)
    tablet = planned(TABLET, ACID).dechlorination
    assert tablet is not None
    # 42 mg of the 440 mg in 100 mL.
    assert tablet.tablet
    assert tablet.solution_ml == pytest.approx(9.6, abs=0.051)


def test_a_fine_scale_weighs_it() -> None:
    fine = ShelfItem("sodium_metabisulfite", scale_g=0.001)
    sulfite = planned(fine, ACID).dechlorination
    assert sulfite is not None
    assert sulfite.direct
    assert sulfite.grams == pytest.approx(0.042)


def test_old_powder_counts_by_its_purity() -> None:
    old = ShelfItem("sodium_metabisulfite", purity_percent=70.0)
    sulfite = planned(old, ACID).dechlorination
    assert sulfite is not None
    assert sulfite.grams == pytest.approx(0.042 / 0.7, abs=0.001)


def test_ascorbic_acid_is_second_choice_and_none_against_chloramine() -> None:
    both = planned(ASCORBIC, SODIUM, ACID).dechlorination
    assert both is not None
    assert both.agent.kind == "sulfite"
    alone = planned(ASCORBIC, ACID).dechlorination
    assert alone is not None
    assert alone.agent.id == "ascorbic_acid"
    chloramine = planned(ASCORBIC, ACID, chloramine=True)
    assert chloramine.dechlorination is None
    assert any("chloramine" in text and "metabisulfite" in text for text in chloramine.missing)


def test_what_is_not_on_the_shelf_is_said() -> None:
    proposal = planned(ACID)
    assert proposal.dechlorination is None
    assert any("no sulfite is on the shelf" in text for text in proposal.missing)


def test_treated_water_gets_nothing_more() -> None:
    treated = more_additions(dose("Sodium metabisulfite", 0.045))
    assert planned(SODIUM, ACID, patch=treated).dechlorination is None
    filtered = more_additions(dose("Activated carbon", 50))
    named = {"notes": "Brewed with tap water from the carbon filter."}
    assert planned(SODIUM, ACID, patch=named).dechlorination is None
    assert planned(SODIUM, ACID, patch=named, chloramine=True).dechlorination is not None
    assert planned(SODIUM, ACID, patch=filtered).dechlorination is None
    assert planned(SODIUM, ACID, patch=filtered, chloramine=True).dechlorination is not None


def test_too_little_sulfite_is_made_up() -> None:
    short = more_additions(dose("Sodium metabisulfite", 0.02))
    sulfite = planned(SODIUM, ACID, patch=short).dechlorination
    assert sulfite is not None
    # 20 mg remove 20/1.341/28.5 = 0.52 mg/L, 0.48 mg/L are left: 0.48 x 1.475 x 28.5 = 20 mg.
    assert 1000.0 * sulfite.grams == pytest.approx(20.0, abs=0.6)


def test_no_chlorine_no_sulfite() -> None:
    assert planned(SODIUM, ACID, chlorine=0.0).dechlorination is None
    assert planned(SODIUM, ACID, chlorine=0.04).dechlorination is None


def test_sulfite_is_replaced_with_the_rest() -> None:
    body = merge_patch(PLAIN_RECIPE, additions(dose("Sodium metabisulfite", 2.0)))
    options = Options(shelf=(SODIUM, ACID), chlorine_mg_l=1.0)
    proposal = propose(read_recipe(body), options, Request(replace=True))
    assert proposal.dechlorination is not None
    assert proposal.dechlorination.grams == pytest.approx(0.042)


def test_a_check_of_the_written_plan_finds_the_water_treated() -> None:
    options = Options(shelf=(SODIUM, ACID), chlorine_mg_l=1.0, chloramine=True)
    body = dict(PLAIN_RECIPE)
    proposal = propose(read_recipe(body), options)
    written = document(with_plan(body, proposal))
    found = {item.rule for item in check_bytes(written, "x.json", options).findings}
    assert not {rule for rule in found if "chlor" in rule or "sulfite" in rule}
    assert "water/chlorine-untreated" in {
        item.rule for item in check_bytes(document(body), "x.json", options).findings
    }


def test_the_sodium_of_the_sulfite_counts() -> None:
    proposal = planned(SODIUM, ACID, chlorine=4.0)
    assert proposal.dechlorination is not None
    untreated = plan(read_recipe(dict(PLAIN_RECIPE)), Options())
    assert untreated.total is not None
    assert proposal.after is not None
    assert proposal.after.total is not None
    # Na2S2O5 is 2 x 22.99/190.1 = 24.2 % sodium: 4 x 1.475 x 0.242 = 1.43 mg/L.
    before = untreated.total.ions_mg_l["sodium"].best
    assert proposal.after.total.ions_mg_l["sodium"].best == pytest.approx(before + 1.43, abs=0.1)
