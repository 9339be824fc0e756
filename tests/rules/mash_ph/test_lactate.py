"""Acidulated malt and lactate."""

from __future__ import annotations

import periodictable
import pytest

from recipe_tools.rules.examples import dose, grist, malt, more_additions, style, together
from tests.rules.brew import found, one

LACTIC_ACID = periodictable.formula("C3H6O3").mass


def test_lactate_is_counted_from_the_strength_and_density_of_the_acid() -> None:
    # 80 % lactic acid weighs 1.19 kg/L (handbook, from memory); acidulated malt 315 to 358 mEq/kg
    # (Troester 2009)
    item = one("mash-ph/lactate-taste", more_additions(dose("Lactic acid 80 %", 12, "ml")))
    from_acid = 12 * 1.19 * 0.80 * 1000 * (LACTIC_ACID - 1.008) / LACTIC_ACID / 20
    from_malt = [0.1 * meq * (LACTIC_ACID - 1.008) / 20 for meq in (315, 358)]
    assert from_acid + from_malt[0] - 10 < item.values["value"] < from_acid + from_malt[1] + 10


@pytest.mark.parametrize(("share", "speaks"), [(0.03, False), (0.15, True)])
def test_three_percent_of_acidulated_malt_is_usual_and_fifteen_is_not(
    share: float, speaks: bool
) -> None:
    # 1 % of the grist lowers the mash pH by about 0.1 (Oxford Companion to Beer; Troester 2009)
    patch = grist(
        malt("Pale ale malt", 4 * (1 - share), 2.8),
        malt("Acidulated malt", 4 * share, 2.0, "specialty"),
    )
    assert bool(found("mash-ph/acidulated-share-high", patch)) is speaks


def test_sour_beer_is_meant_to_be_sour() -> None:
    patch = grist(malt("Pilsner malt", 3.4, 1.8), malt("Acidulated malt", 0.6, 2.0, "specialty"))
    sour = together(patch, style("Berliner Weisse", 23, "A"))
    assert found("mash-ph/acidulated-share-high", patch)
    assert not found("mash-ph/acidulated-share-high", sour)


SHARE = "mash-ph/acidulated-share-high"
LACTATE = "mash-ph/lactate-taste"


@pytest.mark.parametrize(("kilograms", "speaks"), [(0.399, False), (0.401, True)])
def test_a_tenth_of_acidulated_malt_passes(kilograms: float, speaks: bool) -> None:
    patch = grist(
        malt("Pale ale malt", 4 - kilograms, 2.8),
        malt("Acidulated malt", kilograms, 2.0, "specialty"),
    )
    assert bool(found(SHARE, patch)) is speaks


def test_lactate_speaks_from_its_limit_on_and_not_in_a_sour_beer() -> None:
    # without acidulated malt 10.57 mmol/mL in 20 L give 47.1 mg/L of lactate for a millilitre
    per_ml = 1.19 * 0.80 * 1000 * (LACTIC_ACID - 1.008) / LACTIC_ACID / 20
    malts = grist(malt("Pale ale malt", 4.2, 2.8))

    def speaks(millilitres: float, *patches: dict[str, object]) -> bool:
        acid = more_additions(dose("Lactic acid 80 %", millilitres, "ml", step=1))
        return bool(found(LACTATE, together(malts, acid, *patches)))

    assert not speaks(0.99 * 400 / per_ml)
    assert speaks(1.01 * 400 / per_ml)
    assert not speaks(12, style("Berliner Weisse", 23, "A"))
    assert not speaks(12, {"batch_size": None})
    assert not speaks(12, {"batch_size": {"value": 0, "unit": "l"}})


def test_lactate_of_the_bottle_and_other_acids_are_not_counted() -> None:
    late = more_additions(dose("Lactic acid 80 %", 12, "ml", use="add_to_package"))
    assert not found(LACTATE, late)
    assert found(LACTATE, more_additions(dose("Lactic acid 80 %", 12, "ml", use="add_to_boil")))
    assert not found(LACTATE, more_additions(dose("Phosphoric acid 10 %", 40, "ml", step=1)))


def test_lactate_of_malt_alone_is_told_at_the_malt() -> None:
    # 336 mEq/kg (Troester 2009): 0.3 kg bring 101 mmol
    malts = grist(malt("Pale ale malt", 3.9, 2.8), malt("Acidulated malt", 0.3, 2.0, "specialty"))
    item = one(LACTATE, together(malts, {"batch_size": {"value": 20, "unit": "l"}}))
    assert item.pointer.endswith("/fermentable_additions/1/amount")
    assert item.values["value"] == pytest.approx(0.3 * 336 * 89.07 / 20, abs=6)
