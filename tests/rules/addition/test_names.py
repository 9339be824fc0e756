"""What an addition is, and what is no food."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Severity
from recipe_tools.rules.examples import dose, merge_patch, more_additions
from tests.rules.brew import found, one, rules_of

UNKNOWN = "addition/agent-unknown"


@pytest.mark.parametrize(
    "name",
    [
        "CaSO₄",
        "CaCl₂·2H₂O",
        "MgSO4",
        "Gips",
        "Bittersalz",
        "sulfate de calcium",
        "kwas mlekowy 80 %",
    ],
)
def test_formulas_and_everyday_names_are_recognised(name: str) -> None:
    unit = "ml" if "kwas" in name else "g"
    assert not found(UNKNOWN, more_additions(dose(name, 1, unit, step=1)))


def test_an_unknown_water_agent_in_the_mash_is_warned_of_and_in_the_boil_noted() -> None:
    in_mash = one(UNKNOWN, more_additions(dose("Zymurgite", 5)))
    in_boil = one(UNKNOWN, more_additions(dose("Zymurgite", 5, use="add_to_boil")))
    assert (in_mash.severity, in_boil.severity) == (Severity.WARNING, Severity.NOTE)


def test_a_slip_of_the_pen_is_answered_with_the_nearest_name() -> None:
    item = one(UNKNOWN, more_additions(dose("Gypsyum", 5)))
    assert any("gypsum" in name for name in item.values["nearest"])


@pytest.mark.parametrize(
    "name",
    ["Irish moss", "Yeast nutrient", "Kettle finings tablet", "Coriander seed", "Cocoa nibs"],
)
def test_what_is_no_water_agent_is_left_alone(name: str) -> None:
    for kind in ("fining", "spice", "other"):
        assert not rules_of(more_additions(dose(name, 5, use="add_to_boil", kind=kind)))


def test_an_acid_under_the_heading_other_is_not_passed_over() -> None:
    assert found(UNKNOWN, more_additions(dose("Fumaric acid", 3, kind="other")))


@pytest.mark.parametrize(
    "name", ["Battery acid", "Building plaster", "Road salt", "Akkusäure", "Bauplaster"]
)
def test_what_is_sold_for_other_ends_is_refused(name: str) -> None:
    spoken = rules_of(more_additions(dose(name, 1, kind="water agent")))
    assert spoken & {"addition/not-food-grade-name", UNKNOWN}


@pytest.mark.parametrize("name", ["Gypsum", "Epsom salt", "Baking soda", "Lactic acid 80 %"])
def test_ordinary_names_of_food_are_not(name: str) -> None:
    assert not found("addition/not-food-grade-name", more_additions(dose(name, 1)))


@pytest.mark.parametrize("name", ["Caustic soda", "NaOH", "Quicklime"])
def test_lye_and_quicklime_are_no_water_agents(name: str) -> None:
    assert (
        one("addition/cleaner-as-agent", more_additions(dose(name, 1))).severity is Severity.ERROR
    )


def test_a_blend_is_not_counted_and_that_is_said() -> None:
    spoken = rules_of(more_additions(dose("Water treatment salts", 6)))
    assert "addition/blend-unknown" in spoken
    assert UNKNOWN not in spoken


def test_prose_is_seen_and_not_counted() -> None:
    notes = {"notes": "Mash in, then add 4 g of Epsom salt and 2 ml lactic acid."}
    item = one("addition/notes-agents-not-counted", notes)
    assert "Epsom salt" in item.message
    assert "lactic acid" in item.message
    listed = merge_patch(
        more_additions(dose("Epsom salt", 4), dose("Lactic acid 80 %", 2, "ml")), notes
    )
    assert not found("addition/notes-agents-not-counted", listed)
