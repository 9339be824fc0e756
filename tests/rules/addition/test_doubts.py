"""An ambiguity is reported where a verdict hangs on it, and nowhere else."""

from __future__ import annotations

import re
from typing import Any

import periodictable
import pytest

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.findings import Example
from recipe_tools.rules.addition.readings import as_volume, what_hangs_on
from recipe_tools.rules.examples import (
    STRIKE_STEP,
    additions,
    dose,
    mash_steps,
    more_additions,
    step,
    together,
    well_with,
    xml_file,
    xml_misc,
)
from tests.rules.brew import all_findings, checked, day_of, found, one

HYDRATE = "addition/hydrate-ambiguous"
GYPSUM = dose("Gypsum (calcium sulfate dihydrate)", 3, step=1)


def chloride(name: str, grams: float) -> dict[str, object]:
    """Return the plain salts with so much of a calcium chloride."""
    return additions(GYPSUM, dose(name, grams, step=1))


def test_a_small_unnamed_dose_changes_nothing_and_is_passed_over() -> None:
    assert not found(HYDRATE, chloride("Calcium chloride", 1.5))


def test_a_dose_at_a_limit_is_reported() -> None:
    # anhydrous brings 1.325 times the ions of the dihydrate; the style ends at 100 mg/L chloride
    factor = periodictable.formula("CaCl2(H2O)2").mass / periodictable.formula("CaCl2").mass
    assert factor == pytest.approx(1.325, abs=0.001)
    grams = 0.9 * (100 - 22) * 28.5 / 482.3  # as dihydrate below 100, as anhydrous above
    item = one(HYDRATE, chloride("Calcium chloride", grams))
    assert "chloride" in item.message


@pytest.mark.parametrize(
    "name", ["Calcium chloride dihydrate", "CaCl2·2H2O", "Calcium chloride anhydrous"]
)
def test_a_named_hydrate_is_never_doubted(name: str) -> None:
    assert not found(HYDRATE, chloride(name, 4.5))


def test_a_bottle_on_the_shelf_settles_the_hydrate() -> None:
    shelf = {"shelf": [{"agent": "calcium chloride dihydrate", "form": "solid"}]}
    assert found(HYDRATE, chloride("Calcium chloride", 4.5))
    assert not found(HYDRATE, chloride("Calcium chloride", 4.5), shelf)


def test_an_acid_without_strength_is_asked_about() -> None:
    # in trade: lactic 80 and 88 %, phosphoric 10, 75 and 85 %
    item = one("addition/strength-missing", more_additions(dose("Phosphoric acid", 5, "ml")))
    assert (item.values["low"], item.values["high"]) == (10, 85)


@pytest.mark.parametrize("name", ["Lactic acid 88%", "Milchsäure 80 %", "Phosphoric acid 10 % w/w"])
def test_a_named_strength_is_taken(name: str) -> None:
    assert not found("addition/strength-missing", more_additions(dose(name, 2, "ml")))


def test_a_drop_of_acid_moves_nothing_whatever_its_strength() -> None:
    assert not found("addition/strength-missing", more_additions(dose("Lactic acid", 0.3, "ml")))


def test_grams_of_33_percent_may_be_flakes_or_a_solution() -> None:
    # real files carry this name in grams and in millilitres
    assert found("addition/solution-or-solid", chloride("Calcium chloride (CaCl2) 33 %", 8))
    as_solution = additions(GYPSUM, dose("Calcium chloride (CaCl2) 33 %", 8, "ml", step=1))
    assert not found("addition/solution-or-solid", as_solution)
    named = chloride("Calcium chloride solution 33 %", 8)
    assert not found("addition/solution-or-solid", named)


def test_with_unknown_water_no_limit_can_decide() -> None:
    unknown: dict[str, Any] = {"ingredients": {"water_additions": []}}
    assert not found(HYDRATE, together(chloride("Calcium chloride", 4.5), unknown))


def test_a_doubt_names_the_water_the_salt_goes_into() -> None:
    item = one(HYDRATE, together(chloride("Calcium chloride", 4.5), well_with(calcium=25)))
    assert item.related[0].pointer.endswith("/mash_steps/0")


def test_a_salt_is_told_by_the_ion_whose_limit_lies_between_its_readings() -> None:
    # 22 mg/L of the well and, of 4.5 g, 482.3 mg/g as dihydrate or 638.9 mg/g anhydrous
    item = one(HYDRATE, chloride("Calcium chloride", 4.5))
    assert item.message == (
        "'Calcium chloride' may be calcium chloride dihydrate or calcium chloride anhydrous, "
        "counted as the first; depending on the reading chloride is 98 or 123 mg/L, the limit 100"
    )


@pytest.mark.parametrize(("limit", "speaks"), [(97, False), (99, True), (122, True), (124, False)])
def test_an_end_of_the_style_decides_only_between_the_readings(limit: float, speaks: bool) -> None:
    config = {
        "style": {
            "blonde_and_golden_ales": {"chloride": [0.0, limit], "calcium": [0.0, 400.0]},
        }
    }
    assert bool(found(HYDRATE, chloride("Calcium chloride", 4.5), config)) is speaks


def test_a_lower_end_decides_for_calcium_alone() -> None:
    # 25 mg/L, 3 g of gypsum and 2.5 g: as dihydrate 73.4 mg/L of calcium, anhydrous 81.2
    def speaks(**ranges: list[float]) -> bool:
        usual = {"calcium": [0.0, 400.0], "chloride": [0.0, 400.0]}
        config = {"style": {"blonde_and_golden_ales": {**usual, **ranges}}}
        return bool(found(HYDRATE, chloride("Calcium chloride", 2.5), config))

    assert not speaks()
    assert speaks(calcium=[77.0, 400.0])
    assert not speaks(chloride=[72.0, 400.0])
    assert speaks(chloride=[0.0, 72.0])


@pytest.mark.parametrize(("native", "limit"), [(50, 200), (150, 300)])
def test_the_limits_for_every_style_decide_too(native: float, limit: float) -> None:
    # 8 g bring 135 mg/L of chloride as dihydrate and 179 anhydrous
    # reference table brewing_ion_ranges: chloride 200 and 300 mg/L, marked derived_default
    wide = {
        "style": {"blonde_and_golden_ales": {"chloride": [0.0, 900.0], "calcium": [0.0, 900.0]}}
    }
    patch = together(chloride("Calcium chloride", 8), well_with(chloride=native))
    item = one(HYDRATE, patch, wide)
    assert item.message.endswith(f"the limit {limit:g}")


def test_the_ph_decides_where_the_strength_of_an_acid_moves_it_over_an_edge() -> None:
    # 5 mL of phosphoric acid: 10 % (1.053 kg/L) are 5.4 mmol, 85 % (1.685 kg/L, handbook) 73.1;
    # near pH 5.4 each gives one proton; the mash buffers 35 mEq/(kg pH), 4.2 kg (Troester 2009)
    patch = more_additions(dose("Phosphoric acid", 5, "ml", step=1))
    item = one("addition/strength-missing", patch)
    readings = re.search(r"the mash pH is ([0-9.]+) or ([0-9.]+), the limit 5\.2$", item.message)
    assert readings is not None
    low, high = float(readings[1]), float(readings[2])
    prediction = day_of(patch).prediction
    assert prediction is not None
    assert high == pytest.approx(prediction.ph, abs=0.006)
    assert high - low == pytest.approx((73.1 - 5.4) / 35 / 4.2, rel=0.04)
    assert "(sold at 10, 75 or 85 %); 10 % is taken, and the mash pH" in item.message


def test_calcium_lowers_the_ph_by_kolbach_where_its_form_is_open() -> None:
    # a calcium chloride so much that only the pH may decide: ranges as wide as one likes
    wide = {"style": {"blonde_and_golden_ales": {"chloride": [0.0, 9e3], "calcium": [0.0, 9e3]}}}
    day = day_of(chloride("Calcium chloride", 4.5), wide)
    (salt,) = [i for i in day.doses if i.addition.name == "Calcium chloride"]
    assert day.prediction is not None
    # dihydrate 27.26 % of calcium, anhydrous 36.11 %; 20.04 mg/mEq, 3.5 calcium for one proton
    more = 4500 * (0.3611 - 0.2726) / 20.04 / 3.5
    fall = more / 35 / 4.2
    edge = day.prediction._replace(ph=5.2 + 0.9 * fall)
    assert what_hangs_on(day._replace(prediction=edge), salt).startswith("the mash pH is ")
    edge = day.prediction._replace(ph=5.2 + 1.1 * fall)
    assert what_hangs_on(day._replace(prediction=edge), salt) == ""
    edge = day.prediction._replace(ph=5.6 + 0.9 * fall)
    assert what_hangs_on(day._replace(prediction=edge), salt).endswith("the limit 5.6")
    edge = day.prediction._replace(ph=5.6 - 0.001)
    assert what_hangs_on(day._replace(prediction=edge), salt) == ""
    assert what_hangs_on(day._replace(prediction=None), salt) == ""


def sparge_acid(millilitres: float, *more: dict[str, object]) -> dict[str, object]:
    """Return the plain salts, phosphoric acid of no strength in the sparge, and more."""
    acid = dose("Phosphoric acid", millilitres, "ml", step=2)
    return more_additions(acid, *more)


def test_the_alkalinity_that_stays_in_the_sparge_decides() -> None:
    # 120 mg/L as CaCO3 in 15.5 L are 37.2 mEq: 10 mL of 10 % acid (10.9 mEq) leave 85 mg/L, of
    # 85 % (149 mEq) none; the limit is 50
    alkaline = well_with(calcium=55, bicarbonate=146.3)
    item = one("addition/strength-missing", together(alkaline, sparge_acid(10)))
    assert "the sparge water keeps 0 or 85 mg/L of alkalinity, the limit 50" in item.message


def test_other_acid_of_the_sparge_is_taken_off_before_the_strength_is_judged() -> None:
    # 2 mL of 80 % lactic acid take 20.5 of the 37.2 mEq: 10 % acid then leaves 19 mg/L
    alkaline = well_with(calcium=55, bicarbonate=146.3)
    lactic = dose("Lactic acid 80 %", 2, "ml", step=2)
    in_mash = dose("Lactic acid 80 %", 2, "ml", step=1)

    def message(*more: dict[str, object]) -> str:
        return one("addition/strength-missing", together(alkaline, sparge_acid(10, *more))).message

    assert "keeps 0 or 85 mg/L" in message(in_mash)
    assert "keeps" not in message(lactic)
    assert "mg/L as CaCO3 more acid than it can use, the limit 100" in message(lactic)


def test_a_surplus_of_acid_in_the_sparge_decides() -> None:
    # 42.6 mg/L as CaCO3, below the limit of 50, are 0.85 mEq/L; 5 mL: 0.35 or 4.8 mEq/L of acid
    item = one("addition/strength-missing", sparge_acid(5))
    found_ = re.search(r"gets ([0-9.]+) or ([0-9.]+) mg/L as CaCO3 more", item.message)
    assert found_ is not None
    assert float(found_[1]) == 0.0
    assert float(found_[2]) == pytest.approx(50.04 * (73.1 / 15.5 - 0.85), abs=7.5)
    assert not found("addition/strength-missing", sparge_acid(2))


def test_the_strength_counts_by_its_factor_where_nothing_can_be_judged() -> None:
    # lactic acid 80 and 88 %: a factor of 1.1; phosphoric 10 and 85 %: 8.5
    rule = "addition/strength-missing"
    unknown: dict[str, Any] = {"ingredients": {"water_additions": []}}

    def speaks(name: str, use: dict[str, Any], factor: float, known: bool = False) -> bool:
        acid = {**dose(name, 0.2, "ml"), **use}
        patch = together(more_additions(acid), {} if known else unknown)
        return bool(found(rule, patch, {"rules": {rule: {"options": {"factor": factor}}}}))

    for use in ({"timing": {"use": "add_to_mash", "step": n}} for n in (1, 2)):
        assert speaks("Phosphoric acid", use, 8.5)
        assert not speaks("Phosphoric acid", use, 8.6)
        assert not speaks("Lactic acid", use, 1.5)
        assert speaks("Lactic acid", use, 1.05)
        assert not speaks("Lactic acid", use, 1.05, known=True)
    boil = {"timing": {"use": "add_to_boil"}}
    strong = together(more_additions({**dose("Phosphoric acid", 0.2, "ml"), **boil}))
    assert one(rule, strong).message.endswith("(sold at 10, 75 or 85 %); 10 % is taken")
    assert speaks("Phosphoric acid", boil, 1.5, known=True)
    assert not speaks("Lactic acid", boil, 1.5, known=True)


def test_a_sparge_without_a_volume_is_no_reason_to_fail() -> None:
    dry = mash_steps(STRIKE_STEP, step("Sparge", "sparge", None, 75))
    spoken = all_findings(together(sparge_acid(5), dry))
    assert "addition/strength-missing" in {item.rule for item in spoken}
    assert not [item for item in spoken if item.rule.startswith("internal/")]


def test_every_doubt_is_told_and_not_only_the_first() -> None:
    both = additions(
        dose("Calcium chloride", 0.1, step=1),
        GYPSUM,
        dose("Calcium chloride", 4.4, step=1),
        dose("Phosphoric acid", 0.01, "ml", step=1),
        dose("Phosphoric acid", 5, "ml", step=1),
    )
    assert [i.pointer.rpartition("/")[0][-1] for i in found(HYDRATE, both)] == ["2"]
    assert [i.pointer.rpartition("/")[0][-1] for i in found("addition/strength-missing", both)] == [
        "4"
    ]
    forms = additions(
        GYPSUM,
        dose("Calcium chloride (CaCl2) 33 %", 0.1, step=1),
        dose("Calcium chloride (CaCl2) 33 %", 8, step=1),
    )
    assert [
        i.pointer.rpartition("/")[0][-1] for i in found("addition/solution-or-solid", forms)
    ] == ["2"]


FLAG = "addition/mass-flag-contradiction"


def test_the_flag_of_a_solid_is_put_right_by_a_fix_that_has_to_be_looked_at() -> None:
    data = xml_file(xml_misc("Gypsum (calcium sulfate dihydrate)", "0.004", "FALSE"))
    (item,) = [i for i in checked(Example("", raw=data)).findings if i.rule == FLAG]
    (edit,) = item.edits
    assert (edit.replacement, edit.pointer, edit.keeps_meaning) == ("TRUE", item.pointer, False)
    assert item.pointer.endswith("/AMOUNT_IS_WEIGHT")


def test_a_spoon_of_powder_in_beerjson_has_no_flag_to_mend() -> None:
    spoon = more_additions(dose("Gypsum (calcium sulfate dihydrate)", 6, "ml", step=1))
    item = one(FLAG, spoon)
    assert item.edits == ()
    assert item.pointer.endswith("/miscellaneous_additions/2/amount")


def test_with_unknown_water_a_volume_of_powder_is_always_asked_about() -> None:
    spoon = more_additions(dose("Gypsum (calcium sulfate dihydrate)", 0.5, "ml", step=1))
    assert not found(FLAG, spoon)
    item = one(FLAG, together(spoon, {"ingredients": {"water_additions": []}}))
    assert item.message.endswith("is taken")


def test_powder_weighs_what_its_density_says() -> None:
    # powders weigh 0.6 to 1.3 kg/L (from memory)
    (salt,) = [i for i in day_of(chloride("Epsom salt", 4)).doses if "Epsom" in i.addition.name]
    spoon = as_volume(salt, Estimate(0.6, 1.0, 1.3))
    brought = salt.ions_mg["magnesium"].best
    assert spoon.ions_mg["magnesium"] == pytest.approx((0.6 * brought, brought, 1.3 * brought))
    (soda,) = [i for i in day_of(chloride("Baking soda", 4)).doses if "soda" in i.addition.name]
    spoon = as_volume(soda, Estimate(0.6, 1.0, 1.3))
    base = soda.alkalinity_meq.best
    assert spoon.alkalinity_meq == pytest.approx((0.6 * base, base, 1.3 * base))
    (acid,) = [i for i in day_of(chloride("Citric acid", 4)).doses if "acid" in i.addition.name]
    spoon = as_volume(acid, Estimate(0.6, 1.0, 1.3))
    assert spoon.acid_meq.low == pytest.approx(0.6 * acid.acid_meq.low)
    assert spoon.acid_meq.high == pytest.approx(1.3 * acid.acid_meq.high)
    # a density on one side of water never takes the best value out of its band
    heavy = as_volume(salt, Estimate(1.1, 1.2, 1.3)).ions_mg["magnesium"]
    assert heavy == pytest.approx((brought, brought, 1.3 * brought))
    light = as_volume(salt, Estimate(0.6, 0.7, 0.8)).ions_mg["magnesium"]
    assert light == pytest.approx((0.6 * brought, brought, brought))
