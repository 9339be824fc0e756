"""No rule comes to grief, whatever numbers and names a recipe holds."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.rules.examples import additions, dose, grist, malt, together, water, well
from tests.rules.brew import all_findings, found
from tests.rules.matrix import declarations

AMOUNTS = st.sampled_from([0.0, -1.0, 1e-9, 0.5, 3.0, 20.0, 500.0, 1e6, 1e12])
NAMES = st.sampled_from(
    [
        "Gypsum",
        "Calcium chloride",
        "CaCl2 33 %",
        "Lactic acid",
        "Phosphoric acid 85 %",
        "Chalk",
        "Slaked lime",
        "Campden tablet",
        "Sodium metabisulfite",
        "Water treatment salts",
        "Zinc sulfate",
        "Spring water",
        "{braces} 100 %",
        "",
        "Säure 0 %",
        "\u202e acid",
    ]
)
UNITS = st.sampled_from(["g", "kg", "mg", "ml", "l", "each", "tsp", "furlong"])
USES = st.sampled_from(["add_to_mash", "add_to_boil", "add_to_fermentation", "add_to_package", ""])


@st.composite
def recipes(draw: st.DrawFn) -> dict[str, Any]:
    """Draw a patch: odd additions, waters, malts, volumes and stated numbers."""
    items = [
        dose(draw(NAMES), draw(AMOUNTS), draw(UNITS), draw(USES), step=draw(st.integers(0, 3)))
        for _ in range(draw(st.integers(0, 4)))
    ]
    records = [
        well(draw(st.sampled_from(["Tap", "RO water", "Pilsen", ""])), draw(AMOUNTS),
             calcium=draw(AMOUNTS), bicarbonate=draw(AMOUNTS), sulfate=draw(AMOUNTS))
        for _ in range(draw(st.integers(0, 3)))
    ]  # fmt: skip
    malts = [
        malt(draw(st.sampled_from(["Pale malt", "Acidulated malt", "Roasted barley", "x"])),
             draw(AMOUNTS), draw(AMOUNTS))
        for _ in range(draw(st.integers(0, 3)))
    ]  # fmt: skip
    stated = {
        "batch_size": {"value": draw(AMOUNTS), "unit": "l"},
        "original_gravity": {"value": draw(AMOUNTS), "unit": "sg"},
        "alcohol_by_volume": {"value": draw(AMOUNTS), "unit": "%"},
        "type": draw(st.sampled_from(["all grain", "extract", "cider", "", "partial mash"])),
        "notes": draw(st.text(max_size=30)),
    }
    return together(additions(*items), water(*records), grist(*malts), stated)


@settings(max_examples=150, deadline=None)
@given(recipes())
def test_no_rule_fails_on_an_odd_recipe(patch: dict[str, Any]) -> None:
    broken = [item for item in all_findings(patch) if item.rule.startswith("internal/")]
    assert broken == [], [item.message for item in broken]


def test_every_rule_bears_a_recipe_that_says_nothing() -> None:
    members = ("style", "ingredients", "mash", "boil", "original_gravity", "final_gravity")
    bare: dict[str, Any] = dict.fromkeys(members)
    broken = [item for item in all_findings(bare) if item.rule.startswith("internal/")]
    assert broken == []


def test_options_of_every_rule_can_be_set_to_their_defaults() -> None:
    for rule in declarations().values():
        options = {name: option.default for name, option in rule.options.items()}
        if all(value is not None for value in options.values()):
            assert isinstance(found(rule.id, {}, {"rules": {rule.id: {"options": options}}}), list)
