"""What a finding hands to programs: values, unit, severity, certainty and the places beside it.

Each rule on its own failing example, compared with the numbers of `tests.rules.worked`; where a
model is behind them, with the brew day itself, which has tests elsewhere. A number has no more
digits than `Shown` gives it: a reader sees what was meant.
"""

from __future__ import annotations

import re

import periodictable
import pytest

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.findings import Confidence, Finding, Severity
from recipe_tools.reports import html
from recipe_tools.results import CheckedFile, Run
from tests.rules.brew import checked
from tests.rules.matrix import declarations, spoken
from tests.rules.worked import (
    CACO3_MG_MEQ,
    CALCIUM_CHLORIDE,
    CAMPDEN,
    CERTAIN,
    ERROR,
    EXPECTED,
    GYPSUM,
    HCO3_MG_MEQ,
    LACTIC_MEQ_ML,
    LACTIC_MMOL_ML,
    LIKELY,
    MASH_L,
    NOTE,
    PLAIN_CALCIUM,
    PLAIN_CHLORIDE,
    PLAIN_SULFATE,
    POINTERS,
    SPARGE_L,
    WARNING,
    WATERS,
    Shown,
    brought,
    ends,
)

RULES = declarations()


def example(rule: str) -> tuple[BrewDay, Finding]:
    """Return the brew day of a failing example and the only finding of the rule on it."""
    declaration = RULES[rule]
    (item,) = spoken(declaration.fails, rule)
    day = checked(declaration.fails).recipes[0].day
    assert day is not None
    return day, item


def below_recipe(pointer: str) -> str:
    """Return a symbolic path without its part up to the recipe."""
    return pointer.removeprefix("/beerjson/recipes/0/").removeprefix("/RECIPES/RECIPE[1]/")


def places(item: Finding) -> tuple[tuple[str, str], ...]:
    """Return the places beside a finding below the recipe, with what is said of each."""
    return tuple((below_recipe(other.pointer), other.message) for other in item.related)


def test_every_rule_has_its_place_here() -> None:
    assert set(POINTERS) == set(RULES)


@pytest.mark.parametrize("rule", POINTERS)
def test_a_finding_stands_at_the_value_to_change(rule: str) -> None:
    assert below_recipe(spoken(RULES[rule].fails, rule)[0].pointer) == POINTERS[rule]


@pytest.mark.parametrize("rule", EXPECTED)
def test_a_program_gets_the_values_that_were_worked_out(rule: str) -> None:
    severity, confidence, values, beside = EXPECTED[rule]
    _, item = example(rule)
    assert dict(values) == dict(item.values)
    assert (item.severity, item.confidence) == (severity, confidence)
    assert places(item) == beside


def test_an_unbalanced_water_hands_over_its_sums_and_what_would_close_it() -> None:
    # milliequivalents from molar masses; percent of the sum of all (Standard Methods 1030 E)
    _, item = example("water/charge-imbalance")
    mass = periodictable.formula
    cations = 120 / mass("Ca").mass * 2 + 15 / mass("Mg").mass * 2 + 30 / mass("Na").mass
    anions = 40 / mass("Cl").mass + 55 / mass("SO4").mass * 2 + 200 / HCO3_MG_MEQ
    assert dict(item.values) == {
        "value": Shown(100 * (cations - anions) / (cations + anions), 1),
        "cations": Shown(cations, 2),
        "anions": Shown(anions, 2),
        "closes_if": ["carbonate-printed-as-bicarbonate", "sulfate-as-sulfur"],
        "unit": "%",
    }
    assert item.severity is WARNING
    assert [pointer for pointer, _ in places(item)] == [
        f"{WATERS}/0/bicarbonate",
        f"{WATERS}/0/sulfate",
    ]


@pytest.mark.parametrize(
    ("rule", "severity", "confidence", "limit"),
    [
        ("mash-ph/above-range", WARNING, LIKELY, 5.6),
        ("mash-ph/below-range", ERROR, CERTAIN, 5.2),
        ("mash-ph/near-edge", NOTE, LIKELY, 5.6),
    ],
)
def test_findings_on_the_mash_carry_the_prediction_with_its_band(
    rule: str, severity: Severity, confidence: Confidence, limit: float
) -> None:
    day, item = example(rule)
    found = day.prediction
    assert found is not None
    assert item.values == ends(Estimate(found.low, found.ph, found.high), 2, "pH", limit)
    assert (item.severity, item.confidence, places(item)) == (severity, confidence, ())


def test_acid_that_overshoots_carries_the_ph_without_it() -> None:
    day, item = example("mash-ph/acid-overshoots")
    found = day.prediction
    assert found is not None
    without = found.ph - found.contributions_ph["acid"]
    assert item.values == {
        **ends(Estimate(found.low, found.ph, found.high), 2, "pH", 5.2),
        "without_acid": Shown(without, 1),
    }
    assert (item.severity, item.confidence) == (ERROR, CERTAIN)
    assert places(item) == (("mash/name", "the mash it goes into"),)


def test_a_stated_target_is_set_beside_the_prediction() -> None:
    day, item = example("mash-ph/stated-target-differs")
    found = day.prediction
    assert found is not None
    assert item.values == {
        "value": 5.0,
        "predicted": Shown(found.ph, 2),
        "low": Shown(found.low, 2),
        "high": Shown(found.high, 2),
        "unit": "pH",
    }


def test_residual_alkalinity_is_that_of_kolbach() -> None:
    # Kolbach 1953: alkalinity less calcium / 3.5 and magnesium / 7, in milliequivalents
    day, item = example("ions/residual-alkalinity-against-style")
    mass = periodictable.formula
    salts = 2000 / mass(GYPSUM).mass + 2000 / mass(CALCIUM_CHLORIDE).mass
    calcium = 2 * (62 / mass("Ca").mass + salts / MASH_L)
    magnesium = 2 * 4 / mass("Mg").mass
    by_hand = (230 / HCO3_MG_MEQ - calcium / 3.5 - magnesium / 7) * CACO3_MG_MEQ
    assert day.mash is not None
    assert day.mash.residual_alkalinity_meq_l is not None
    known = day.mash.residual_alkalinity_meq_l.times(CACO3_MG_MEQ)
    assert item.values == {
        "value": Shown(by_hand),
        "low": Shown(known.low),
        "high": Shown(known.high),
        "limit": Shown(60, 1),
        "unit": "mg/L as CaCO3",
    }
    assert (item.severity, item.confidence) == (NOTE, CERTAIN)


def test_the_alkalinity_of_the_sparge_is_that_of_its_bicarbonate() -> None:
    day, item = example("sparge/alkalinity-high")
    assert day.sparge is not None
    assert day.sparge.alkalinity_meq_l is not None
    known = day.sparge.alkalinity_meq_l.times(CACO3_MG_MEQ)
    assert item.values == {
        "value": Shown(200 / HCO3_MG_MEQ * CACO3_MG_MEQ),
        "low": Shown(known.low),
        "high": Shown(known.high),
        "limit": 50.0,
        "unit": "mg/L as CaCO3",
    }
    assert (item.severity, item.confidence) == (WARNING, CERTAIN)


def test_acid_left_over_in_the_sparge_is_counted_per_litre() -> None:
    # 52 mg/L of bicarbonate against ten millilitres of 80 % lactic acid in 15.5 L
    _, item = example("sparge/acid-overshoots")
    surplus = 10 * LACTIC_MEQ_ML / SPARGE_L - 52 / HCO3_MG_MEQ
    assert item.values["value"] == Shown(surplus, 1)
    assert item.values["low"] == Shown(surplus - 0.1, 1)
    assert item.values["high"] == Shown(surplus, 1)
    assert (item.values["limit"], item.values["unit"]) == (2.0, "mEq/L")
    assert (item.severity, item.confidence) == (WARNING, CERTAIN)


def test_the_sparge_keeps_what_its_acid_does_not_take() -> None:
    day, item = example("sparge/ph-high")
    left = (52 / HCO3_MG_MEQ - 0.3 * LACTIC_MMOL_ML / SPARGE_L) * CACO3_MG_MEQ
    assert day.sparge is not None
    assert day.sparge.after_acid is not None
    assert item.values == {
        "value": Shown(day.sparge.after_acid.ph, 1),
        "alkalinity": Shown(left),
        "limit": 6.0,
        "unit": "pH",
    }
    assert (item.severity, item.confidence) == (NOTE, LIKELY)


def test_much_of_everything_is_summed_up() -> None:
    _, item = example("ions/total-minerals-high")
    chloride = PLAIN_CHLORIDE + brought(8, CALCIUM_CHLORIDE, "Cl", 2)
    sulfate = PLAIN_SULFATE + brought(8, GYPSUM, "SO4")
    calcium = PLAIN_CALCIUM + brought(8, GYPSUM, "Ca") + brought(8, CALCIUM_CHLORIDE, "Ca")
    # on drying bicarbonate leaves carbonate: 60.01 / (2 x 61.02) of its mass (Standard Methods
    # 2540 C, from memory)
    carbonate = 52 * periodictable.formula("CO3").mass / (2 * HCO3_MG_MEQ)
    assert item.values == {
        "side": "above",
        "value": Shown(calcium + 4 + 12 + chloride + sulfate + carbonate),
        "chloride": Shown(chloride, 1),
        "sulfate": Shown(sulfate, 1),
        "limit": 150,
        "unit": "mg/L",
    }
    assert (item.severity, item.confidence) == (NOTE, LIKELY)


@pytest.mark.parametrize(
    ("rule", "quantity", "stated", "unit", "digits"),
    [
        ("recipe/gravity-against-grist", "original gravity", 1.08, "sg", 4),
        ("recipe/bitterness-against-hops", "bitterness", 60.0, "IBU", 1),
    ],
)
def test_a_stated_number_is_set_beside_the_computed_one(
    rule: str, quantity: str, stated: float, unit: str, digits: int
) -> None:
    day, item = example(rule)
    computed = day.og if unit == "sg" or day.ibu is None else day.ibu.best
    assert computed is not None
    ends = {} if unit == "sg" else {name: Shown(computed, digits) for name in ("low", "high")}
    assert item.values == {
        "quantity": quantity,
        "value": stated,
        "computed": Shown(computed, digits),
        "unit": unit,
        **ends,
    }
    assert (item.severity, item.confidence) == (NOTE, LIKELY)


def test_quantities_outside_a_style_carry_the_edge_of_the_guidelines() -> None:
    # BJCP Style Guidelines 2021, 9A Doppelbock: 1.072 to 1.112, 16 to 26 IBU, 6 to 25 SRM
    rule = "recipe/colour-or-gravity-outside-style"
    gravity, colour = spoken(RULES[rule].fails, rule)
    assert gravity.values == {"quantity": "original gravity", "value": 1.046, "limit": 1.072}
    assert colour.values == {"quantity": "colour", "value": 8.5, "limit": Shown(6 * 1.97, 4)}
    assert {gravity.confidence, colour.confidence} == {LIKELY}
    assert gravity.message.endswith("of 1.046 is below 1.072, the edge of the style Doppelbock")
    assert colour.message.endswith("of 8 EBC is below 12 EBC, the edge of the style Doppelbock")


@pytest.mark.parametrize(
    ("rule", "what", "code"),
    [
        # harmonised or notified classes, Regulation (EC) 1272/2008
        ("safety/lime-handling", "slaked lime (calcium hydroxide)", "H318"),
        ("safety/strong-acid-handling", "lactic acid 80 %", "H314"),
        ("safety/sulfite-allergen", CAMPDEN, "EUH031"),
    ],
)
def test_a_caution_carries_signal_word_and_codes_and_says_it_in_plain_words(
    rule: str, what: str, code: str
) -> None:
    _, item = example(rule)
    assert item.values["value"] == what
    assert item.values["signal_word"] == "Danger"
    assert code in item.values["h"]
    assert not re.search(r"\b(EUH|H|P)\d{3}", item.message)
    file = CheckedFile("a.xml", "beerxml", "checked", findings=(item,))
    page = html.render(Run((file,)), {})
    for said in (item.values["signal_word"], *item.values["h"], *item.values["p"]):
        assert said in page


def test_local_rules_belong_to_no_agent() -> None:
    _, item = example("safety/local-rules")
    assert item.values == {"value": ""}
