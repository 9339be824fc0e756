"""One cause gives one finding."""

from __future__ import annotations

from recipe_tools.findings import Confidence, Finding
from recipe_tools.rules.examples import dose, more_additions, quantity, together, well_with
from recipe_tools.rules.precedence import without_echoes
from tests.rules.brew import all_findings, rules_of


def finding(rule: str, confidence: Confidence = Confidence.CERTAIN, **values: object) -> Finding:
    return Finding(rule, "", values, confidence=confidence)


def test_a_cause_silences_only_its_own_ion() -> None:
    items = [
        finding("ions/sulfate-high", ion="sulfate"),
        finding("ions/outside-style", ion="sulfate"),
        finding("ions/outside-style", ion="chloride"),
    ]
    kept = [(item.rule, item.values["ion"]) for item in without_echoes(items)]
    assert kept == [("ions/sulfate-high", "sulfate"), ("ions/outside-style", "chloride")]


def test_a_cause_that_is_hidden_itself_silences_nothing() -> None:
    items = [
        finding("mash-ph/above-range", Confidence.POSSIBLE),
        finding("ions/residual-alkalinity-against-style", Confidence.LIKELY),
    ]
    assert without_echoes(items) == items


def test_an_echo_without_its_cause_is_kept() -> None:
    items = [finding("recipe/abv-against-gravities")]
    assert without_echoes(items) == items


def test_a_slip_of_the_unit_gives_no_findings_on_ions_or_ph() -> None:
    slip = more_additions(dose("Gypsum (calcium sulfate dihydrate)", 2, "kg", step=1))
    assert rules_of(slip) == {"addition/unit-slip"}


def test_unknown_water_gives_one_finding() -> None:
    assert rules_of({"ingredients": {"water_additions": None}}) == {"water/source-unknown"}


def test_a_drinking_limit_silences_the_limit_of_brewers() -> None:
    spoken = rules_of(well_with(nitrate=70, calcium=48))
    assert "water/ion-above-drinking-limit" in spoken
    assert "ions/nitrate-high" not in spoken


def test_a_wrong_gravity_is_told_once() -> None:
    wrong = {"original_gravity": quantity(1.080, "sg")}
    assert rules_of(wrong) == {"recipe/gravity-against-grist"}


def test_hiding_an_echo_never_hides_a_graver_finding_on_another_matter() -> None:
    salty = together(
        more_additions(dose("Table salt", 15)), {"original_gravity": quantity(1.08, "sg")}
    )
    spoken = {item.rule for item in all_findings(salty)}
    assert {"ions/sodium-high", "recipe/gravity-against-grist"} <= spoken
