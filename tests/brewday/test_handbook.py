"""Figures of handbooks and notes, taken from a recipe file to the number a brewer reads."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools.brewday import BrewDay
from recipe_tools.checking import CheckedFile, check_bytes
from recipe_tools.config.load import options_from_table
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    SPARGE_STEP,
    STRIKE_STEP,
    additions,
    document,
    dose,
    mash_steps,
    merge_patch,
    quantity,
    together,
    water,
    well,
)

US_GALLON_L = 3.785411784
PURE = dict.fromkeys(("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate"), 0.0)


def checked(*patches: dict[str, Any], **config: Any) -> CheckedFile:
    recipe = merge_patch(PLAIN_RECIPE, together(*patches))
    return check_bytes(document(recipe), "brew.json", options_from_table(config))


def day_of(file: CheckedFile) -> BrewDay:
    day = file.recipes[0].day
    assert day is not None
    return day


def test_calcium_chloride_of_33_percent_holds_434_grams_a_litre() -> None:
    # 1.315 kg/L (handbook tables, interpolated) x 33 %; CaCl2 is 40.078/110.98 calcium (IUPAC)
    file = checked(
        water(well("Distilled water", 30, **PURE)),
        additions(dose("Calcium chloride solution 33 %", 10, "ml", step=1)),
    )
    mash = day_of(file).mash
    assert mash is not None
    assert mash.ions_mg_l["calcium"].best == pytest.approx(
        10 * 0.434 * 1000 * 0.36113 / 13.0, rel=0.005
    )
    assert mash.ions_mg_l["chloride"].best == pytest.approx(
        10 * 0.434 * 1000 * 0.63887 / 13.0, rel=0.005
    )


@pytest.mark.parametrize(("chlorine", "enough"), [(4.2, True), (4.3, True), (4.8, False)])
def test_one_tablet_is_enough_for_twenty_gallons_of_usual_tap_water(
    chlorine: float, enough: bool
) -> None:
    # 0.44 g in 20 US gal (75.7 L) is 5.81 mg/L; 1.341 mg of the sodium salt take out 1 mg of Cl2:
    # 4.33 mg/L (stoichiometry). The option lets a dose of 95 % of the need pass.
    litres = 20 * US_GALLON_L
    mash = {**STRIKE_STEP, "amount": quantity(35.0, "l")}
    sparge = {**SPARGE_STEP, "amount": quantity(litres - 35.0, "l")}
    file = checked(
        mash_steps(mash, sparge),
        {"batch_size": quantity(55, "l"), "boil": {"pre_boil_size": quantity(65, "l")}},
        additions(dose("Campden tablet (sodium metabisulfite)", 1, "1")),
        water={"chlorine_mg_l": chlorine},
    )
    rules = {item.rule for item in file.findings}
    assert ("addition/sulfite-dose-low" not in rules) == enough
    assert "water/chlorine-untreated" not in rules
    total = day_of(file).total
    assert total is not None
    assert total.volume_l.best == pytest.approx(75.7, abs=0.05)
    tablet = day_of(file).doses[0]
    assert tablet.grams is not None
    assert 1000 * tablet.grams.best / total.volume_l.best == pytest.approx(5.81, abs=0.01)


@pytest.mark.parametrize(
    ("acid", "meq_ml"),
    [
        ("Lactic acid 88 %", 11.45),
        ("Lactic acid 80 %", 10.27),
        ("Phosphoric acid 10 %", 1.09),
        ("Phosphoric acid 85 %", 14.87),
        ("Hydrochloric acid 10 %", 2.87),
    ],
)
def test_acid_brings_sparge_water_to_the_ph_of_the_table(acid: str, meq_ml: float) -> None:
    # From pH 7.5 to 5.5: 0.88 of the alkalinity (first constant of carbonic acid, 6.38 at 20 °C).
    # mEq per millilitre at pH 5.4 from handbook densities. At 25 °C, where pH is read, the constant
    # is 6.35 and the share 0.87: the water ends 0.05 lower.
    alkalinity_meq_l, litres = 4.0, 15.5
    millilitres = round(0.88 * alkalinity_meq_l * litres / meq_ml, 2)
    record = well(
        "Aldermoor well", 30, calcium=70.0, sodium=20.0, bicarbonate=alkalinity_meq_l * 61.016
    )
    file = checked(
        water({**record, "pH": quantity(7.5, "pH")}),
        additions(dose(acid, millilitres, "ml", step=2)),
    )
    sparge = day_of(file).sparge
    assert sparge is not None
    assert sparge.after_acid is not None
    assert sparge.after_acid.ph == pytest.approx(5.45, abs=0.03)


def test_ten_german_degrees_of_residual_alkalinity_move_a_mash_by_a_third() -> None:
    # "10 °dH of residual alkalinity shift the mash by about 0.3" (Kolbach's rule, as brewers quote
    # it for mashes of 4 L/kg and a pale grist)
    four = mash_steps({**STRIKE_STEP, "amount": quantity(4 * 4.2, "l")}, SPARGE_STEP)
    soft = checked(four, additions(), water(well("Distilled water", 30, **PURE)))
    hard_ions = {**PURE, "sodium": 82.0, "bicarbonate": 10 * 21.76}
    hard = checked(four, additions(), water(well("Aldermoor well", 30, **hard_ions)))
    first, second = day_of(soft).prediction, day_of(hard).prediction
    assert first is not None
    assert second is not None
    assert second.ph - first.ph == pytest.approx(0.3, abs=0.06)
