"""Advice with amounts: what the screen says to add does what it says, once it is in the file."""

from __future__ import annotations

import re
from typing import Any

import pytest

from recipe_tools.checking import check_bytes
from recipe_tools.checking.checklist import catalogue
from recipe_tools.config.load import options_from_table
from recipe_tools.findings import Confidence, Finding, Severity
from recipe_tools.reports import html, markdown, text
from recipe_tools.reports.ranking import most_harmful_first
from recipe_tools.reports.to_do import (
    Tally,
    is_remark,
    place_of,
    tallied,
    verdict,
)
from recipe_tools.results import Run
from recipe_tools.rules.examples import (
    dose,
    grist,
    malt,
    more_additions,
    reported,
    together,
    well_with,
)
from tests.rules.brew import day_of
from tests.rules.whole_files import STANDARDS, written

HARD = together(
    well_with(calcium=80, bicarbonate=260, sodium=28), grist(malt("Pale ale malt", 4.0, 2.8))
)
SOUR = grist(
    malt("Pale ale malt", 2.6, 2.8),
    malt("Roasted barley", 0.8, 500, "roasted"),
    malt("Dark caramel malt", 0.6, 120, "caramel"),
    malt("Acidulated malt", 0.2, 2, "specialty"),
)


def screen(standard: str, patch: Any, config: Any = None) -> tuple[str, Any]:
    """Return the default report of a patched plain recipe on one line, and its brew day."""
    name, data = written(standard, patch)
    file = check_bytes(data, name, options_from_table(config or {}))
    shown = text.render(Run((file,)), catalogue())
    return " ".join(shown.split()), file.recipes[0].day


def amount(shown: str, pattern: str) -> float:
    """Return the number that a pattern finds on a screen."""
    found = re.search(pattern, shown)
    assert found is not None, shown
    return float(found[1])


@pytest.mark.parametrize("standard", STANDARDS)
def test_the_acid_that_is_advised_brings_the_mash_where_it_says(standard: str) -> None:
    shown, day = screen(standard, HARD)
    assert day.prediction.ph > 5.6
    millilitres = amount(shown, r"about ([0-9.]+) mL of lactic acid 80 % brings it to pH 5\.4:")
    acid = dose("Lactic acid 80 %", millilitres, "ml", step=1)
    _, after = screen(standard, together(HARD, more_additions(acid)))
    # The brew day knows nothing of the advice: it counts the acid as any recipe's. A tenth of a
    # millilitre, the step of a syringe, is 0.01 pH here.
    assert after.prediction.ph == pytest.approx(5.4, abs=0.015)


@pytest.mark.parametrize("standard", STANDARDS)
def test_the_soda_that_is_advised_brings_the_mash_where_it_says(standard: str) -> None:
    shown, day = screen(standard, SOUR)
    assert day.prediction.ph < 5.2
    found = re.search(r"or about ([0-9.]+) g of baking soda brings it to pH ([0-9.]+)", shown)
    assert found is not None
    soda = dose("Baking soda", float(found[1]), "g", step=1)
    _, after = screen(standard, together(SOUR, more_additions(soda)))
    assert after.prediction.ph == pytest.approx(float(found[2]), abs=0.015)


@pytest.mark.parametrize("standard", STANDARDS)
def test_the_acid_for_the_sparge_water_brings_it_where_it_says(standard: str) -> None:
    if standard == "beerxml":
        pytest.skip("BeerXML has no sparge volume to compare with")
    shown, _ = screen(standard, HARD)
    millilitres = amount(
        shown, r"about ([0-9.]+) mL of lactic acid 80 % brings the 15\.5 L of sparge water to pH 5"
    )
    acid = dose("Lactic acid 80 %", millilitres, "ml", step=2)
    _, after = screen(standard, together(HARD, more_additions(acid)))
    assert after.sparge.after_acid.ph == pytest.approx(5.6, abs=0.05)


@pytest.mark.parametrize("standard", STANDARDS)
def test_the_sulfite_that_is_advised_is_what_the_equation_asks_for(standard: str) -> None:
    shown, day = screen(standard, {}, {"water": {"chlorine_mg_l": 2.0}})
    grams = amount(shown, r"do: ([0-9.]+) g of sodium metabisulfite for these [0-9.]+ L")
    # Na2S2O5 + 2 HOCl: 190.1 g for 2 x 70.9 g of Cl2 (abridged atomic weights of IUPAC), and a
    # tenth more; as fine as a scale of 0.1 g or a syringe of its solution shows.
    needed = 1.1 * 190.1 / (2 * 70.9) * 2.0 * day.total.volume_l.best / 1000.0
    assert grams == pytest.approx(needed, rel=0.1)


@pytest.mark.parametrize("standard", STANDARDS)
def test_what_a_water_report_leaves_out_is_said_once_for_all_recipes(standard: str) -> None:
    name, data = written(standard, {})
    options = options_from_table(reported(chlorine=None))
    run = Run(tuple(check_bytes(data, f"{place}-{name}", options) for place in range(3)))
    said = "does not state chlorine"
    assert sum(said in item.message for item in run.all_findings()) == 3
    assert text.render(run, catalogue()).count(said) == 1
    assert html.render(run, catalogue()).count(said) == 1
    assert text.render(run, catalogue(), text.View(verbose=True)).count(said) == 3


def test_a_comment_on_a_change_holds_the_amount_too() -> None:
    name, data = written("beerjson", HARD)
    file = check_bytes(data, name)
    comment = markdown.render(Run((file,)), catalogue())
    assert re.search(r"\*\*to do:\*\* about [0-9.]+ mL of lactic acid 80 %", comment)
    assert "brings it to pH 5.4: `recipe-tools dose` plans it" in comment


def test_with_unknown_water_no_amount_is_made_up() -> None:
    shown, _ = screen("beerjson", together(HARD, {"ingredients": {"water_additions": None}}))
    assert "Water unknown" in shown
    assert "brings" not in shown


def finding(rule: str, severity: Severity, **changes: Any) -> Finding:
    return Finding(rule, "Said.", severity=severity, **changes)


def test_a_verdict_says_how_many_things_there_are() -> None:
    day = day_of({})
    assert verdict(day, Tally(0, 0, 9)) == "Nothing to change"
    assert verdict(day, Tally(0, 1, 0)) == "Nothing to change; 1 thing to look at"
    assert verdict(day, Tally(1, 0, 0)) == "Fix 1 thing before brewing"
    assert verdict(day, Tally(2, 3, 0)) == "Fix 2 things before brewing; 3 to look at"
    unknown = day_of({"ingredients": {"water_additions": None}})
    assert verdict(unknown, Tally(1, 0, 0)) == (
        "Water unknown: only part of it could be checked; 1 thing to do"
    )
    assert verdict(None, Tally(1, 0, 0)).startswith("Could not be worked out")


def test_handling_and_what_is_accepted_count_for_nothing() -> None:
    items = [
        finding("safety/local-rules", Severity.WARNING),
        finding("ions/sulfate-high", Severity.WARNING, suppressed="so brewed"),
        finding("standard/schema", Severity.NOTE),
        finding("standard/wrong-type", Severity.WARNING),
        finding("ions/outside-style", Severity.NOTE),
    ]
    assert tallied(items) == Tally(to_do=1, to_look_at=1, remarks=1)
    assert [is_remark(item) for item in items] == [False, False, True, False, False]


def test_what_harms_most_comes_first() -> None:
    items = [
        finding("standard/wrong-type", Severity.WARNING),
        finding("sparge/alkalinity-high", Severity.WARNING),
        finding("mash-ph/above-range", Severity.WARNING, confidence=Confidence.LIKELY),
        finding("water/source-unknown", Severity.WARNING),
        finding("ions/outside-style", Severity.NOTE),
        finding("recipe/us-units", Severity.ERROR),
    ]
    assert [item.rule.partition("/")[0] for item in most_harmful_first(items)] == [
        "recipe",
        "water",
        "mash-ph",
        "sparge",
        "standard",
        "ions",
    ]


def test_all_lines_of_one_fault_are_named_together() -> None:
    from recipe_tools.findings import Related

    again = tuple(Related("", "the same here", line) for line in (176, 187))
    item = finding("standard/schema", Severity.NOTE, line=165, related=again)
    assert place_of(item) == "lines 165, 176, 187"
    assert place_of(finding("ions/outside-style", Severity.NOTE, line=4)) == "line 4"
    assert place_of(finding("file/unreadable", Severity.ERROR)) == ""
