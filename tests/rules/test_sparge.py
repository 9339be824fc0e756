"""The sparge water."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Severity
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
)
from tests.rules.brew import found, one, rules_of

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
