"""Water records: unknown, all zero, blends, goals, bottled water."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools.findings import Severity
from recipe_tools.rules import recipe_rules
from recipe_tools.rules.examples import (
    additions,
    dose,
    mash_steps,
    more_additions,
    step,
    together,
    water,
    well,
)
from tests.rules.brew import day_of, found, one, rules_of

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
    none: dict[str, Any] = {"ingredients": {"water_additions": []}}
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


IN_MASH: dict[str, Any] = {"ingredients": {"water_additions": []}}


@pytest.mark.parametrize(
    ("litres", "speaks"), [(19.5, False), (19.7, True), (20.3, True), (20.5, False)]
)
def test_two_percent_around_the_batch_count_as_the_batch(litres: float, speaks: bool) -> None:
    blend = water(well("Aldermoor well", 20), well("Aldermoor spring", litres, **HARD))
    assert bool(found("water/volume-is-batch-size", blend)) is speaks


@pytest.mark.parametrize(
    ("litres", "speaks"), [(14.22, True), (14.23, False), (22.77, False), (22.78, True)]
)
def test_fifteen_percent_are_left_to_a_blend(litres: float, speaks: bool) -> None:
    # 28.5 L are needed: 24.2 to 32.8 pass
    blend = water(well("Aldermoor well", 10), well("Aldermoor spring", litres, **HARD))
    assert bool(found("water/volume-mismatch", blend)) is speaks


def test_a_blend_without_volumes_does_not_add_up_to_anything() -> None:
    spring = well("Aldermoor spring", 40, **HARD)
    unknown = {k: v for k, v in spring.items() if k != "amount"}
    assert not found("water/volume-mismatch", water(well("Aldermoor well", 10), unknown))
    nothing = well("Aldermoor spring", 0, **HARD)
    assert not found("water/volume-mismatch", water(well("Aldermoor well", 60), nothing))
    assert not found("water/volume-is-batch-size", water(well("Aldermoor well", 20), unknown))


def test_a_blend_is_not_compared_where_the_water_of_the_recipe_is_unknown() -> None:
    blend = water(well("Aldermoor well", 30), well("Aldermoor spring", 20, **HARD))
    dry = together(blend, mash_steps(step("Saccharification", "infusion", None, 66)))
    assert not found("water/volume-mismatch", dry)
    assert not found("water/volume-is-batch-size", together(blend, {"batch_size": None}))


def test_four_waters_of_a_blend_are_named_and_no_more() -> None:
    def records(litres: float) -> dict[str, object]:
        return water(*(well(f"Spring {n}", litres, calcium=25.0 + n) for n in range(6)))

    for rule, litres in (("water/volume-is-batch-size", 20.0), ("water/volume-mismatch", 12.0)):
        item = one(rule, records(litres))
        places = [other.pointer.rpartition("water_additions/")[2] for other in item.related]
        assert places == ["1/amount", "2/amount", "3/amount"]
        assert item.pointer.endswith("/water_additions/0/amount")


@pytest.mark.parametrize(("litres", "speaks"), [(0.49, False), (0.5, True)])
def test_half_a_litre_of_water_is_brewing_water(litres: float, speaks: bool) -> None:
    bottled = more_additions(dose("Spring water", litres, "l", kind="other"))
    assert bool(found("water/bottled-water-as-addition", bottled)) is speaks


def test_half_a_litre_of_something_else_is_no_water() -> None:
    assert not found(
        "water/bottled-water-as-addition", more_additions(dose("Cold coffee", 2, "l", kind="other"))
    )


@pytest.mark.parametrize(
    ("name", "word"),
    [("Balanced profile", "profile"), ("Old Plzen", "plzen"), ("Dortmund 1902", "Dortmund")],
)
def test_the_word_that_tells_a_goal_is_named(name: str, word: str) -> None:
    assert f"('{word}')" in one("water/looks-like-target", water(well(name))).message


def test_a_water_of_the_configuration_is_no_goal() -> None:
    report = {"calcium": "25 mg/L", "magnesium": "4 mg/L", "sodium": "12 mg/L",
              "chloride": "22 mg/L", "sulfate": "30 mg/L", "bicarbonate": "52 mg/L",
              "name": "Balanced profile"}  # fmt: skip
    config = {"water": {"report": {k: v for k, v in report.items() if k != "name"}}}
    assert not found("water/looks-like-target", water(well("Balanced profile")), config)


def test_the_second_water_may_be_the_goal_and_one_is_told() -> None:
    blend = water(
        well("Aldermoor well", 15), well("Pilsen", 15, **HARD), well("Burton", 10, **HARD)
    )
    item = one("water/looks-like-target", blend)
    assert item.values["value"] == "Pilsen"


def test_other_waters_of_zeros_are_named_beside_the_first() -> None:
    blend = water(*(well(f"Spring {n}", 10, **ZERO) for n in range(5)))
    item = one("water/source-all-zero", blend)
    assert item.values["value"] == "Spring 0"
    assert [other.pointer.rpartition("/")[2] for other in item.related] == ["1", "2", "3"]
    assert {other.message for other in item.related} == {"all zero too"}


@pytest.mark.parametrize("kind", ["cider", "mead", "wine"])
def test_drinks_of_fruit_and_honey_need_no_water_analysis(kind: str) -> None:
    day = day_of(IN_MASH)
    entry = recipe_rules()["water/source-unknown"]
    assert list(entry.check(day, {}))
    assert not list(entry.check(day._replace(recipe=day.recipe._replace(kind=kind)), {}))


def test_what_an_unknown_water_leaves_open_is_said() -> None:
    assert (
        "of the mash pH only what holds for any drinking water"
        in one("water/source-unknown", IN_MASH).message
    )
    dry = together(IN_MASH, mash_steps(step("Saccharification", "infusion", None, 66)))
    salted = "of its ions only what the additions bring is judged, and the mash pH is not"
    assert salted in one("water/source-unknown", dry).message
    plain = together(dry, additions())
    assert "neither its ions nor the mash pH" in one("water/source-unknown", plain).message
    extract = together(IN_MASH, additions(), {"type": "extract", "mash": {"mash_steps": []}})
    assert one("water/source-unknown", extract).message.endswith("so its ions are not judged")


def test_a_water_without_any_ions_is_named_and_not_called_zero() -> None:
    record = {"name": "Aldermoor pond", "amount": {"value": 20, "unit": "l"}}
    item = one("water/source-unknown", water(record))
    assert "in the water 'Aldermoor pond'" in item.message
    assert item.pointer.endswith("/water_additions/0")
    assert not found("water/source-all-zero", water(record))


def test_litres_are_handed_over_with_a_tenth() -> None:
    blend = water(well("Aldermoor well", 30.04), well("Aldermoor spring", 20.33, **HARD))
    assert one("water/volume-mismatch", blend).values["value"] == 50.4
    bottled = more_additions(dose("Spring water", 2.26, "l", kind="other"))
    assert one("water/bottled-water-as-addition", bottled).values["litres"] == 2.3


def test_the_batch_that_was_filled_in_is_handed_over_with_a_tenth() -> None:
    blend = water(well("Aldermoor well", 20.14), well("Aldermoor spring", 20.14, **HARD))
    patch = together(blend, {"batch_size": {"value": 20.14, "unit": "l"}})
    assert one("water/volume-is-batch-size", patch).values["value"] == 20.1
