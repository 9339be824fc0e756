"""Limits of single ions. Doses are worked out from molar masses, limits from the works named."""

from __future__ import annotations

import periodictable
import pytest

from recipe_tools.findings import Severity
from recipe_tools.reference import city_waters
from recipe_tools.rules.examples import (
    additions,
    dose,
    merge_patch,
    more_additions,
    style,
    together,
    well_with,
)
from tests.rules.brew import all_findings, found, one, rules_of

ALL_WATER_L = 28.5
"""13 L of strike and 15.5 L of sparge water of the plain recipe."""


def share(formula: str, element: str, count: int = 1) -> float:
    """Return grams of an element (or count of them) per gram of a compound."""
    atom = getattr(periodictable, element).mass
    return float(count * atom / periodictable.formula(formula).mass)


@pytest.mark.parametrize(
    ("name", "formula", "element", "ion", "native"),
    [
        ("Epsom salt", "MgSO4(H2O)7", "Mg", "magnesium", 4.0),
        ("Table salt", "NaCl", "Na", "sodium", 12.0),
    ],
)
def test_a_dose_is_judged_by_what_its_molar_mass_brings(
    name: str, formula: str, element: str, ion: str, native: float
) -> None:
    item = one(f"ions/{ion}-high", more_additions(dose(name, 15, step=1)))
    expected = native + 15_000 * share(formula, element) / ALL_WATER_L
    assert item.values["value"] == pytest.approx(expected, rel=0.01)


def test_magnesium_above_125_is_an_error_because_it_is_laxative() -> None:
    # Noonan, Brewing Lager Beer: laxative above about 125 mg/L
    grams = (126 - 4) * ALL_WATER_L / 1000 / share("MgSO4(H2O)7", "Mg")
    over = one("ions/magnesium-high", more_additions(dose("Epsom salt", grams * 1.03)))
    under = one("ions/magnesium-high", more_additions(dose("Epsom salt", grams * 0.90)))
    assert (over.severity, under.severity) == (Severity.ERROR, Severity.WARNING)


@pytest.mark.parametrize(
    "water", [c for c in city_waters() if c.city == "Plzeň"], ids=lambda c: c.source[:20]
)
def test_the_soft_water_of_pilsen_is_right_for_its_beer(water: object) -> None:
    # Noonan; Wahl & Henius 1902; Briggs et al. 2004: 7 to 10 mg/L of calcium
    calcium = water.ions_mg_l["calcium"]  # type: ignore[attr-defined]
    soft = well_with(calcium=calcium, magnesium=3, sodium=3, chloride=5, sulfate=5, bicarbonate=25)
    lager = together(soft, additions(), style("Czech Premium Pale Lager", 3, "B"))
    assert not found("ions/calcium-low", lager)
    assert found("ions/calcium-low", together(soft, additions(), style("American IPA", 21, "A")))


def test_calcium_below_20_is_a_warning_and_below_the_style_a_note() -> None:
    # Briggs et al. 2004 (from memory): liquors hold 20 to 150 mg/L
    def severity(calcium: float) -> Severity | None:
        water = well_with(calcium=calcium, bicarbonate=30 + 2 * calcium)
        return one("ions/calcium-low", together(water, additions())).severity

    assert severity(15) is Severity.WARNING
    assert severity(30) is Severity.NOTE


def test_the_chloride_of_historic_stout_water_is_accepted_in_stout_only() -> None:
    # Jeffery, Brewing Theory and Practice (1950s): stout 142 to 249 mg/L chloride
    water = well_with(calcium=60, sodium=90, chloride=240, sulfate=46, bicarbonate=15)
    assert not found(
        "ions/chloride-high", together(water, additions(), style("Irish Stout", 15, "B"))
    )
    assert found("ions/chloride-high", together(water, additions()))


def test_sulfate_above_a_taste_limit_is_information_where_the_style_wants_it() -> None:
    # 40 CFR 143.3: 250 mg/L by taste. Jeffery (1950s): pale ale 186 to 473 mg/L
    gypsum = more_additions(dose("Gypsum (calcium sulfate dihydrate)", 14, step=1))
    assert one("ions/sulfate-high", gypsum).severity is Severity.NOTE
    assert not found("ions/sulfate-high", together(gypsum, style("Best Bitter", 11, "B")))


@pytest.mark.parametrize(
    "water", [c for c in city_waters() if c.city.startswith("Burton")], ids=lambda c: c.source[:20]
)
def test_burton_water_is_never_passed_over(water: object) -> None:
    # sulfate 638 to 820 mg/L: beyond what Taylor 2006 gives for dry bitter beers (100 to 400)
    ions = dict(water.ions_mg_l)  # type: ignore[attr-defined]
    patch = together(
        well_with(**ions, bicarbonate=300), additions(), style("Strong Bitter", 11, "C")
    )
    assert one("ions/sulfate-high", patch).severity in (Severity.WARNING, Severity.ERROR)


def test_salt_is_an_ingredient_of_gose() -> None:
    # BJCP Style Guidelines 2021, 23G: salt is part of the style
    salted = more_additions(dose("Table salt", 15))
    gose = rules_of(together(salted, style("Gose", 23, "G")))
    assert not gose & {"ions/sodium-high", "ions/chloride-high", "ions/sodium-with-sulfate"}


def test_sodium_is_judged_more_strictly_beside_much_sulfate() -> None:
    # Goldammer, The Brewer's Handbook (from memory): harsh with high sulfate
    water = well_with(sodium=85, bicarbonate=235)
    gypsum = more_additions(dose("Gypsum (calcium sulfate dihydrate)", 12, step=1))
    assert found("ions/sodium-with-sulfate", together(water, gypsum))
    assert not found("ions/sodium-with-sulfate", water)


def test_potassium_of_a_salt_counts_though_no_water_record_states_potassium() -> None:
    item = one("ions/potassium-high", more_additions(dose("Potassium chloride", 5)))
    assert item.values["value"] == pytest.approx(5000 * share("KCl", "K") / ALL_WATER_L, rel=0.01)


@pytest.mark.parametrize(
    ("ion", "accepted", "warned"),
    [
        # Kunze and Briggs et al. (from memory); 40 CFR 143.3; Directive (EU) 2020/2184
        ("iron", 0.1, 0.2),
        ("nitrate", 25.0, 40.0),
        ("nitrite", 0.1, 0.3),
    ],
)
def test_traces_are_accepted_up_to_their_limit(ion: str, accepted: float, warned: float) -> None:
    assert not found(f"ions/{ion}-high", well_with(**{ion: accepted}))
    assert found(f"ions/{ion}-high", well_with(**{ion: warned}))


def test_iron_that_stains_is_an_error() -> None:
    # 40 CFR 143.3: 0.3 mg/L
    assert one("ions/iron-high", well_with(iron=0.4)).severity is Severity.ERROR


def test_the_largest_contribution_is_named_and_the_others_are_related() -> None:
    gypsum = "Gypsum (calcium sulfate dihydrate)"
    item = one("ions/sulfate-high", more_additions(dose(gypsum, 14, step=1)))
    assert "most of it from Gypsum (calcium sulfate dihydrate) 14.0 g" in item.message
    assert item.pointer.endswith("/miscellaneous_additions/2/amount")


def test_unknown_water_gives_no_finding_on_ions() -> None:
    patch = merge_patch(
        more_additions(dose("Gypsum (calcium sulfate dihydrate)", 30, step=1)),
        {"ingredients": {"water_additions": []}},
    )
    assert not [item for item in all_findings(patch) if item.rule.startswith("ions/")]
    assert found("water/source-unknown", patch)
