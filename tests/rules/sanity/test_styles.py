"""The style of the recipe."""

from __future__ import annotations

import pytest

from recipe_tools.rules.examples import quantity, style
from tests.rules.brew import found, one

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
