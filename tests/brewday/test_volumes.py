"""Which amounts of a recipe are water, and where it goes (common practice, no source)."""

from __future__ import annotations

import pytest

from recipe_tools.brewday.volumes import Volumes, plan_volumes
from recipe_tools.config import Options
from recipe_tools.recipe import Equipment, Mash, MashStep, Recipe


def volumes(
    *steps: MashStep,
    boil_l: float | None = 28.0,
    grist_kg: float = 5.0,
    options: Options | None = None,
    states_sparge: bool = False,
    equipment: Equipment | None = None,
) -> Volumes:
    recipe = Recipe(
        index=0,
        name="Fen Pale",
        kind="all grain",
        batch_l=20.0,
        boil_l=boil_l,
        mash=Mash(steps=steps),
        states_sparge=states_sparge,
        equipment=equipment,
    )
    return plan_volumes(recipe, grist_kg, options or Options())


def ids(planned: Volumes) -> set[str]:
    return {item.id for item in planned.assumptions}


@pytest.mark.parametrize("kind", ["infusion", "temperature", "decoction", "strike"])
def test_the_amount_of_the_first_step_is_strike_water_whatever_its_type(kind: str) -> None:
    planned = volumes(MashStep(kind=kind, water_l=15.0))
    assert planned.mash_l is not None
    assert planned.mash_l.best == 15.0


def test_a_later_infusion_adds_water() -> None:
    planned = volumes(MashStep(water_l=12.0), MashStep(water_l=5.0))
    assert planned.mash_l is not None
    assert planned.mash_l.best == 17.0


def test_a_temperature_step_that_repeats_the_strike_adds_nothing_and_is_said() -> None:
    planned = volumes(MashStep(water_l=15.0), MashStep(kind="temperature", water_l=15.0))
    assert planned.mash_l is not None
    assert planned.mash_l.best == 15.0
    assert "strike-repeated" in ids(planned)


def test_a_later_decoction_is_mash_taken_out_not_water() -> None:
    planned = volumes(MashStep(water_l=15.0), MashStep(kind="decoction", water_l=6.0))
    assert planned.mash_l is not None
    assert planned.mash_l.best == 15.0
    assert "decoction-is-mash" in ids(planned)


def test_strike_water_follows_from_a_stated_thickness() -> None:
    planned = volumes(MashStep(water_l=None, water_to_grist_l_kg=3.0), grist_kg=5.0)
    assert planned.mash_l is not None
    assert planned.mash_l.best == pytest.approx(15.0)
    assert "strike-from-thickness" in ids(planned)


def test_no_amount_anywhere_is_unknown_and_not_zero() -> None:
    assert volumes(MashStep(water_l=None), MashStep(water_l=0.0)).mash_l is None


def test_the_sparge_of_a_beerxml_recipe_follows_from_the_boil_size() -> None:
    # 28 L in the kettle; 15 L of mash water less 5 kg x 1.0 L/kg and 0.5 L left behind give 9.5 L
    planned = volumes(MashStep(water_l=15.0))
    assert planned.sparge_l is not None
    assert planned.sparge_l.best == pytest.approx(28.0 - (15.0 - 5.0 - 0.5))
    assert planned.sparge_l.low < planned.sparge_l.best < planned.sparge_l.high
    assert "sparge-from-boil-size" in ids(planned)
    assert planned.total_l == pytest.approx(15.0 + 18.5)


def test_a_configured_absorption_and_dead_space_replace_the_defaults() -> None:
    planned = volumes(
        MashStep(water_l=15.0), options=Options(grain_absorption_l_kg=0.8, dead_space_l=2.0)
    )
    assert planned.sparge_l is not None
    assert planned.sparge_l.best == pytest.approx(28.0 - (15.0 - 4.0 - 2.0))
    assert planned.sparge_l.exact


def test_kettle_top_up_is_water_that_need_not_be_sparged() -> None:
    planned = volumes(MashStep(water_l=15.0), equipment=Equipment(top_up_kettle_l=4.0))
    assert planned.sparge_l is not None
    assert planned.sparge_l.best == pytest.approx(14.5)
    assert planned.total_l == pytest.approx(15.0 + 14.5 + 4.0)


def test_a_full_volume_mash_has_no_sparge() -> None:
    planned = volumes(MashStep(water_l=34.0))
    assert planned.sparge_l is None
    assert "no-sparge" in ids(planned)


def test_a_difference_that_is_no_more_than_the_error_of_a_kettle_mark_is_no_sparge() -> None:
    # 28 L + 5 kg x 1.0 L/kg + 0.5 L = 33.5 L: one mash takes it all, read a little differently
    for written in (33.45, 33.0, 32.6):
        planned = volumes(MashStep(water_l=written))
        assert planned.sparge_l is None, written
        assert "no-sparge" in ids(planned)
    # with 0.8 L/kg held by the grain 30 L of mash water still leave 2 L to rinse with
    assert volumes(MashStep(water_l=30.0)).sparge_l is not None


def test_a_sparge_step_states_its_own_volume() -> None:
    planned = volumes(
        MashStep(water_l=15.0), MashStep(kind="sparge", water_l=12.0), states_sparge=True
    )
    assert planned.mash_l is not None
    assert planned.sparge_l is not None
    assert (planned.mash_l.best, planned.sparge_l.best) == (15.0, 12.0)


def test_where_the_standard_can_state_a_sparge_silence_means_none() -> None:
    assert volumes(MashStep(water_l=15.0), states_sparge=True).sparge_l is None
    asked = volumes(MashStep(water_l=15.0), states_sparge=True, options=Options(sparge=True))
    assert asked.sparge_l is not None


def test_a_brewery_that_never_sparges_is_taken_at_its_word() -> None:
    assert volumes(MashStep(water_l=15.0), options=Options(sparge=False)).sparge_l is None


def test_without_a_boil_size_the_sparge_is_unknown_and_said() -> None:
    planned = volumes(MashStep(water_l=15.0), boil_l=None)
    assert planned.sparge_l is None
    assert "sparge-unknown" in ids(planned)


def test_extract_brews_count_the_kettle_as_their_water() -> None:
    recipe = Recipe(index=0, name="Kettle Amber", kind="extract", batch_l=20.0, boil_l=24.0)
    planned = plan_volumes(recipe, 0.0, Options())
    assert planned.mash_l is None
    assert planned.total_l == 24.0


def test_what_is_boiled_in_part_is_topped_up_to_the_batch() -> None:
    def total(boil_l: float, top_up_l: float) -> float | None:
        recipe = Recipe(
            index=0,
            name="Kettle Amber",
            kind="extract",
            batch_l=20.0,
            boil_l=boil_l,
            equipment=Equipment(top_up_fermenter_l=top_up_l),
        )
        return plan_volumes(recipe, 0.0, Options()).total_l

    assert total(12.0, 0.0) == 20.0
    assert total(12.0, 10.0) == 22.0
    assert total(12.0, 4.0) == 20.0
    assert total(24.0, 2.0) == 26.0
