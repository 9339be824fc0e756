"""What an addition is, and what is no food."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Severity
from recipe_tools.rules.examples import additions, dose, merge_patch, more_additions
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


@pytest.mark.parametrize(
    ("use", "severity"),
    [
        ("add_to_mash", Severity.WARNING),
        ("add_to_boil", Severity.NOTE),
        ("add_to_fermentation", Severity.NOTE),
        ("add_to_package", Severity.NOTE),
    ],
)
def test_an_unknown_agent_weighs_most_before_the_boil(use: str, severity: Severity) -> None:
    item = one(UNKNOWN, more_additions(dose("Zymurgite", 5, use=use)))
    assert item.severity is severity
    in_sparge = one(UNKNOWN, more_additions(dose("Zymurgite", 5, step=2)))
    timeless = {k: v for k, v in dose("Zymurgite", 5).items() if k != "timing"}
    without = one(UNKNOWN, more_additions(timeless))
    assert {in_sparge.severity, without.severity} == {Severity.WARNING}


@pytest.mark.parametrize(
    ("addition", "speaks"),
    [
        (dose("Fumaric acid", 3, kind="other"), True),
        (dose("Fumaric acid", 3, step=2, kind="other"), True),
        (dose("Fumaric acid", 3, use="add_to_boil", kind="other"), False),
        (dose("Fumaric acid", 3, kind="flavor"), False),
        (dose("Fumarate powder", 3, kind="other"), False),
        (dose("Epsom salt", 3, kind="other"), False),
    ],
)
def test_a_chemical_name_is_asked_about_in_mash_and_sparge(
    addition: dict[str, object], speaks: bool
) -> None:
    assert bool(found(UNKNOWN, more_additions(addition))) is speaks


def test_every_unknown_agent_is_named_also_behind_others() -> None:
    patch = more_additions(
        dose("Coriander seed", 3, kind="spice"),
        dose("Cocoa nibs", 3, kind="other"),
        dose("Fumaric acid", 3, kind="other"),
        dose("Yeast nutrient", 3),
        dose("Zymurgite", 3),
    )
    assert {item.values["value"] for item in found(UNKNOWN, patch)} == {"Fumaric acid", "Zymurgite"}


def test_a_name_far_from_all_others_has_no_nearest() -> None:
    item = one(UNKNOWN, more_additions(dose("Xqzwv", 5)))
    assert item.values["nearest"] == []
    assert item.message.endswith("not counted in water or mash pH")
    near = one(UNKNOWN, more_additions(dose("Gypsyum", 5)))
    assert f"; nearest known: {', '.join(near.values['nearest'])}" in near.message


def test_a_caution_is_told_of_every_product_that_is_no_food() -> None:
    names = ("Zymurgite", "Gypsum", "Battery acid", "Salt substitute", "Muriatic acid", "Waschsoda")
    items = found("addition/not-food-grade-name", more_additions(*(dose(n, 1) for n in names)))
    assert [(item.values["value"], item.values["caution"]) for item in items] == [
        ("Battery acid", "battery acid"),
        ("Muriatic acid", "masonry or pool grade"),
        ("Waschsoda", "household cleaner"),
    ]


def test_which_agents_are_cleaners_may_be_set() -> None:
    rule = "addition/cleaner-as-agent"
    both = more_additions(dose("Quicklime", 1, step=1), dose("Sodium hydroxide", 1, step=1))
    assert [i.values["value"] for i in found(rule, both)] == ["quicklime", "sodium_hydroxide"]
    config = {"rules": {rule: {"options": {"agents": "quicklime slaked_lime"}}}}
    assert [i.values["value"] for i in found(rule, both, config)] == ["quicklime"]


NOTES = "addition/notes-agents-not-counted"


def test_notes_are_told_once_per_agent_and_only_what_would_be_counted() -> None:
    words = (
        "Add gypsum, lactic acid, more lactic acid; ascorbic acid; filter through a carbon filter."
    )
    item = one(NOTES, {**additions(), "notes": words})
    assert item.values["agents"] == [
        "gypsum (calcium sulfate dihydrate)",
        "lactic acid",
    ]
    assert item.values["value"] == ", ".join(item.values["agents"])
    assert not found(NOTES, {**additions(), "notes": "Ascorbic acid and a carbon filter."})


@pytest.mark.parametrize(
    ("listed", "words"),
    [
        ("Calcium chloride", "Calcium chloride dihydrate, 3 g"),
        ("Calcium chloride anhydrous", "Calcium chloride dihydrate, 3 g"),
        ("Potassium metabisulfite", "a pinch of potassium metabisulfite"),
    ],
)
def test_a_form_of_the_same_agent_in_the_list_covers_the_notes(listed: str, words: str) -> None:
    assert not found(NOTES, {**additions(dose(listed, 1, step=1)), "notes": words})
    assert found(NOTES, {**additions(), "notes": words})
