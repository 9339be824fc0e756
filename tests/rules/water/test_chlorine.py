"""Chlorine: said only where it is stated, and settled by what really removes it."""

from __future__ import annotations

import periodictable
import pytest

from recipe_tools.rules.examples import additions, dose, more_additions
from tests.rules.brew import found, rules_of

ALL_WATER_L = 28.5
UNTREATED = "water/chlorine-untreated"
CHLORINE = {"water": {"chlorine_mg_l": 1.0}}
CHLORAMINE = {"water": {"chlorine_mg_l": 1.0, "chloramine": True}}
SULFITE_PER_CL2 = periodictable.formula("Na2S2O5").mass / 2 / periodictable.formula("Cl2").mass
"""1.341 mg of sodium metabisulfite (two HSO3-) per mg of chlorine."""


def sulfite(share: float) -> dict[str, object]:
    """Return a share of the stoichiometric dose for 1 mg/L in all water."""
    grams = share * SULFITE_PER_CL2 * ALL_WATER_L / 1000
    return more_additions(dose("Sodium metabisulfite", grams))


def test_nothing_is_said_where_nobody_states_chlorine() -> None:
    assert not found(UNTREATED)


def test_stated_chlorine_without_treatment_is_warned_of() -> None:
    assert found(UNTREATED, config=CHLORINE)
    assert found(UNTREATED, config=CHLORAMINE)


@pytest.mark.parametrize("agent", ["Sodium metabisulfite", "Ascorbic acid", "Campden tablet"])
def test_any_usual_treatment_settles_free_chlorine(agent: str) -> None:
    assert not found(UNTREATED, more_additions(dose(agent, 0.2)), CHLORINE)


def test_ascorbic_acid_does_not_settle_chloramine() -> None:
    # Basu & De Souza 2011: ineffective for monochloramine
    ascorbic = more_additions(dose("Ascorbic acid", 0.3))
    assert found("water/chloramine-treatment", ascorbic, CHLORAMINE)
    assert not found("water/chloramine-treatment", ascorbic, CHLORINE)
    assert not found("water/chloramine-treatment", sulfite(1.1), CHLORAMINE)


@pytest.mark.parametrize(
    ("share", "speaks"), [(1.0, False), (1.2, False), (0.9, True), (0.2, True)]
)
def test_the_dose_of_sulfite_follows_the_chlorine(share: float, speaks: bool) -> None:
    assert bool(found("addition/sulfite-dose-low", sulfite(share), CHLORINE)) is speaks


def test_a_traces_of_chlorine_need_no_treatment() -> None:
    assert not found(UNTREATED, additions(), {"water": {"chlorine_mg_l": 0.02}})


def test_sulfite_is_judged_by_the_threshold_of_the_label() -> None:
    # Regulation (EU) 1169/2011 Annex II and 21 CFR 130.9: 10 mg/L as SO2
    so2 = 2 * periodictable.formula("SO2").mass / periodictable.formula("Na2S2O5").mass
    zero = {"water": {"chlorine_mg_l": 0.0}}

    def speaks(left_mg_l: float) -> bool:
        grams = left_mg_l / so2 * ALL_WATER_L / 1000
        patch = more_additions(dose("Sodium metabisulfite", grams))
        return "addition/sulfite-dose-high" in rules_of(patch, zero)

    assert not speaks(9.5)
    assert speaks(10.5)


def test_half_a_tablet_for_twenty_litres_is_usual() -> None:
    # common practice, no source: one tablet of 0.44 g treats about 75 L, twice that does no harm
    usual = more_additions(dose("Campden tablet (sodium metabisulfite)", 0.22))
    assert "addition/sulfite-dose-high" not in rules_of(usual)
