"""What additions bring, and which doubts they leave.

Ion yields follow from molar masses (abridged IUPAC weights: Ca 40.078, S 32.06, O 15.999, H 1.008,
Cl 35.45). Acid densities: handbook values, from memory. The rest: common practice, no source.
"""

from __future__ import annotations

import pytest

from recipe_tools.brewday.doses import dose
from recipe_tools.brewday.records import Dose
from recipe_tools.config import Options, ShelfItem
from recipe_tools.recipe import Addition, Mash, MashStep, Recipe

LITRES = {"mash": 15.0, "sparge": 12.0, "source": 27.0, "boil": 25.0, "unknown": 27.0}


def understood(addition: Addition, options: Options | None = None) -> Dose:
    recipe = Recipe(index=0, name="x", mash=Mash(steps=(MashStep(), MashStep(kind="sparge"))))
    found = dose(addition, recipe, LITRES.get, options or Options())
    assert found is not None
    return found


def salt(name: str, mass_g: float = 5.0, use: str = "mash") -> Addition:
    return Addition(name, "water agent", use, mass_g=mass_g, amount=mass_g, unit="g")


def test_five_grams_of_gypsum_bring_1164_mg_of_calcium() -> None:
    found = understood(salt("Gypsum"))
    # 40.078 / 172.164 x 5000 mg and 96.056 / 172.164 x 5000 mg
    assert found.ions_mg["calcium"].best == pytest.approx(1163.9, rel=1e-3)
    assert found.ions_mg["sulfate"].best == pytest.approx(2789.7, rel=1e-3)
    assert found.doubts == ()


def test_calcium_chloride_without_a_hydrate_spans_dihydrate_and_anhydrous() -> None:
    found = understood(salt("Calcium Chloride", 3.0))
    assert "hydrate" in found.doubts
    calcium = found.ions_mg["calcium"]
    # dihydrate 40.078/147.008, anhydrous 40.078/110.978
    assert calcium.best == pytest.approx(3000 * 0.27262, rel=1e-3)
    assert calcium.high == pytest.approx(3000 * 0.36113, rel=1e-3)


@pytest.mark.parametrize("name", ["CaCl2.2H2O", "Calcium chloride dihydrate", "CaCl₂·2H₂O"])
def test_a_named_hydrate_leaves_no_doubt(name: str) -> None:
    found = understood(salt(name, 3.0))
    assert found.doubts == ()
    assert found.ions_mg["calcium"].exact


def test_the_shelf_settles_which_calcium_chloride_it_is() -> None:
    shelf = Options(shelf=(ShelfItem("calcium_chloride_anhydrous", form="solid"),))
    found = understood(salt("Calcium Chloride", 3.0), shelf)
    assert "hydrate" not in found.doubts
    assert found.ions_mg["calcium"].best == pytest.approx(3000 * 0.36113, rel=1e-3)


def test_lactic_acid_in_litres_is_millilitres_of_a_solution() -> None:
    # AMOUNT 0.0028, AMOUNT_IS_WEIGHT FALSE is 2.8 mL; 88 % w/w, 1.206 kg/L, 90.078 g/mol, pKa 3.86:
    # 2.8 x 1.206 x 0.88 / 90.078 x 1000 x 0.972 = 32.06 mEq at pH 5.4
    acid = Addition("Lactic acid 88 %", "water agent", "mash", volume_ml=2.8, is_weight=False)
    found = understood(acid)
    assert found.form == "solution"
    assert found.acid_meq.best == pytest.approx(32.06, rel=2e-3)


def test_an_acid_without_strength_spans_what_shops_sell() -> None:
    found = understood(Addition("Lactic acid", "water agent", "mash", volume_ml=2.8))
    assert "strength" in found.doubts
    assert found.strength_percent is not None
    assert found.strength_percent.low <= 80.0 < found.strength_percent.high
    assert found.acid_meq.low < found.acid_meq.high


def test_kilograms_for_grams_count_as_a_thousandth() -> None:
    found = understood(salt("Gypsum", 5000.0))
    assert "unit-slip" in found.doubts
    assert found.grams is not None
    assert found.grams.best == pytest.approx(5.0)


def test_litres_of_lactic_acid_count_as_millilitres() -> None:
    found = understood(Addition("Lactic acid 80 %", "water agent", "mash", volume_ml=4000.0))
    assert "unit-slip" in found.doubts
    assert found.millilitres is not None
    assert found.millilitres.best == pytest.approx(4.0)


def test_a_solid_without_the_mass_flag_is_read_as_kilograms() -> None:
    # all three MISC examples of the BeerXML 1.0 text leave the flag out and mean a mass
    found = understood(Addition("Gypsum", "water agent", "mash", amount=0.005))
    assert "mass-flag" in found.doubts
    assert found.grams is not None
    assert found.grams.best == pytest.approx(5.0)


def test_tablets_under_the_litre_flag_are_pieces() -> None:
    tablet = Addition("Campden tablet", "water agent", "mash", volume_ml=1000.0, is_weight=False)
    found = understood(tablet)
    assert "pieces" in found.doubts
    assert found.grams is not None
    assert 0.4 <= found.grams.best <= 0.7  # 0.44 to 0.695 g are quoted for one tablet
    assert found.stage == "source"


def test_a_mash_step_that_is_the_sparge_takes_its_acid_there() -> None:
    acid = Addition("Lactic acid 88%", "water agent", "mash", step=2, volume_ml=4.0)
    assert understood(acid).stage == "sparge"


def test_a_salt_in_the_boil_stays_in_the_boil() -> None:
    assert understood(salt("Gypsum", use="boil")).stage == "boil"


def test_bottles_and_finings_are_no_water_agents() -> None:
    recipe = Recipe(index=0, name="x")
    for name, kind in (("Irish moss", "fining"), ("Spring water", "other"), ("Lime zest", "spice")):
        addition = Addition(name, kind, "boil", volume_ml=5000.0)
        assert dose(addition, recipe, LITRES.get, Options()) is None


def test_a_water_agent_nobody_knows_is_kept_and_not_counted() -> None:
    found = understood(salt("Fen sparkle powder"))
    assert found.agent is None
    assert not found.ions_mg


def test_salt_of_a_gose_counts_although_it_is_called_a_spice() -> None:
    found = understood(Addition("Sea salt", "spice", "boil", mass_g=20.0))
    # 22.990 / 58.440 of sodium chloride is sodium
    assert found.ions_mg["sodium"].best == pytest.approx(20_000 * 0.39340, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "kilograms"), [("Gypsum", 0.1), ("Table salt", 0.5), ("Epsom salt", 4.0)]
)
def test_more_of_a_salt_than_ever_dissolves_is_counted_as_grams(
    name: str, kilograms: float
) -> None:
    # 15 L hold at most 15 x 2.4 g = 36 g of gypsum; saltier beers have 15 x 1.5 g = 23 g of salt
    found = understood(Addition(name, "water agent", "mash", mass_g=1000 * kilograms, amount=1))
    assert "unit-slip" in found.doubts
    assert found.grams is not None
    assert found.grams.best == pytest.approx(kilograms)


@pytest.mark.parametrize(
    ("name", "millilitres"),
    [("Sauergut", 1000.0), ("Lime water", 4000.0), ("Phosphoric acid 10 %", 75.0)],
)
def test_what_is_dosed_by_the_litre_is_no_slip(name: str, millilitres: float) -> None:
    # soured wort makes up 3 to 8 % of a mash (common practice, from memory); 5 mL/L of a dilute
    # acid take 5.4 mEq/L of alkalinity away
    addition = Addition(name, "water agent", "mash", volume_ml=millilitres, amount=1, unit="ml")
    found = understood(addition)
    assert "unit-slip" not in found.doubts
    assert found.millilitres is not None
    assert found.millilitres.best == millilitres


def test_acidulated_malt_among_the_additions_is_weighed_like_malt() -> None:
    found = understood(salt("Acidulated malt", 250.0))
    assert "unit-slip" not in found.doubts
