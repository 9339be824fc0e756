"""The sparge water."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Confidence, Example, Severity
from recipe_tools.rules.examples import (
    SPARGE_STEP,
    STRIKE_STEP,
    dose,
    mash_steps,
    more_additions,
    quantity,
    together,
    water,
    well,
    well_with,
    xml_file,
)
from recipe_tools.rules.sparge import sparge_surplus
from tests.rules.brew import all_findings, checked, day_of, found, one, rules_of

IONS = ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate")
HCO3_PER_CACO3 = 61.016 / 50.043


def alkaline(as_caco3: float) -> dict[str, object]:
    """Return a patch whose water has such an alkalinity, in mg/L as CaCO3."""
    bicarbonate = as_caco3 * HCO3_PER_CACO3
    return well_with(bicarbonate=bicarbonate, calcium=25 + (bicarbonate - 52) / 61.016 * 20.04)


@pytest.mark.parametrize(
    ("as_caco3", "severity"), [(45, None), (60, Severity.NOTE), (160, Severity.WARNING)]
)
def test_alkalinity_is_judged_from_fifty(as_caco3: float, severity: Severity | None) -> None:
    # common practice, from memory: under 50 mg/L as CaCO3
    items = found("sparge/alkalinity-high", alkaline(as_caco3))
    assert [item.severity for item in items] == ([] if severity is None else [severity])


def test_pure_water_needs_no_acid_whatever_its_ph() -> None:
    pure = water(well("Distilled water", 30, **dict.fromkeys(IONS, 0.0)))
    assert not {rule for rule in rules_of(pure) if rule.startswith("sparge/")}


def test_acid_that_takes_up_the_alkalinity_settles_the_matter() -> None:
    # 60 mg/L as CaCO3 in 15.5 L are 18.6 mEq; 80 % lactic acid gives 10.3 mEq/mL (handbook density,
    # pKa 3.86): 1.7 mL bring the water to about pH 5.2
    treated = together(alkaline(60), more_additions(dose("Lactic acid 80 %", 1.7, "ml", step=2)))
    assert not {rule for rule in rules_of(treated) if rule.startswith("sparge/")}


def test_too_little_acid_is_told_by_the_ph_it_leaves() -> None:
    little = more_additions(dose("Lactic acid 80 %", 0.3, "ml", step=2))
    assert one("sparge/ph-high", little).values["value"] > 6.0


@pytest.mark.parametrize(("celsius", "speaks"), [(76, False), (78, False), (82, True), (98, False)])
def test_sparging_above_78_degrees_is_warned_of_but_hot_liquor_is_not(
    celsius: float, speaks: bool
) -> None:
    # common practice, from memory: 76 to 78 °C; near boiling it is an infusion to mash out
    hot = mash_steps(STRIKE_STEP, {**SPARGE_STEP, "step_temperature": quantity(celsius, "C")})
    assert bool(found("sparge/temperature-high", hot)) is speaks


def test_baking_soda_belongs_into_the_mash() -> None:
    assert found("sparge/base-added", more_additions(dose("Baking soda", 3, step=2)))
    assert not found("sparge/base-added", more_additions(dose("Baking soda", 3, step=1)))


def test_without_a_sparge_there_is_nothing_to_say() -> None:
    no_sparge = together(alkaline(160), mash_steps({**STRIKE_STEP, "amount": quantity(28, "l")}))
    assert not {rule for rule in rules_of(no_sparge) if rule.startswith("sparge/")}


@pytest.mark.parametrize(("millilitres", "alarmed"), [(1.3, False), (3.0, False), (6.0, True)])
def test_acid_beyond_the_alkalinity_is_too_much(millilitres: float, alarmed: bool) -> None:
    # 52 mg/L bicarbonate are 0.85 mEq/L: 13.2 mEq in 15.5 L. Lactic acid of 80 % brings 10.27 mEq
    # per millilitre at pH 5.4 (handbook density): 1.3, 30.8 and 61.6 mEq, a surplus of nothing,
    # 1.1 and 3.1 mEq/L
    patch = more_additions(dose("Lactic acid 80 %", millilitres, "ml", step=2))
    assert bool(found("sparge/acid-overshoots", patch)) == alarmed


def test_ten_times_the_strength_in_the_sparge_is_noticed() -> None:
    # phosphoric acid of 10 % (1.09 mEq/mL) suits, of 85 % (14.9 mEq/mL) it does not
    unnamed = more_additions(dose("Phosphoric acid", 12, "ml", step=2))
    assert "addition/strength-missing" in rules_of(unnamed)
    named = more_additions(dose("Phosphoric acid 85 %", 12, "ml", step=2))
    assert "sparge/acid-overshoots" in rules_of(named)
    assert not {"addition/strength-missing", "sparge/acid-overshoots"} & rules_of(
        more_additions(dose("Phosphoric acid 10 %", 12, "ml", step=2))
    )


def test_a_strength_that_decides_nothing_is_not_asked_for() -> None:
    # 80 or 88 %: the sparge water loses its alkalinity either way
    assert "addition/strength-missing" not in rules_of(
        more_additions(dose("Lactic acid", 1.3, "ml", step=2))
    )


@pytest.mark.parametrize(
    ("as_caco3", "severity"),
    [(50.3, None), (50.8, Severity.NOTE), (99.8, Severity.NOTE), (100.3, Severity.WARNING)],
)
def test_alkalinity_is_a_note_from_half_a_milligram_above_its_limit_and_grave_above_twice_it(
    as_caco3: float, severity: Severity | None
) -> None:
    items = found("sparge/alkalinity-high", alkaline(as_caco3))
    assert [item.severity for item in items] == ([] if severity is None else [severity])


def test_alkalinity_that_only_may_be_too_high_is_told_by_its_upper_end() -> None:
    rule = "sparge/alkalinity-high"
    (item,) = [item for item in all_findings(alkaline(48)) if item.rule == rule]
    assert item.confidence is Confidence.POSSIBLE
    said = "The alkalinity of the sparge water may be above 50 mg/L as CaCO3 (best value 48, "
    assert item.message.startswith(said)
    assert f" to {item.values['high']})" in item.message
    certain = one(rule, alkaline(60)).message
    assert "sparge water is 60 mg/L as CaCO3 (most likely " in certain


def test_acid_takes_its_part_of_the_alkalinity_before_it_is_judged() -> None:
    # 120 mg/L as CaCO3 in 15.5 L are 37.2 mEq; half a millilitre of 80 % lactic acid gives 5.3 mEq
    little = more_additions(dose("Lactic acid 80 %", 0.5, "ml", step=2))
    item = one("sparge/alkalinity-high", together(alkaline(120), little))
    assert item.values["value"] == pytest.approx(120 - 0.5 * 10.5 / 15.5 * 50.04, abs=2)
    assert "The alkalinity of the sparge water after its acid is" in item.message
    assert item.values["high"] > item.values["value"] > item.values["low"]
    in_mash = more_additions(dose("Lactic acid 80 %", 0.5, "ml", step=1))
    plain = one("sparge/alkalinity-high", together(alkaline(120), in_mash))
    assert plain.values["value"] == 120
    assert "after its acid" not in plain.message


@pytest.mark.parametrize(("celsius", "speaks"), [(78.4, False), (78.6, True), (94.5, True)])
def test_a_sparge_is_too_hot_from_half_a_degree_above_its_limit(
    celsius: float, speaks: bool
) -> None:
    hot = mash_steps(STRIKE_STEP, {**SPARGE_STEP, "step_temperature": quantity(celsius, "C")})
    assert bool(found("sparge/temperature-high", hot)) is speaks


def test_hot_liquor_of_95_degrees_is_an_infusion() -> None:
    hot = mash_steps(STRIKE_STEP, {**SPARGE_STEP, "step_temperature": quantity(95, "C")})
    assert not found("sparge/temperature-high", hot)


def test_the_temperature_of_a_mash_step_is_none_of_the_sparge() -> None:
    hot = mash_steps({**STRIKE_STEP, "step_temperature": quantity(85, "C")}, SPARGE_STEP)
    assert not found("sparge/temperature-high", hot)


def test_a_hot_sparge_is_told_once() -> None:
    hot = {**SPARGE_STEP, "step_temperature": quantity(85, "C")}
    twice = mash_steps(STRIKE_STEP, hot, hot)
    assert one("sparge/temperature-high", twice).pointer.endswith("/1/step_temperature")


def test_the_sparge_temperature_of_beerxml_stands_in_the_mash() -> None:
    data = xml_file().replace(b"<SPARGE_TEMP>75<", b"<SPARGE_TEMP>85<")
    findings = checked(Example("", raw=data)).findings
    (item,) = [item for item in findings if item.rule == "sparge/temperature-high"]
    assert item.pointer.endswith("/MASH/SPARGE_TEMP")
    assert item.values["value"] == 85.0


def test_ph_is_judged_only_where_acid_leaves_enough_alkalinity() -> None:
    # 52 mg/L of bicarbonate are 42.6 mg/L as CaCO3; 0.3 mL of acid leave 32 of them, above 25
    rule = "sparge/ph-high"

    def speaks(millilitres: float, **options: float) -> bool:
        patch = more_additions(dose("Lactic acid 80 %", millilitres, "ml", step=2))
        return bool(found(rule, patch, {"rules": {rule: {"options": options}}}))

    assert speaks(0.3)
    assert speaks(0.05)
    assert not speaks(0.3, alkalinity_from=33)
    assert speaks(0.3, alkalinity_from=32)
    assert not speaks(0.3, ph_above=6.9)
    assert not found(rule)
    assert not found(rule, more_additions(dose("Lactic acid 80 %", 0.3, "ml", step=1)))


def test_the_acid_of_the_sparge_is_named_and_not_that_of_the_mash() -> None:
    acids = more_additions(
        dose("Lactic acid 80 %", 1, "ml", step=1), dose("Lactic acid 88 %", 10, "ml", step=2)
    )
    item = one("sparge/acid-overshoots", acids)
    assert item.message.startswith("Lactic acid 88 % 10.0 mL brings")
    assert item.pointer.endswith("/miscellaneous_additions/3/amount")
    little = more_additions(
        dose("Lactic acid 80 %", 0.1, "ml", step=1), dose("Lactic acid 88 %", 0.25, "ml", step=2)
    )
    assert one("sparge/ph-high", little).message.startswith("With Lactic acid 88 % 0.2 mL")


def test_acids_of_the_sparge_add_up() -> None:
    # 0.852 mEq/L of alkalinity; 80 % lactic acid brings 10.27 mEq/mL
    acid = dose("Lactic acid 80 %", 2, "ml", step=2)
    surplus = sparge_surplus(day_of(more_additions(acid, acid, dose("Epsom salt", 1, step=2))))
    assert surplus is not None
    assert surplus.best == pytest.approx(4 * 10.27 / 15.5 - 0.852, abs=0.02)
    assert sparge_surplus(day_of()) is None
    assert sparge_surplus(day_of(more_additions(dose("Lactic acid 80 %", 2, "ml", step=1)))) is None


def test_a_surplus_speaks_from_a_tenth_above_what_passes() -> None:
    rule = "sparge/acid-overshoots"
    patch = more_additions(dose("Lactic acid 80 %", 5, "ml", step=2))
    surplus = sparge_surplus(day_of(patch))
    assert surplus is not None

    def speaks(limit: float) -> bool:
        return bool(found(rule, patch, {"rules": {rule: {"options": {"surplus": limit}}}}))

    assert speaks(surplus.best - 0.11)
    assert not speaks(surplus.best - 0.09)


def test_chalk_in_the_sparge_is_a_base_and_a_neutral_salt_is_none() -> None:
    rule = "sparge/base-added"
    assert found(rule, more_additions(dose("Slaked lime", 0.5, step=2)))
    assert found(rule, more_additions(dose("Baking soda", 0.05, step=2)))
    assert not found(rule, more_additions(dose("Epsom salt", 1, step=2)))
