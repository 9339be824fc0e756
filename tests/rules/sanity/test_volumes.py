"""Volumes that can be true together."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from recipe_tools.checking import check_bytes
from recipe_tools.recipe import Equipment
from recipe_tools.rules import recipe_rules
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    SPARGE_STEP,
    STRIKE_STEP,
    document,
    malt,
    mash_steps,
    merge_patch,
    quantity,
    step,
    xml_file,
)
from tests.rules.brew import day_of, found

VOLUMES = "recipe/volumes-do-not-add-up"
THICKNESS = "recipe/thickness-unusual"
GRAIN_KG = 4.2


@pytest.mark.parametrize(
    ("litres_per_kg", "speaks"),
    [(1.0, True), (2.5, False), (3.5, False), (6.5, False), (12.0, True)],
)
def test_usual_mashes_pass_also_those_without_a_sparge(litres_per_kg: float, speaks: bool) -> None:
    # common practice, no source: 2 to 4 L/kg; all water in the mash gives 6 to 7
    patch = mash_steps(step("Rest", "infusion", litres_per_kg * GRAIN_KG, 66))
    assert bool(found(THICKNESS, patch)) is speaks


def test_grain_keeps_about_a_litre_per_kilogram() -> None:
    # 28.5 L less 0.8 x 4.2 L held by the grain leave 25.1 L
    assert not found(VOLUMES, {"batch_size": quantity(25, "l")})
    assert found(VOLUMES, {"batch_size": quantity(28, "l")})


def test_a_forgotten_sparge_is_seen() -> None:
    assert found(VOLUMES, mash_steps(STRIKE_STEP))


def test_far_too_much_water_is_seen() -> None:
    flood = mash_steps(STRIKE_STEP, {**SPARGE_STEP, "amount": quantity(60, "l")})
    assert found(VOLUMES, flood)


def test_a_boil_smaller_than_the_batch_is_seen() -> None:
    assert found(VOLUMES, {"boil": {"pre_boil_size": quantity(12, "l")}})


def test_a_mash_given_by_its_thickness_has_water() -> None:
    thick = {"water_grain_ratio": quantity(3.0, "l/kg")}
    patch = mash_steps({**step("Rest", "infusion", None, 66), **thick}, SPARGE_STEP)
    assert not found("recipe/no-mash-water", patch)


def test_extract_beer_has_no_mash_water() -> None:
    patch = merge_patch(mash_steps(step("Rest", "infusion", None, 66)), {"type": "extract"})
    assert not found("recipe/no-mash-water", patch)


@pytest.mark.parametrize(
    ("litres_per_kg", "limit"), [(1.79, 1.8), (1.81, None), (8.99, None), (9.01, 9.0)]
)
def test_a_thickness_is_unusual_outside_of_its_limits(
    litres_per_kg: float, limit: float | None
) -> None:
    patch = mash_steps(step("Rest", "infusion", litres_per_kg * GRAIN_KG, 66), SPARGE_STEP)
    items = found(THICKNESS, patch)
    assert [item.values["limit"] for item in items] == ([] if limit is None else [limit])
    side = "below" if limit == 1.8 else "above"
    for item in items:
        assert item.message.endswith(f" L/kg, {side} {limit:g}")
        assert item.pointer.endswith("/mash_steps/0/amount")


@pytest.mark.parametrize(("batch", "speaks"), [(26.4, False), (26.5, True)])
def test_five_percent_of_the_batch_may_be_missing(batch: float, speaks: bool) -> None:
    # 28.5 L less 0.8 x 4.2 L leave 25.14 L: 95 % of 26.46 L
    large = {"batch_size": quantity(batch, "l"), "boil": {"pre_boil_size": quantity(30, "l")}}
    assert bool(found(VOLUMES, large)) is speaks


@pytest.mark.parametrize(("sparge", "speaks"), [(24.5, False), (24.6, True)])
def test_more_water_than_can_boil_away_is_too_much(sparge: float, speaks: bool) -> None:
    # 20 L, a quarter of it left behind, 1.2 x 4.2 L in the grain, 1.5 L below it, 6 L in the hour
    flood = mash_steps(STRIKE_STEP, {**SPARGE_STEP, "amount": quantity(sparge, "l")})
    items = found(VOLUMES, flood)
    assert bool(items) is speaks
    for item in items:
        assert item.values == {"value": round(13 + sparge, 1), "batch": 20.0, "unit": "L"}
        assert "for 20.0 L of beer is more than brewing takes" in item.message
        assert item.message.endswith("6.1 L an hour would have to boil away, 6.0 L at most do")


def sized(batch: float, water: float, minutes: float, grain_kg: float) -> bytes:
    """Return a BeerJSON file of that size; half of the water is sparge."""
    half = quantity(water / 2, "l")
    patch = {
        "batch_size": quantity(batch, "l"),
        "ingredients": {"fermentable_additions": [malt("Pale ale malt", grain_kg, 3)]},
        "boil": {
            "pre_boil_size": quantity(water - grain_kg, "l"),
            "boil_time": quantity(minutes, "min"),
        },
        **mash_steps({**STRIKE_STEP, "amount": half}, {**SPARGE_STEP, "amount": half}),
    }
    return document(merge_patch(PLAIN_RECIPE, patch))


def xml_sized(batch: float, water: float, minutes: float, grain_kg: float) -> bytes:
    """Return the same in BeerXML, where the sparge follows from the boil size."""
    text = xml_file().decode()
    for old, new in (
        ("<BATCH_SIZE>20<", f"<BATCH_SIZE>{batch}<"),
        ("<BOIL_SIZE>24<", f"<BOIL_SIZE>{water - grain_kg - 0.5}<"),
        ("<BOIL_TIME>60<", f"<BOIL_TIME>{minutes}<"),
        ("<AMOUNT>3.9<", f"<AMOUNT>{grain_kg}<"),
        ("<AMOUNT>0.2<", "<AMOUNT>0<"),
        ("<AMOUNT>0.1<", "<AMOUNT>0<"),
        ("<INFUSE_AMOUNT>13<", f"<INFUSE_AMOUNT>{water / 2}<"),
    ):
        assert old in text
        text = text.replace(old, new)
    return text.encode()


@pytest.mark.parametrize("written", [sized, xml_sized])
@pytest.mark.parametrize(
    ("batch", "water", "minutes", "grain_kg", "speaks"),
    [
        # a pot on a stove loses 2 to 4 L/h whatever is in it (common practice, no source)
        (1.0, 3.0, 60, 0.25, False),
        (1.0, 4.5, 60, 0.25, False),
        (1.0, 12.0, 60, 0.25, True),
        (4.0, 9.0, 60, 1.0, False),
        (4.0, 11.5, 90, 1.0, False),
        (4.0, 19.0, 60, 1.0, True),
        (20.0, 32.0, 60, 4.2, False),
        (20.0, 42.0, 180, 8.0, False),
        (20.0, 60.0, 60, 4.2, True),
        (1000.0, 1300.0, 60, 200.0, False),
        (1000.0, 1450.0, 90, 200.0, False),
        (1000.0, 2200.0, 60, 200.0, True),
    ],
)
def test_evaporation_goes_by_hour_and_kettle(
    written: Callable[..., bytes],
    batch: float,
    water: float,
    minutes: float,
    grain_kg: float,
    speaks: bool,
) -> None:
    data = written(batch, water, minutes, grain_kg)
    name = "weir.xml" if data.startswith(b"<") else "weir.json"
    said = [item for item in check_bytes(data, name).findings if item.rule == VOLUMES]
    assert bool(said) is speaks
    assert all("would have to boil away" in item.message for item in said)


@pytest.mark.parametrize(("boil", "speaks"), [(18.9, True), (19.1, False), (0.0, False)])
def test_a_boil_may_fall_short_of_the_batch_by_five_percent(boil: float, speaks: bool) -> None:
    items = found(VOLUMES, {"boil": {"pre_boil_size": quantity(boil, "l")}})
    assert bool(items) is speaks
    for item in items:
        assert item.values["value"] == boil
        assert item.message == f"The boil of {boil:.1f} L is smaller than the batch of 20.0 L"


def test_water_is_told_before_the_boil_and_only_once() -> None:
    short = merge_patch(mash_steps(STRIKE_STEP), {"boil": {"pre_boil_size": quantity(12, "l")}})
    (item,) = found(VOLUMES, short)
    assert "of water leave at most" in item.message


@pytest.mark.parametrize(
    ("absorption", "least"), [(None, 0.8), (0.5, 0.5), (1.2, 0.8), (-1.0, 0.8), (0.0, 0.0)]
)
def test_grain_that_is_stated_to_keep_less_keeps_less(
    absorption: float | None, least: float
) -> None:
    day = day_of()
    entry = recipe_rules()[VOLUMES]
    options = {name: option.default for name, option in entry.declaration.options.items()}
    equipment = Equipment(grain_absorption_l_kg=absorption)
    recipe = day.recipe._replace(equipment=equipment, batch_l=40.0)
    (item,) = entry.check(day._replace(recipe=recipe), options)
    assert item.values["value"] == pytest.approx(28.5 - least * GRAIN_KG, abs=0.051)


def test_top_up_water_counts_with_the_boil() -> None:
    day = day_of({"boil": {"pre_boil_size": quantity(12, "l")}})
    entry = recipe_rules()[VOLUMES]
    options = {name: option.default for name, option in entry.declaration.options.items()}
    assert list(entry.check(day._replace(top_up_l=6.9), options))
    assert not list(entry.check(day._replace(top_up_l=7.1), options))


@pytest.mark.parametrize("batch", [None, 0.0, -20.0])
def test_without_a_batch_there_is_nothing_to_add_up(batch: float | None) -> None:
    day = day_of({"boil": {"pre_boil_size": quantity(12, "l")}})
    entry = recipe_rules()[VOLUMES]
    options = {name: option.default for name, option in entry.declaration.options.items()}
    recipe = day.recipe._replace(batch_l=batch)
    assert not list(entry.check(day._replace(recipe=recipe), options))


def test_extract_beer_is_not_added_up() -> None:
    flood = mash_steps(STRIKE_STEP, {**SPARGE_STEP, "amount": quantity(60, "l")})
    assert not found(VOLUMES, merge_patch(flood, {"type": "extract"}))


def test_a_grist_of_nothing_needs_no_water() -> None:
    day = day_of(mash_steps(step("Rest", "infusion", None, 66)))
    entry = recipe_rules()["recipe/no-mash-water"]
    assert list(entry.check(day, {}))
    assert not list(entry.check(day._replace(grist_kg=0.0), {}))
