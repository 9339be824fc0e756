"""Water records: unknown, all zero, blends, goals, bottled water."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Severity
from recipe_tools.rules.examples import additions, dose, more_additions, together, water, well
from tests.rules.brew import found, one, rules_of

ZERO = dict.fromkeys(("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate"), 0.0)
HARD = {"calcium": 60.0, "bicarbonate": 159.0}


@pytest.mark.parametrize(
    "name",
    ["RO water", "Distilled water", "Osmosewasser", "eau déminéralisée", "demineralised water"],
)
def test_zeros_under_a_name_of_pure_water_are_an_analysis(name: str) -> None:
    assert not rules_of(water(well(name, **ZERO))) & {
        "water/source-all-zero",
        "water/source-unknown",
    }


@pytest.mark.parametrize("name", ["Aldermoor well", "My tap", "Water 1"])
def test_zeros_under_any_other_name_are_no_analysis(name: str) -> None:
    spoken = rules_of(water(well(name, **ZERO)))
    assert "water/source-all-zero" in spoken
    assert "water/source-unknown" not in spoken


def test_unknown_water_weighs_less_where_nothing_is_mashed() -> None:
    none = {"ingredients": {"water_additions": []}}
    assert one("water/source-unknown", none).severity is Severity.WARNING
    extract = together(none, {"type": "extract", "mash": {"mash_steps": []}})
    assert one("water/source-unknown", extract).severity is Severity.NOTE
    assert not found("water/source-unknown", together(none, {"type": "cider"}))


def test_a_single_water_is_used_whatever_its_volume() -> None:
    # real files give the batch size as the volume of the water
    assert not rules_of(water(well("Aldermoor well", 20)))
    assert not rules_of(water(well("Aldermoor well", 2)))


def test_equal_waters_of_batch_size_are_an_accidental_blend() -> None:
    twice = water(well("Aldermoor well", 20), well("Aldermoor spring", 20, **HARD))
    assert found("water/volume-is-batch-size", twice)
    assert not found("water/volume-mismatch", twice)
    same = water(well("Aldermoor well", 20), well("The same again", 20))
    assert not found("water/volume-is-batch-size", same)


def test_a_blend_should_add_up_to_the_water_of_the_recipe() -> None:
    right = water(well("Aldermoor well", 18.5), well("Aldermoor spring", 10, **HARD))
    assert not found("water/volume-mismatch", right)
    wrong = water(well("Aldermoor well", 30), well("Aldermoor spring", 20, **HARD))
    assert one("water/volume-mismatch", wrong).values["needed"] == 28.5


@pytest.mark.parametrize(
    "name",
    ["Balanced profile", "Pilsen", "Burton upon Trent", "Profil pour stout", "Munich Helles"],
)
def test_names_of_goals_and_brewing_towns_are_asked_about(name: str) -> None:
    assert found("water/looks-like-target", water(well(name)))


@pytest.mark.parametrize(
    "name",
    ["Aldermoor well", "Tap 2025", "Leitungswasser", "Mill spring", "London tap, report 2024"],
)
def test_ordinary_names_are_not(name: str) -> None:
    assert not found("water/looks-like-target", water(well(name)))


def test_a_goal_without_salts_on_top_is_not_counted_twice() -> None:
    assert not found("water/looks-like-target", together(water(well("Pilsen")), additions()))


@pytest.mark.parametrize("name", ["Bottled spring water", "Mineralwasser", "Spring water"])
def test_bottled_water_among_the_additions_is_water(name: str) -> None:
    bottled = more_additions(dose(name, 10, "l", kind="other"))
    assert found("water/bottled-water-as-addition", bottled)


def test_a_cup_of_water_to_dissolve_gelatine_is_not_brewing_water() -> None:
    assert not found(
        "water/bottled-water-as-addition",
        more_additions(dose("Spring water", 0.2, "l", kind="other")),
    )
