"""An ambiguity is reported where a verdict hangs on it, and nowhere else."""

from __future__ import annotations

import periodictable
import pytest

from recipe_tools.rules.examples import additions, dose, more_additions, together, well_with
from tests.rules.brew import found, one

HYDRATE = "addition/hydrate-ambiguous"
GYPSUM = dose("Gypsum (calcium sulfate dihydrate)", 3, step=1)


def chloride(name: str, grams: float) -> dict[str, object]:
    """Return the plain salts with so much of a calcium chloride."""
    return additions(GYPSUM, dose(name, grams, step=1))


def test_a_small_unnamed_dose_changes_nothing_and_is_passed_over() -> None:
    assert not found(HYDRATE, chloride("Calcium chloride", 1.5))


def test_a_dose_at_a_limit_is_reported() -> None:
    # anhydrous brings 1.325 times the ions of the dihydrate; the style ends at 100 mg/L chloride
    factor = periodictable.formula("CaCl2(H2O)2").mass / periodictable.formula("CaCl2").mass
    assert factor == pytest.approx(1.325, abs=0.001)
    grams = 0.9 * (100 - 22) * 28.5 / 482.3  # as dihydrate below 100, as anhydrous above
    item = one(HYDRATE, chloride("Calcium chloride", grams))
    assert "chloride" in item.message


@pytest.mark.parametrize(
    "name", ["Calcium chloride dihydrate", "CaCl2·2H2O", "Calcium chloride anhydrous"]
)
def test_a_named_hydrate_is_never_doubted(name: str) -> None:
    assert not found(HYDRATE, chloride(name, 4.5))


def test_a_bottle_on_the_shelf_settles_the_hydrate() -> None:
    shelf = {"shelf": [{"agent": "calcium chloride dihydrate", "form": "solid"}]}
    assert found(HYDRATE, chloride("Calcium chloride", 4.5))
    assert not found(HYDRATE, chloride("Calcium chloride", 4.5), shelf)


def test_an_acid_without_strength_is_asked_about() -> None:
    # in trade: lactic 80 and 88 %, phosphoric 10, 75 and 85 %
    item = one("addition/strength-missing", more_additions(dose("Phosphoric acid", 5, "ml")))
    assert (item.values["low"], item.values["high"]) == (10, 85)


@pytest.mark.parametrize("name", ["Lactic acid 88%", "Milchsäure 80 %", "Phosphoric acid 10 % w/w"])
def test_a_named_strength_is_taken(name: str) -> None:
    assert not found("addition/strength-missing", more_additions(dose(name, 2, "ml")))


def test_a_drop_of_acid_moves_nothing_whatever_its_strength() -> None:
    assert not found("addition/strength-missing", more_additions(dose("Lactic acid", 0.3, "ml")))


def test_grams_of_33_percent_may_be_flakes_or_a_solution() -> None:
    # real files carry this name in grams and in millilitres
    assert found("addition/solution-or-solid", chloride("Calcium chloride (CaCl2) 33 %", 8))
    as_solution = additions(GYPSUM, dose("Calcium chloride (CaCl2) 33 %", 8, "ml", step=1))
    assert not found("addition/solution-or-solid", as_solution)
    named = chloride("Calcium chloride solution 33 %", 8)
    assert not found("addition/solution-or-solid", named)


def test_with_unknown_water_no_limit_can_decide() -> None:
    unknown = {"ingredients": {"water_additions": []}}
    assert not found(HYDRATE, together(chloride("Calcium chloride", 4.5), unknown))


def test_a_doubt_names_the_water_the_salt_goes_into() -> None:
    item = one(HYDRATE, together(chloride("Calcium chloride", 4.5), well_with(calcium=25)))
    assert item.related[0].pointer.endswith("/mash_steps/0")
