"""The style of the recipe."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Finding
from recipe_tools.rules import recipe_rules
from recipe_tools.rules.examples import quantity, style
from tests.rules.brew import day_of, found, one

OUTSIDE = "recipe/colour-or-gravity-outside-style"


def test_a_style_in_no_table_is_said_and_guessed_from_the_beer() -> None:
    named = {"name": "Aldermoor Harvest Reserve", "category_number": None, "style_letter": None}
    item = one("recipe/style-unknown", {"style": {**named, "category": "Club beers"}})
    assert "'Aldermoor Harvest Reserve' is in no table" in item.message
    assert "taken for the family" in item.message


def test_cider_has_no_style_of_beer() -> None:
    assert not found("recipe/style-unknown", {"type": "cider", "style": None, "mash": None})


@pytest.mark.parametrize(
    ("og", "speaks"),
    [
        # BJCP Style Guidelines 2021, 18A: 1.038 to 1.054
        (1.038, False),
        (1.054, False),
        (1.070, True),
    ],
)
def test_gravity_within_the_guidelines_passes(og: float, speaks: bool) -> None:
    patch = {
        "original_gravity": quantity(og, "sg"),
        "batch_size": quantity(20 * 0.046 / (og - 1), "l"),
        "alcohol_by_volume": None,
        "ibu_estimate": None,
    }
    assert bool(found(OUTSIDE, patch)) is speaks


def test_each_quantity_outside_has_a_finding_of_its_own() -> None:
    # 20C Imperial Stout: 1.075 to 1.115, 50 to 90 IBU, 30 to 40 SRM
    items = found(OUTSIDE, style("Imperial Stout", 20, "C"))
    assert {item.values["quantity"] for item in items} == {
        "original gravity",
        "bitterness",
        "colour",
    }


def test_a_club_may_give_a_style_of_its_own_ranges() -> None:
    config = {"style": {"harvest_reserve": {"sulfate": [200.0, 300.0]}}}
    patch = {"style": {"name": "Harvest Reserve", "category_number": None, "style_letter": None}}
    items = found("ions/outside-style", patch, config)
    assert "sulfate" in {item.values["ion"] for item in items}


def rows(day: BrewDay, rule: str = OUTSIDE, **options: object) -> list[Finding]:
    """Return what a rule says of a brew day, with its own options where no others are given."""
    entry = recipe_rules()[rule]
    defaults = {name: option.default for name, option in entry.declaration.options.items()}
    return list(entry.check(day, {**defaults, **options}))


def with_style(day: BrewDay, **ranges: Any) -> BrewDay:
    """Return a brew day whose style states such ranges."""
    assert day.recipe.style is not None
    return day._replace(recipe=day.recipe._replace(style=day.recipe.style._replace(**ranges)))


@pytest.mark.parametrize(
    ("field", "value", "side"),
    [
        # a tenth of each end is left: of gravity in thousandths above 1
        ("og", 1.05502, "above"),
        ("og", 1.05498, ""),
        ("og", 1.03598, "below"),
        ("og", 1.03602, ""),
        ("ibu", 33.02, "above"),
        ("ibu", 32.98, ""),
        ("ibu", 17.98, "below"),
        ("ibu", 18.02, ""),
        ("colour_ebc", 11.01, "above"),
        ("colour_ebc", 10.995, ""),
        ("colour_ebc", 5.39, "below"),
        ("colour_ebc", 5.405, ""),
    ],
)
def test_a_tenth_beyond_the_range_of_the_file_passes(field: str, value: float, side: str) -> None:
    day = with_style(day_of(), og=(1.040, 1.050), ibu=(20.0, 30.0), colour_ebc=(6.0, 10.0))
    usual: dict[str, Any] = {"og": 1.045, "ibu": 25.0, "colour_ebc": 8.0}
    day = day._replace(recipe=day.recipe._replace(**{**usual, field: value}))
    items = rows(day)
    assert len(items) == bool(side)
    for item in items:
        assert f" is {side} " in item.message
        assert item.values["value"] == round(value, 4)
        ends = {"og": (1.04, 1.05), "ibu": (20.0, 30.0), "colour_ebc": (6.0, 10.0)}[field]
        assert item.values["limit"] == ends[side == "above"]


def test_a_range_may_be_open_at_one_end() -> None:
    day = with_style(day_of(), og=(None, 1.050), ibu=(20.0, None), colour_ebc=(None, 10.0))
    day = day._replace(recipe=day.recipe._replace(og=1.010, ibu=90.0, colour_ebc=1.0))
    assert rows(day) == []
    day = day._replace(recipe=day.recipe._replace(og=1.080, ibu=9.0, colour_ebc=30.0))
    assert [item.values["quantity"] for item in rows(day)] == [
        "original gravity",
        "bitterness",
        "colour",
    ]
    assert "bitterness of 9 IBU is below 20 IBU" in rows(day)[1].message


def test_a_style_of_zeros_states_nothing() -> None:
    # programs write zeros where nothing is stated; then the guidelines hold (18A: 15 to 28 IBU)
    day = with_style(day_of(), ibu=(0.0, 0.0), og=(1.0, 0.0), colour_ebc=(None, None))
    day = day._replace(recipe=day.recipe._replace(og=1.090, ibu=60.0, colour_ebc=30.0))
    found_ = {item.values["quantity"]: item.values["limit"] for item in rows(day)}
    assert found_ == {"bitterness": 28.0, "colour": pytest.approx(6 * 1.97)}


def test_ranges_of_the_guidelines_need_a_code_and_numbers_of_the_recipe() -> None:
    day = day_of()
    strong = day._replace(recipe=day.recipe._replace(og=1.090, ibu=None, colour_ebc=0.0))
    assert [item.values["quantity"] for item in rows(strong)] == ["original gravity"]
    assert strong.family is not None
    assert rows(strong._replace(family=None)) == []
    assert rows(strong._replace(recipe=strong.recipe._replace(style=None))) == []


@pytest.mark.parametrize("kind", ["cider", "mead", "soda", "kombucha", "wine"])
def test_no_other_drink_has_a_style_of_beer(kind: str) -> None:
    day = day_of()
    nameless = day._replace(recipe=day.recipe._replace(style=None), family=None)
    rule = "recipe/style-unknown"
    assert rows(nameless, rule)
    other = nameless.recipe._replace(kind=kind)
    assert rows(nameless._replace(recipe=other), rule) == []


def test_a_style_without_family_is_not_compared() -> None:
    day = day_of()._replace(family=None)
    (item,) = rows(day, "recipe/style-unknown")
    assert item.message == (
        "The style 'Blonde Ale' is in no table, so the ions are not compared with a style"
    )
    assert item.values["value"] == "Blonde Ale"
    assert item.pointer.endswith("/style/name")
