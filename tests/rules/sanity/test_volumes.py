"""Volumes that can be true together."""

from __future__ import annotations

import pytest

from recipe_tools.rules.examples import (
    SPARGE_STEP,
    STRIKE_STEP,
    mash_steps,
    merge_patch,
    quantity,
    step,
)
from tests.rules.brew import found

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
