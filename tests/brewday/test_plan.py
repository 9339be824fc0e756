"""The brew day as a whole, against numbers worked out by hand."""

from __future__ import annotations

import pytest

from recipe_tools.brewday import BrewDay, plan
from recipe_tools.config import MaltLot, Options
from recipe_tools.recipe import (
    Addition,
    Fermentable,
    Mash,
    MashStep,
    Recipe,
    WaterSource,
)

LOT = Options(
    malts=(MaltLot("Lot malt", di_ph=5.72, buffer_meq_kg_ph=38.0, di_water_l_kg=4.0),),
    sparge=False,
)
NO_IONS = {
    "calcium": 0.0,
    "magnesium": 0.0,
    "sodium": 0.0,
    "chloride": 0.0,
    "sulfate": 0.0,
    "bicarbonate": 0.0,
}


def day(
    mash_l: float,
    ions: dict[str, float],
    *additions: Addition,
    ph: float = 8.0,
    options: Options = LOT,
    kind: str = "all grain",
    name: str = "Aldermoor",
) -> BrewDay:
    recipe = Recipe(
        index=0,
        name="Lot brew",
        kind=kind,
        batch_l=20.0,
        boil_l=25.0,
        fermentables=(Fermentable("Lot malt", amount_kg=5.0, colour_ebc=3.5),),
        additions=additions,
        waters=(WaterSource(name, ions_mg_l={**NO_IONS, **ions}, ph=ph),),
        mash=Mash(steps=(MashStep(water_l=mash_l),)),
    )
    return plan(recipe, options)


@pytest.mark.parametrize(
    ("mash_l", "ions", "water_ph", "expected"),
    [
        # pure water at the thickness of the malt test: the pH is that of the test
        (20.0, {}, 7.0, 5.720),
        # 5.72 + 0.30 log10(3/4) = 5.683
        (15.0, {}, 7.0, 5.683),
        # 3 mEq/L alkalinity, by the proton balance with carbonate constants at 25 °C
        (20.0, {"bicarbonate": 3 * 61.016}, 8.0, 5.944),
        # the same with 4 mEq/L calcium and 1 mEq/L magnesium (divisors 3.5 and 7, Kolbach 1953)
        (
            20.0,
            {"bicarbonate": 3 * 61.016, "calcium": 4 * 20.039, "magnesium": 12.1525},
            8.0,
            5.825,
        ),
    ],
)
def test_mash_ph_of_a_single_lot(
    mash_l: float, ions: dict[str, float], water_ph: float, expected: float
) -> None:
    name = "distilled water" if not ions else "Aldermoor"
    found = day(mash_l, ions, ph=water_ph, name=name).prediction
    assert found is not None
    assert found.ph == pytest.approx(expected, abs=0.002)
    assert found.low < found.ph < found.high


def test_salts_and_acid_go_into_the_water_of_their_stage() -> None:
    found = day(
        15.0,
        {"calcium": 20.0, "bicarbonate": 61.016},
        Addition("Gypsum", "water agent", "mash", mass_g=3.0),
        Addition("Hydrochloric acid 10 %", "water agent", "mash", volume_ml=2.0),
    )
    assert found.mash is not None
    # 20 + 3000 x 40.078/172.164 / 15 = 20 + 46.56
    assert found.mash.ions_mg_l["calcium"].best == pytest.approx(66.56, abs=0.05)
    # 2 mL x 1.0474 kg/L x 10 % / 36.458 g/mol = 5.746 mmol of chloride = 203.7 mg in 15 L
    assert found.mash.ions_mg_l["chloride"].best == pytest.approx(13.58, abs=0.05)
    # alkalinity is that before acid; residual = 1 - (66.56/20.039)/3.5 = 0.051
    assert found.mash.alkalinity_meq_l is not None
    assert found.mash.alkalinity_meq_l.best == pytest.approx(1.0)
    assert found.mash.residual_alkalinity_meq_l is not None
    assert found.mash.residual_alkalinity_meq_l.best == pytest.approx(0.051, abs=0.002)
    # after acid: 1.000 - 5.746/15 = 0.617 mEq/L of bicarbonate, carbonate and hydroxide
    assert found.mash.after_acid is not None
    assert found.mash.after_acid.alkalinity_meq_l == pytest.approx(0.617, abs=0.02)


def test_total_is_all_water_with_all_salts() -> None:
    found = day(
        15.0,
        {"sulfate": 10.0},
        Addition("Gypsum", "water agent", "boil", mass_g=3.0),
        options=Options(malts=LOT.malts),
    )
    assert found.mash is not None
    assert found.total is not None
    assert found.mash.ions_mg_l["sulfate"].best == pytest.approx(10.0)
    # sparge = 25 - (15 - 5 x 1.0 - 0.5) = 15.5 L, so 30.5 L in all;
    # 3000 x 96.056/172.164 = 1673.8 mg
    assert found.total.volume_l.best == pytest.approx(30.5)
    assert found.total.ions_mg_l["sulfate"].best == pytest.approx(10 + 1673.8 / 30.5, abs=0.05)


def test_unknown_water_gives_volumes_and_a_wide_band_but_no_ions() -> None:
    recipe = Recipe(
        index=0,
        name="No water",
        kind="all grain",
        fermentables=(Fermentable("Lot malt", amount_kg=5.0, colour_ebc=3.5),),
        mash=Mash(steps=(MashStep(water_l=15.0),)),
    )
    unknown = plan(recipe, LOT)
    assert not unknown.source.known
    assert unknown.mash is not None
    assert not unknown.mash.ions_mg_l
    assert unknown.prediction is not None
    known = day(15.0, {"bicarbonate": 122.0}).prediction
    assert known is not None
    assert unknown.prediction.high - unknown.prediction.low > known.high - known.low


@pytest.mark.parametrize("kind", ["extract", "cider", "mead"])
def test_without_a_mash_there_is_no_mash_ph_and_nothing_is_missing(kind: str) -> None:
    found = day(15.0, {"calcium": 50.0}, kind=kind)
    assert found.prediction is None
    beer = kind == "extract"
    assert found.not_predictable == (("nothing is mashed",) if beer else ())
    assert ("nothing-mashed" in {item.id for item in found.assumptions}) is beer
    # cider is juice; extract and honey are dissolved in water
    assert (found.total is None) == (kind == "cider")


def test_where_no_step_names_its_water_the_kettle_stands_for_it_and_that_is_said() -> None:
    recipe = Recipe(index=0, name="Kettle Amber", kind="extract", batch_l=20.0, boil_l=24.0)
    said = plan(recipe, Options()).assumptions
    assert [(item.id, item.text) for item in said if item.id.startswith("water-")] == [
        ("water-is-boil-size", "all water taken as the boil size of 24.0 L")
    ]


def test_a_mash_without_volume_says_what_is_missing() -> None:
    recipe = Recipe(
        index=0,
        name="Dry run",
        kind="all grain",
        fermentables=(Fermentable("Pale malt", amount_kg=5.0),),
        mash=Mash(steps=(MashStep(),)),
    )
    found = plan(recipe, Options())
    assert found.prediction is None
    assert found.not_predictable == ("no mash water volume",)


def test_more_acid_in_the_recipe_lowers_the_predicted_ph() -> None:
    water = {"bicarbonate": 200.0}
    without = day(15.0, water).prediction
    acid = Addition("Phosphoric acid 10 %", "water agent", "mash", volume_ml=20.0)
    with_acid = day(15.0, water, acid).prediction
    assert without is not None
    assert with_acid is not None
    # 20 mL x 1.09 mEq/mL into 5 kg is 4.4 mEq/kg; the buffer of the lot is 38, water adds to it
    assert without.ph - with_acid.ph == pytest.approx(4.4 / 45, abs=0.02)


def test_a_mole_of_soda_ash_takes_two_protons_less_what_stays_bicarbonate() -> None:
    # 10 mmol Na2CO3 (1.05988 g) act as 10 mmol NaHCO3 (0.84006 g) and 10 mEq of lye (0.39997 g)
    water = {"bicarbonate": 0.0}
    soda = day(20.0, water, Addition("Sodium carbonate", "water agent", "mash", mass_g=1.05988))
    both = day(
        20.0,
        water,
        Addition("Baking soda", "water agent", "mash", mass_g=0.84006),
        Addition("Sodium hydroxide", "water agent", "mash", mass_g=0.39997),
    )
    assert soda.prediction is not None
    assert both.prediction is not None
    assert soda.prediction.ph == pytest.approx(both.prediction.ph, abs=0.001)
