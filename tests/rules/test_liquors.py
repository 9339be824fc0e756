"""Where ions come from, which water is judged, and which place of the file a finding names."""

from __future__ import annotations

from typing import Any

import periodictable
import pytest

from recipe_tools.brewday import BrewDay, Dose
from recipe_tools.judgement.ions import range_of
from recipe_tools.rules.examples import (
    SPARGE_STEP,
    STRIKE_STEP,
    additions,
    dose,
    mash_steps,
    step,
    style,
    together,
    water,
    well,
)
from recipe_tools.rules.liquors import (
    amount_text,
    family_name,
    into_water,
    liquor_of,
    mash_pointer,
    mostly_from,
    related,
    shares,
    source_pointer,
)
from tests.rules.brew import day_of

GYPSUM = "Gypsum (calcium sulfate dihydrate)"
RECIPE = "/beerjson/recipes/0"
MASH_L, SPARGE_L = 13.0, 15.5
SULFATE_MG_G = 1000 * (
    periodictable.formula("SO4").mass / periodictable.formula("CaSO4(H2O)2").mass
)


def dose_of(day: BrewDay, name: str) -> Dose:
    """Return the only dose of that name."""
    (item,) = [item for item in day.doses if item.addition.name == name]
    return item


def test_each_stage_has_its_water_and_taste_is_judged_by_all_of_it() -> None:
    day = day_of()
    assert liquor_of(day, "mash") is day.mash
    assert liquor_of(day, "sparge") is day.sparge
    assert liquor_of(day, "boil") is day.total
    assert day.liquor is day.total
    without_total = day._replace(total=None)
    assert without_total.liquor is day.mash
    assert liquor_of(without_total, "boil") is day.mash


def test_a_dose_into_the_source_is_shared_out_by_volume() -> None:
    # 13 of 28.5 L are the mash
    day = day_of(additions(dose(GYPSUM, 3), dose("Epsom salt", 2, step=2)))
    salt = dose_of(day, GYPSUM)._replace(stage="source")
    day = day._replace(doses=(salt, dose_of(day, "Epsom salt")))
    assert day.mash is not None
    assert day.total is not None
    in_mash = {item.label: item.milligrams for item in shares(day, "sulfate", day.mash)}
    in_all = {item.label: item.milligrams for item in shares(day, "sulfate", day.total)}
    label = f"{GYPSUM} 3.0 g"
    assert in_mash[label] == pytest.approx(3 * SULFATE_MG_G * MASH_L / 28.5, rel=1e-3)
    assert in_all[label] == pytest.approx(3 * SULFATE_MG_G, rel=1e-3)
    assert in_mash["the source water"] == pytest.approx(30 * MASH_L)
    assert "Epsom salt 2.0 g" not in in_mash
    assert "Epsom salt 2.0 g" in in_all


def test_shares_come_largest_first_and_name_their_places() -> None:
    day = day_of(additions(dose(GYPSUM, 1, step=1), dose("Epsom salt", 8, step=1)))
    assert day.total is not None
    found = shares(day, "sulfate", day.total)
    assert [item.label for item in found] == [
        "Epsom salt 8.0 g",
        "the source water",
        f"{GYPSUM} 1.0 g",
    ]
    assert [item.pointer for item in found] == [
        f"{RECIPE}/ingredients/miscellaneous_additions/1/amount",
        f"{RECIPE}/ingredients/water_additions/0/sulfate",
        f"{RECIPE}/ingredients/miscellaneous_additions/0/amount",
    ]
    assert shares(day, "iron", day.total) == ()


def test_what_goes_into_fermenter_or_package_is_not_in_the_water() -> None:
    late = additions(
        dose(GYPSUM, 2, use="add_to_fermentation"), dose("Epsom salt", 2, use="add_to_package")
    )
    day = day_of(late)
    assert [item.stage for item in day.doses] == ["fermenter", "package"]
    assert not [item for item in day.doses if item.in_wort]
    assert day.total is not None
    assert [item.label for item in shares(day, "sulfate", day.total)] == ["the source water"]


def test_only_parts_of_a_tenth_or_more_are_worth_naming() -> None:
    # 30 mg/L in 28.5 L are 855 mg; one gram of gypsum brings 558 mg of sulfate
    def named(grams: float) -> list[str]:
        day = day_of(additions(dose(GYPSUM, 20, step=1), dose("Epsom salt", grams, step=1)))
        assert day.total is not None
        found = shares(day, "sulfate", day.total)
        return [item.message for item in related(found, "sulfate")]

    # Epsom salt brings 390 mg of sulfate per gram: a tenth of the whole from 3.4 g on
    assert named(3.3) == []
    assert named(3.5) == ["Epsom salt 3.5 g also brings sulfate"]


def test_no_more_than_three_other_places_are_named() -> None:
    equal = [dose(GYPSUM, 2 + place / 10, step=1) for place in range(6)]
    day = day_of(additions(*equal))
    assert day.total is not None
    found = shares(day, "calcium", day.total)
    assert [item.message for item in related(found, "calcium")] == [
        f"{item.label} also brings calcium" for item in found[1:4]
    ]


def test_the_main_source_of_an_ion_is_named_unless_it_is_the_tap_alone() -> None:
    plain = day_of(additions())
    assert plain.total is not None
    assert mostly_from(shares(plain, "sulfate", plain.total), plain.total) == ""
    assert mostly_from((), plain.total) == ""
    day = day_of(additions(dose("Table salt", 15, step=1)))
    assert day.total is not None
    only = tuple(item for item in shares(day, "sodium", day.total) if "salt" in item.label)
    # 15 g hold 5901 mg of sodium: 207 mg/L in 28.5 L
    assert mostly_from(only, day.total) == "; most of it from Table salt 15.0 g (207 mg/L)"


def test_an_ion_is_looked_for_in_the_record_that_states_it() -> None:
    day = day_of(water(well("Aldermoor well", 15), well("Aldermoor spring", 15, nitrate=8)))
    assert source_pointer(day, "nitrate") == f"{RECIPE}/ingredients/water_additions/1/nitrate"
    assert source_pointer(day, "sulfate") == f"{RECIPE}/ingredients/water_additions/0/sulfate"
    assert source_pointer(day, "lead") == day.source.pointer
    nowhere = day_of({"ingredients": {"water_additions": None}})
    assert source_pointer(nowhere, "sulfate") == f"{RECIPE}/name"


@pytest.mark.parametrize(
    ("addition", "pointer", "words"),
    [
        (dose(GYPSUM, 2, step=1), "/mash/mash_steps/0", "goes into the mash water"),
        (dose(GYPSUM, 2, step=2), "/mash/mash_steps/1", "goes into the sparge water"),
        (dose(GYPSUM, 2), "/mash/mash_steps/0", "goes into the mash water"),
        (dose(GYPSUM, 2, step=7), "/mash/mash_steps/0", "goes into the mash water"),
        (
            dose(GYPSUM, 2, use="add_to_boil"),
            "/ingredients/water_additions/0",
            "goes into the boil",
        ),
    ],
)
def test_the_water_an_addition_goes_into_is_named(
    addition: dict[str, Any], pointer: str, words: str
) -> None:
    day = day_of(additions(addition))
    (item,) = into_water(day, day.doses[0])
    assert (item.pointer, item.message) == (RECIPE + pointer, words)


def test_the_step_of_an_addition_without_number_is_that_of_its_stage() -> None:
    turned = mash_steps(SPARGE_STEP, STRIKE_STEP)
    day = day_of(together(turned, additions(dose(GYPSUM, 2))))
    item = day.doses[0]._replace(stage="mash")
    assert into_water(day, item)[0].pointer == f"{RECIPE}/mash/mash_steps/1"
    item = item._replace(stage="sparge")
    assert into_water(day, item)[0].pointer == f"{RECIPE}/mash/mash_steps/0"
    only_mash = day_of(together(mash_steps(STRIKE_STEP), additions(dose(GYPSUM, 2))))
    item = only_mash.doses[0]._replace(stage="sparge")
    assert into_water(only_mash, item)[0].pointer == f"{RECIPE}/mash"


def test_a_recipe_without_mash_names_its_own_place() -> None:
    day = day_of({"mash": None, "type": "extract"})
    assert mash_pointer(day) == f"{RECIPE}/name"
    assert mash_pointer(day_of()) == f"{RECIPE}/mash/name"
    salt = dose_of(day, GYPSUM)._replace(stage="mash")
    assert into_water(day, salt) == ()


def test_a_style_whose_salt_is_wanted_has_no_range_for_it() -> None:
    # BJCP Style Guidelines 2021, 23G: salt is part of the style
    gose = day_of(style("Gose", 23, "G"))
    assert range_of(gose, "sodium") == (None, None)
    plain = day_of()
    assert range_of(plain, "sodium") != (None, None)
    assert plain.family is not None
    free = plain._replace(family=plain.family._replace(exempt=frozenset({"sodium"})))
    assert range_of(free, "sodium") == (None, None)
    assert range_of(free, "sulfate") == range_of(plain, "sulfate") != (None, None)
    assert range_of(plain._replace(family=None), "sodium") == range_of(plain, "sodium")
    assert range_of(plain, "iron") == (None, None)
    assert family_name(plain) == "blonde and golden ales"
    assert family_name(plain._replace(targets=None)) == ""
    assert range_of(plain._replace(targets=None), "sulfate") == (None, None)


@pytest.mark.parametrize("kind", ["extract", "cider", "mead", "soda", "kombucha", "wine"])
def test_some_drinks_are_not_mashed(kind: str) -> None:
    day = day_of()
    assert day.is_mashed
    assert not day._replace(recipe=day.recipe._replace(kind=kind)).is_mashed


def test_a_grist_or_a_mash_is_enough_to_call_it_mashed() -> None:
    day = day_of()
    without_mash = day._replace(recipe=day.recipe._replace(mash=None))
    assert without_mash.is_mashed
    assert day._replace(grist=()).is_mashed
    assert not without_mash._replace(grist=()).is_mashed


def test_volumes_and_masses_are_told_as_they_are_measured() -> None:
    day = day_of(
        additions(
            dose(GYPSUM, 2, step=1),
            dose("Lactic acid 80 %", 2, "ml", step=1),
            {k: v for k, v in dose("Epsom salt", 1, step=1).items() if k != "amount"},
        )
    )
    assert [amount_text(item) for item in day.doses] == ["2.0 g", "2.0 mL", ""]


def test_the_second_of_two_mash_steps_is_named_where_it_is_meant() -> None:
    rests = mash_steps(STRIKE_STEP, step("Second infusion", "infusion", 3, 72), SPARGE_STEP)
    day = day_of(together(rests, additions(dose(GYPSUM, 2, step=2), dose(GYPSUM, 1, step=3))))
    assert [into_water(day, item)[0].pointer[-1] for item in day.doses] == ["1", "2"]
    last = mash_steps(STRIKE_STEP, step("Second infusion", "infusion", 3, 72))
    day = day_of(together(last, additions(dose(GYPSUM, 2, step=2))))
    assert into_water(day, day.doses[0])[0].pointer[-1] == "1"
