"""Chlorine: said only where it is stated, and settled by what really removes it."""

from __future__ import annotations

import periodictable
import pytest

from recipe_tools.findings import Confidence, Example, Finding, Severity
from recipe_tools.rules.examples import additions, dose, more_additions, xml_file, xml_misc
from tests.rules.brew import checked, found, one, rules_of
from tests.rules.whole_files import STANDARDS, said

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


def test_chlorine_speaks_above_its_limit_and_by_its_name() -> None:
    def stated(chlorine: float, **more: bool) -> dict[str, object]:
        return {"water": {"chlorine_mg_l": chlorine, **more}}

    assert not found(UNTREATED, config=stated(0.05))
    assert found(UNTREATED, config=stated(0.06))
    assert "mg/L of chlorine (as Cl2)" in one(UNTREATED, config=stated(0.6)).message
    assert (
        "mg/L of chloramine (as Cl2)" in one(UNTREATED, config=stated(0.6, chloramine=True)).message
    )


@pytest.mark.parametrize(
    ("use", "kind"), [("add_to_boil", "water agent"), ("add_to_fermentation", "water agent")]
)
def test_what_comes_after_the_mash_treats_no_water(use: str, kind: str) -> None:
    late = more_additions(dose("Sodium metabisulfite", 0.15, use=use, kind=kind))
    assert found(UNTREATED, late, CHLORINE)


def test_activated_carbon_counts_as_an_addition_and_in_the_notes() -> None:
    carbon = more_additions(dose("Activated carbon", 5))
    assert not found(UNTREATED, carbon, CHLORINE)
    for words in ("Water filtered through activated carbon.", "Wasser durch Aktivkohle."):
        assert not found(UNTREATED, {"notes": words}, CHLORINE)
        # Basu & De Souza 2011 and common practice: carbon hardly acts on chloramine
        assert found(UNTREATED, {"notes": words}, CHLORAMINE)
    assert found(UNTREATED, {"notes": "Water drawn the evening before."}, CHLORINE)


WEAK = "water/chloramine-treatment"


def test_carbon_hardly_removes_chloramine_unless_sulfite_helps() -> None:
    carbon = dose("Activated carbon", 5)
    assert one(WEAK, more_additions(carbon), CHLORAMINE).values["value"] == "Activated carbon"
    both = more_additions(carbon, dose("Sodium metabisulfite", 0.1))
    assert not found(WEAK, both, CHLORAMINE)
    assert not found(WEAK, config=CHLORAMINE)


def test_chloramine_without_a_figure_is_judged_and_a_trace_is_not() -> None:
    ascorbic = more_additions(dose("Ascorbic acid", 0.3))
    assert found(WEAK, ascorbic, {"water": {"chloramine": True}})
    assert not found(WEAK, ascorbic, {"water": {"chloramine": True, "chlorine_mg_l": 0.05}})
    assert found(WEAK, ascorbic, {"water": {"chloramine": True, "chlorine_mg_l": 0.06}})


@pytest.mark.parametrize(("share", "speaks"), [(0.945, True), (0.955, False)])
def test_sulfite_is_too_little_below_95_percent_of_the_need(share: float, speaks: bool) -> None:
    assert bool(found("addition/sulfite-dose-low", sulfite(share), CHLORINE)) is speaks


def test_sulfite_of_all_doses_counts_and_none_is_missed_without_chlorine() -> None:
    half = dose("Sodium metabisulfite", 0.5 * SULFITE_PER_CL2 * ALL_WATER_L / 1000)
    twice = more_additions(half, {**half, "timing": {"use": "add_to_mash", "step": 2}})
    assert not found("addition/sulfite-dose-low", twice, CHLORINE)
    assert not found("addition/sulfite-dose-low", more_additions(half))
    assert not found("addition/sulfite-dose-low", config=CHLORINE)
    none = {"water": {"chlorine_mg_l": 0.0}}
    assert not found("addition/sulfite-dose-low", more_additions(half), none)


def test_chlorine_uses_up_sulfite_before_the_rest_is_judged() -> None:
    # 1 mg of chlorine takes 0.90 mg of SO2 (HOCl + HSO3- -> Cl- + SO4-- + 2 H+)
    so2 = 2 * periodictable.formula("SO2").mass / periodictable.formula("Na2S2O5").mass
    used = periodictable.formula("SO2").mass / periodictable.formula("Cl2").mass

    def left(added_mg_l: float, chlorine: float | None) -> list[object]:
        grams = added_mg_l / so2 * ALL_WATER_L / 1000
        config = {} if chlorine is None else {"water": {"chlorine_mg_l": chlorine}}
        patch = more_additions(dose("Sodium metabisulfite", grams))
        items = found("addition/sulfite-dose-high", patch, config)
        return [item.values["value"] for item in items]

    # counted from 2 % above the limit of the label
    assert left(10.1 + 2 * used, 2.0) == []
    assert left(10.3 + 2 * used, 2.0) == [pytest.approx(10.3, abs=0.06)]
    # where nobody states chlorine the supply may hold 5 mg/L (WHO guideline value)
    assert left(10.1 + 5 * used, None) == []
    assert left(10.3 + 5 * used, None) == [pytest.approx(10.3, abs=0.06)]


def test_sulfite_without_an_amount_is_not_called_too_little() -> None:
    bare = {k: v for k, v in dose("Sodium metabisulfite", 1).items() if k != "amount"}
    spoken = rules_of(more_additions(bare), CHLORINE)
    assert "addition/amount-missing" in spoken
    assert "addition/sulfite-dose-low" not in spoken


def test_chlorine_of_a_report_stands_at_the_recipe() -> None:
    report = {"calcium": "25 mg/L", "magnesium": "4 mg/L", "sodium": "12 mg/L",
              "chloride": "22 mg/L", "sulfate": "30 mg/L", "bicarbonate": "52 mg/L"}  # fmt: skip
    config = {"water": {"report": report, "chlorine_mg_l": 0.634}}
    item = one(UNTREATED, config=config)
    assert item.pointer == "/beerjson/recipes/0/name"
    assert item.values["value"] == 0.63


HIGH = "addition/sulfite-dose-high"
SO2_PER_POTASSIUM = 2 * 64.066 / 222.31
"""Grams of SO2 in a gram of K2S2O5, by molar masses."""


def test_too_much_sulfite_is_held_against_the_limit_that_is_named() -> None:
    # 2 g of Na2S2O5 are 1.348 g of SO2 (molar masses, 2 x 64.066 / 190.107); chlorine takes some.
    salt = more_additions(dose("Sodium metabisulfite", 2.0))
    unstated = one(HIGH, salt)
    assert unstated.message.endswith("above 10, even if the supply held 5 mg/L of chlorine")
    stated = one(HIGH, salt, CHLORINE)
    assert stated.message.endswith(" of SO2 in the water, above 10")
    assert {stated.values["limit"], unstated.values["limit"]} == {10}
    # Cl2 + SO2 + 2 H2O: one SO2 for each Cl2, 64.066 / 70.906; 1 mg/L instead of 5
    gained = stated.values["value"] - unstated.values["low"]
    assert gained == pytest.approx(4 * 0.9035, abs=0.11)


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize(
    ("use", "litres"),
    [("add_to_mash", ALL_WATER_L), ("add_to_boil", ALL_WATER_L), ("add_to_fermentation", 20.0),
     ("add_to_package", 20.0)],
)  # fmt: skip
def test_sulfite_is_judged_at_every_stage(standard: str, use: str, litres: float) -> None:
    beer = litres == 20.0
    # what chlorine the supply may hold is used up before the beer: WHO guideline value 5 mg/L
    used = 0.0 if beer else 5 * 64.066 / 70.906

    def left(so2_mg_l: float) -> list[Finding]:
        grams = (so2_mg_l + used) * litres / 1000 / SO2_PER_POTASSIUM
        salt = more_additions(dose("Potassium metabisulfite", grams, use=use))
        return said(standard, salt, rule=HIGH)

    assert left(10.1) == []
    (item,) = left(10.4)
    assert (item.severity, item.confidence) == (Severity.WARNING, Confidence.CERTAIN)
    (grave,) = left(70.0)
    # Regulation (EC) 1333/2008 Annex II 14.2.1 (from memory): 50 mg/L at most, in the cask
    assert grave.severity is (Severity.ERROR if beer else Severity.WARNING)
    assert grave.values["low"] == pytest.approx(70.0, rel=0.01)
    assert grave.values["limit"] == (50 if beer else 10)
    assert ("the beer" if beer else "the water") in grave.message


@pytest.mark.parametrize("standard", STANDARDS)
def test_sulfite_at_packaging_and_thirty_grams_in_the_mash(standard: str) -> None:
    bottled = more_additions(dose("Potassium metabisulfite", 3, use="add_to_package"))
    (item,) = said(standard, bottled, rule=HIGH)
    # 3 g in 20 L: 3000 x 0.576 / 20
    assert item.values["value"] == pytest.approx(86.4, abs=0.1)
    mash = more_additions(dose("Potassium metabisulfite", 30))
    assert said(standard, mash, rule=HIGH)[0].confidence is Confidence.CERTAIN


def test_sulfite_of_both_beer_stages_counts_together() -> None:
    # 0.2 g of the potassium salt in 20 L are 5.8 mg/L: harmless once, too much twice
    fermenter = dose("Potassium metabisulfite", 0.2, use="add_to_fermentation")
    package = dose("Potassium metabisulfite", 0.2, use="add_to_package")
    assert not found(HIGH, more_additions(fermenter))
    assert one(HIGH, more_additions(fermenter, package)).values["value"] == pytest.approx(
        11.5, abs=0.05
    )


def test_chlorine_of_top_up_water_may_use_up_sulfite_of_the_fermenter() -> None:
    # 0.36 g in 20 L are 10.4 mg/L of SO2; 10 L of top-up with 5 mg/L of chlorine (WHO guideline
    # value) use up 2.3 of them
    salt = xml_misc("Potassium metabisulfite", "0.00036", "TRUE", use="Primary")
    vessel = (
        "<EQUIPMENT><NAME>Kettle</NAME><VERSION>1</VERSION><BOIL_SIZE>24</BOIL_SIZE>"
        "<BATCH_SIZE>20</BATCH_SIZE><TOP_UP_WATER>{}</TOP_UP_WATER></EQUIPMENT>"
    )

    def spoken(litres: int) -> bool:
        raw = xml_file(salt, more=vessel.format(litres))
        items = checked(Example("", raw=raw)).findings
        return any(i.rule == HIGH and i.confidence is Confidence.CERTAIN for i in items)

    assert spoken(0)
    assert not spoken(10)


@pytest.mark.parametrize("kind", ["cider", "mead", "wine"])
def test_sulfite_in_other_drinks_is_only_worth_knowing(kind: str) -> None:
    # wine and cider are sulfited as a rule; the label threshold is the same
    patch = more_additions(dose("Potassium metabisulfite", 2, use="add_to_package"))
    assert one(HIGH, {**patch, "type": kind, "mash": None}).severity is Severity.NOTE


def test_without_a_mash_sulfite_in_the_kettle_treats_the_water() -> None:
    salt = dose("Sodium metabisulfite", 0.05, use="add_to_boil")
    extract = {**additions(salt), "type": "extract", "mash": None}
    assert not found(UNTREATED, extract, CHLORINE)
    assert found(UNTREATED, additions(salt), CHLORINE)
