"""Limits, cross-checks, sulfite, acid and dilution."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools.checking import check_water
from recipe_tools.config import ShelfItem
from recipe_tools.water_advice.advice import (
    CHLORAMINE_CAUTION,
    acid_demand,
    dechlorination,
    dilution,
)
from recipe_tools.water_report import WaterReport, report_from_table

SOUND: dict[str, Any] = {
    "calcium": 62,
    "magnesium": 9.5,
    "sodium": 21,
    "chloride": 34,
    "sulfate": 52,
    "nitrate": 4.3,
    "alkalinity": "2.65 mmol/L",
    "ph": 7.5,
    "chlorine": 0,
}


def water(**rows: Any) -> WaterReport:
    return report_from_table({**SOUND, **rows})


def found(report: WaterReport) -> dict[str, str]:
    return {
        item.rule.partition("/")[2]: item.severity.word
        for item in check_water(report)
        if item.severity is not None
    }


def test_a_sound_report_has_no_findings() -> None:
    assert found(water()) == {}


@pytest.mark.parametrize(
    ("row", "severity"),
    [
        # WHO Guidelines, 4th ed. with addenda: 50 mg/L as NO3, 3 as NO2, fluoride 1.5.
        ({"nitrate": "51 mg/L"}, "error"),
        ({"nitrate": "11.6 mg/L as N"}, "error"),
        ({"nitrite": 3.1}, "error"),
        ({"fluoride": 1.6}, "error"),
        ({"lead": 0.011}, "error"),
    ],
)
def test_limits_of_drinking_water(row: dict[str, Any], severity: str) -> None:
    assert found(water(**row))["ion-above-drinking-limit"] == severity


@pytest.mark.parametrize(
    ("row", "rule"),
    [
        # 40 CFR 143.3 and the Directive: taste, staining and corrosion.
        ({"ammonium": 0.6}, "taste-limit"),
        ({"sodium": 210, "chloride": 325}, "taste-limit"),
        ({"total_dissolved_solids": 610}, "taste-limit"),
        # iron and manganese are judged for brewing first, as in a recipe
        ({"iron": 0.25}, "iron-high"),
        ({"manganese": 0.07}, "manganese-high"),
    ],
)
def test_what_is_no_matter_of_health(row: dict[str, Any], rule: str) -> None:
    items = found(water(**row))
    assert rule in items
    assert "ion-above-drinking-limit" not in items
    assert (rule == "taste-limit") is ("taste-limit" in items)


@pytest.mark.parametrize(
    ("row", "rule"),
    [
        # Directive (EU) 2020/2184: lead 0.005, nitrite 0.5; 40 CFR 141: nitrate 10 as N = 44.3
        ({"lead": 0.007}, "limit-of-another-body"),
        ({"nitrite": 0.6}, "nitrite-high"),
        ({"nitrate": 46, "calcium": 76}, "nitrate-high"),
    ],
)
def test_limits_of_other_bodies_are_told(row: dict[str, Any], rule: str) -> None:
    assert found(water(**row)) == {rule: "warning"}


@pytest.mark.parametrize(
    ("chlorine", "chloramine", "body"),
    [
        # WHO: chlorine 5, monochloramine 3 as NH2Cl = 4.13 as Cl2; 40 CFR 141: 4.0 as Cl2 for both
        ("0.4 mg/L", False, None),
        ("3.9 mg/L", False, None),
        ("4.1 mg/L", False, "US EPA"),
        ("5.1 mg/L", False, "WHO"),
        ("3.5 mg/L", True, None),
        ("2.5 mg/L as NH2Cl", True, None),
        ("3 mg/L as NH2Cl", True, "US EPA"),
        ("3.1 mg/L as NH2Cl", True, "WHO"),
    ],
)
def test_disinfectants_are_compared_on_one_basis(
    chlorine: str, chloramine: bool, body: str | None
) -> None:
    items = check_water(water(chlorine=chlorine, chloramine=chloramine))
    rules = {"water/ion-above-drinking-limit", "water/limit-of-another-body"}
    passed = [item for item in items if item.rule in rules]
    assert [item.values["body"] for item in passed] == ([] if body is None else [body])
    # sulfite takes it out before anything is brewed: no error, and never a limit of taste
    assert all(item.severity is not None and item.severity.word == "warning" for item in passed)
    assert "taste-limit" not in found(water(chlorine=chlorine, chloramine=chloramine))


def test_nitrate_and_nitrite_share_one_limit() -> None:
    # WHO: 40/50 + 1/3 = 1.13
    assert found(water(nitrate=40, nitrite=1.0, calcium=74))["nitrate-with-nitrite"] == "error"
    assert "nitrate-with-nitrite" not in found(water(nitrate=20, nitrite=1.0, calcium=67))


def test_dissolved_solids_against_the_ions() -> None:
    # 0.6 x 132.6 (as CaCO3) + 21 + 62 + 9.5 + 34 + 52 + 4.3 = 262 mg/L, by hand (1030 E)
    assert "dissolved-solids" not in found(water(total_dissolved_solids=285))
    assert found(water(total_dissolved_solids=420))["dissolved-solids"] == "note"
    assert found(water(total_dissolved_solids=180))["dissolved-solids"] == "note"


def test_conductivity_against_the_ions() -> None:
    # Sums of about 4.8 mEq/L: 480 µS/cm within about 10 % (1030 E)
    assert "conductivity" not in found(water(conductivity=480))
    assert found(water(conductivity=900))["conductivity"] == "note"
    assert found(water(conductivity=200))["conductivity"] == "note"


def test_ions_that_do_not_balance_are_one_cause_of_many_gaps() -> None:
    items = found(water(calcium=160, total_dissolved_solids=285, conductivity=480))
    assert items.keys() == {"charge-imbalance"}


def test_solids_and_conductivity_against_each_other() -> None:
    # 1030 E: 0.55 to 0.7 mg/L per µS/cm
    assert "conductivity" not in found(water(conductivity=480, total_dissolved_solids=290))
    assert "conductivity" in found(water(conductivity=480, total_dissolved_solids=480))


def test_softened_water() -> None:
    # Hardness exchanged: 3.88 mEq/L x 22.99 mg = 89 mg/L more sodium.
    assert found(water(calcium=1, magnesium=0.3, sodium=21 + 88))["hardness-softened"] == "warning"


def test_chlorine_that_nobody_states_is_asked_for() -> None:
    rows = {key: value for key, value in SOUND.items() if key != "chlorine"}
    assert set(found(report_from_table(rows))) == {"chlorine-not-stated"}


def test_sulfite_by_stoichiometry_plus_a_tenth() -> None:
    # Na2S2O5 190.11 g/mol takes 2 Cl2 (70.90): 1.341 mg per mg; K2S2O5 222.32: 1.568 mg.
    answer = dechlorination(water(chlorine=1.0), 30.0)
    assert answer is not None
    sodium, potassium = answer.doses
    assert sodium.mg_l == pytest.approx(1.1 * 1.341, rel=1e-3)
    assert potassium.mg_l == pytest.approx(1.1 * 1.568, rel=1e-3)
    # Field guides for disinfecting pipelines list 1.47 mg per mg.
    assert sodium.mg_l == pytest.approx(1.47, abs=0.01)
    assert sodium.grams == pytest.approx(30 * sodium.mg_l / 1000)
    # A tablet of 0.44 g active mass in 75.7 L is 5.81 mg/L: the usual one for 20 US gal.
    assert sodium.tablets == pytest.approx(sodium.mg_l / 5.81 * 30 / 75.7, rel=1e-2)
    assert sodium.stock_ml == pytest.approx(sodium.mg_l * 30 / 10)
    # Per mg of chlorine: sulfate 1.355, chloride 0.500 mg.
    assert sodium.brings_mg_l["sulfate"] == pytest.approx(1.355, abs=0.002)
    assert sodium.brings_mg_l["chloride"] == pytest.approx(0.500, abs=0.001)
    assert "ammonium" not in sodium.brings_mg_l
    assert sodium.sulfur_dioxide_mg_l < 10.0


def test_chloramine_leaves_ammonium_and_ascorbic_acid_is_warned_of() -> None:
    answer = dechlorination(water(chlorine=1.0, chloramine=True), None)
    assert answer is not None
    # Per mg as Cl2: 18.04/70.90 = 0.254 mg NH4
    assert answer.doses[0].brings_mg_l["ammonium"] == pytest.approx(0.254, abs=0.001)
    assert answer.doses[0].grams is None
    assert CHLORAMINE_CAUTION in answer.cautions
    assert any("asthma" in caution for caution in answer.cautions)
    assert any("same day" in caution for caution in answer.cautions)


def test_no_chlorine_needs_no_sulfite() -> None:
    assert dechlorination(water(chlorine=0), 30.0) is None


@pytest.mark.parametrize(
    ("from_ph", "to_ph", "fraction"),
    [
        # Part of the alkalinity that acid takes up, first dissociation of carbonic acid only
        # (pK1 6.35 at 25 °C, Plummer & Busenberg 1982): 1/(1 + 10^(pH - pK1)) at the end less the
        # same at the start, over the fraction that is bicarbonate at the start.
        (7.5, 6.0, 0.68),
        (7.5, 5.5, 0.88),
        (8.0, 5.5, 0.88),
        (7.0, 5.2, 0.92),
    ],
)
def test_acid_is_a_fraction_of_the_alkalinity(
    from_ph: float, to_ph: float, fraction: float
) -> None:
    answer = acid_demand(water(ph=from_ph), to_ph, None)
    assert answer.meq_l.best / 2.65 == pytest.approx(fraction, abs=0.02)


def test_millilitres_of_acid_against_published_strengths() -> None:
    # mEq per mL near pH 5.4 to 5.6, handbook densities and pKa (from memory): lactic acid 88 %
    # 11.5, 80 % 10.3, phosphoric acid 10 % 1.10, hydrochloric 10 % 2.87, sulfuric 10 % 2.17.
    answer = acid_demand(water(), 5.5, 20.0)
    strengths = {(dose.agent, dose.strength_percent): dose for dose in answer.doses}
    for key, meq_ml in [
        (("lactic_acid", 88.0), 11.5),
        (("lactic_acid", 80.0), 10.3),
        (("phosphoric_acid", 10.0), 1.10),
        (("hydrochloric_acid", 10.0), 2.87),
        (("sulfuric_acid", 10.0), 2.17),
    ]:
        assert answer.meq_l.best / strengths[key].per_l == pytest.approx(meq_ml, rel=0.01)
        assert strengths[key].amount == pytest.approx(20.0 * strengths[key].per_l)
    # Mineral acids leave 35.45 mg chloride and 48.03 mg sulfate per mEq.
    chloride = strengths["hydrochloric_acid", 10.0].leaves_mg_l
    assert chloride / answer.meq_l.best == pytest.approx(35.45, rel=1e-3)
    sulfate = strengths["sulfuric_acid", 10.0].leaves_mg_l
    assert sulfate / answer.meq_l.best == pytest.approx(48.03, rel=1e-3)


def test_hazards_are_those_of_the_strength() -> None:
    shelf = (
        ShelfItem("phosphoric_acid", "solution", 10.0),
        ShelfItem("phosphoric_acid", "solution", 85.0),
        ShelfItem("gypsum", "solid"),
    )
    weak, strong = acid_demand(water(), 5.5, None, shelf).doses
    # CLP: irritant from 10 %, corrosive (H314) from 25 % phosphoric acid.
    assert "H314" not in weak.hazard
    assert "H314" in strong.hazard
    assert "Goggles" in strong.advice


def test_water_that_is_sour_enough_needs_no_acid() -> None:
    answer = acid_demand(water(ph=6.0), 6.5, 20.0)
    assert answer.meq_l.best == 0.0
    assert answer.doses == ()


def test_dilution_by_the_mixing_rule() -> None:
    # Reverse osmosis water of 10 mg/L HCO3 (0.164 mEq/L): (1.0 - 0.164)/(2.65 - 0.164) = 0.336
    answer = dilution(water(), 1.0, 20.0)
    assert answer.tap_share == pytest.approx(0.336, abs=0.001)
    assert answer.ions_mg_l["bicarbonate"] == pytest.approx(61.016, abs=0.01)
    assert answer.ions_mg_l["sulfate"] == pytest.approx(0.336 * 52 + 0.664 * 1.0, abs=0.1)


def test_distilled_water_goes_lower_than_reverse_osmosis() -> None:
    answer = dilution(water(), 0.1, None)
    assert answer.pure == "distilled water"
    assert answer.tap_share == pytest.approx(0.1 / 2.65)


def test_no_dilution_upwards() -> None:
    assert dilution(water(), 5.0, 20.0).tap_share == 1.0
