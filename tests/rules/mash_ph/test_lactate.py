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
