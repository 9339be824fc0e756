"""Gravity, colour, bitterness and alcohol against published tables and hand arithmetic."""

from __future__ import annotations

import pytest

from recipe_tools.chemistry import wort
from recipe_tools.units import lovibond, specific_gravity

PLATO_TABLE = {1.0400: 9.99, 1.0484: 12.00, 1.0611: 15.00, 1.0830: 20.00}
"""Specific gravity 20/20 °C and degrees Plato: ASBC tables of extract (from memory)."""


@pytest.mark.parametrize("sg", PLATO_TABLE)
def test_plato_table(sg: float) -> None:
    assert specific_gravity(PLATO_TABLE[sg], "plato") == pytest.approx(sg, abs=0.0003)


def test_water_has_no_extract() -> None:
    assert specific_gravity(0.0, "plato") == 1.0


def test_a_pound_of_sugar_in_a_gallon() -> None:
    # by definition of the extract potential: 1.04621 (46.21 points per pound and gallon)
    found = wort.gravity(0.45359237, 3.785411784)
    assert found == pytest.approx(1.04621, abs=0.0003)
    assert wort.yield_percent(1.04621) == pytest.approx(100.0)
    assert wort.yield_percent(1.037) == pytest.approx(80.07, abs=0.01)


def test_gravity_of_a_batch_by_hand() -> None:
    # 5 kg malt of 80 % yield at 75 % efficiency: 3.0 kg extract in 23 L.
    # In points: 3.0 kg x 385.65 points L/kg / 23 L = 50.3 -> 1.0503
    assert wort.gravity(3.0, 23.0) == pytest.approx(1.0503, abs=0.0005)


UTILISATION = {
    1.030: 0.276,
    1.040: 0.252,
    1.050: 0.231,
    1.060: 0.211,
    1.070: 0.193,
    1.080: 0.176,
    1.090: 0.161,
    1.100: 0.147,
}
"""Sixty minutes of boil, by wort gravity: table of Tinseth (1997), from memory."""


@pytest.mark.parametrize("gravity", UTILISATION)
def test_utilisation_table(gravity: float) -> None:
    assert wort.utilisation(60.0, gravity) == pytest.approx(UTILISATION[gravity], abs=0.0006)


def test_bitterness_by_hand() -> None:
    # 28.35 g of 10 % hops in 18.93 L: 2835 mg / 18.93 L = 149.8 mg/L alpha acid; x 0.231 = 34.6
    assert wort.bitterness_ibu([(0.02835, 10.0, 60.0)], 18.93, 1.050) == pytest.approx(
        34.6, abs=0.1
    )
    assert wort.bitterness_ibu([(0.05, 10.0, 0.0)], 18.93, 1.050) == 0.0


def test_colour_by_hand() -> None:
    # 10 lb of 2 °L and 1 lb of 60 °L in 5 US gal: MCU = (20 + 60)/5 = 16;
    # 16^0.6859 = e^(0.6859 x 2.7726) = e^1.9017 = 6.697; x 1.4922 = 9.99 SRM; x 1.97 = 19.7 EBC
    pale, caramel = (1.97 * (1.3546 * degrees - 0.76) for degrees in (2.0, 60.0))
    found = wort.colour_ebc([(4.5359237, pale), (0.45359237, caramel)], 5 * 3.785411784)
    assert found == pytest.approx(19.7, abs=0.05)


def test_lovibond_of_a_malt() -> None:
    # EBC = 2.65 °L - 1.2 (Troester 2009) and 1.97 x (1.3546 °L - 0.76) are two printed forms of one
    # relation; they agree within 1 EBC up to caramel malt
    for ebc in (3.5, 17.35, 60.0, 150.0):
        assert lovibond(ebc) == pytest.approx((ebc + 1.2) / 2.65, abs=0.5)


def test_alcohol() -> None:
    # 76.08 x 0.040 / 0.725 = 4.198 % by weight, x 1.010/0.794 = 5.34 % by volume; the shortcut
    # 131.25 x (OG - FG) = 5.25 (common practice, no source) agrees within a tenth
    assert wort.alcohol_percent(1.050, 1.010) == pytest.approx(5.34, abs=0.005)
    assert wort.alcohol_percent(1.050, 1.010) == pytest.approx(131.25 * 0.040, abs=0.1)
    assert wort.alcohol_percent(1.050, 1.050) == 0.0


def test_no_volume_is_refused() -> None:
    for call in (
        lambda: wort.gravity(1.0, 0.0),
        lambda: wort.colour_ebc([], 0.0),
        lambda: wort.bitterness_ibu([], 0.0, 1.05),
    ):
        with pytest.raises(ValueError, match=r"^volume"):
            call()


def test_the_extract_in_the_wort_is_what_went_in() -> None:
    # 20 L of 12.00 °P, 1.0484 (ASBC tables, from memory), water 0.998203 kg/L at 20 °C (CRC
    # Handbook): 0.12 x 1.0484 x 0.998203 x 20 = 2.5117 kg of extract; half a litre holds 1/40
    assert wort.gravity(2.5117, 20.0) == pytest.approx(1.0484, abs=5e-5)
    assert wort.gravity(2.5117 / 40.0, 0.5) == pytest.approx(1.0484, abs=5e-5)


def test_a_strong_wort_by_hand() -> None:
    # 258.6 - 227.1 / 258.2 x 30 = 232.213; 30 / 232.213 = 0.12919
    assert specific_gravity(30.0, "plato") == pytest.approx(1.12919, abs=1e-5)


def test_the_palest_beer_by_hand() -> None:
    # 0.05 lb of 2 °L in 0.2 US gal: MCU 0.5; 0.5^0.6859 = 0.6216; x 1.4922 x 1.97 = 1.827
    malt = (0.05 * 0.45359237, 1.97 * (1.3546 * 2.0 - 0.76))
    found = wort.colour_ebc([malt], 0.2 * 3.785411784)
    assert found == pytest.approx(1.827, abs=0.002)
    assert wort.colour_ebc([], 20.0) == 0.0


def test_hops_add_up_and_half_a_minute_counts() -> None:
    one, two = (0.03, 8.0, 60.0), (0.02, 12.0, 10.0)
    both = wort.bitterness_ibu([one, two], 20.0, 1.050)
    alone = [wort.bitterness_ibu([hop], 20.0, 1.050) for hop in (one, two)]
    assert both == pytest.approx(sum(alone))
    assert wort.bitterness_ibu([one], 0.5, 1.050) == pytest.approx(40.0 * alone[0])
    # 1.65 x 0.000125^0.05 x (1 - e^-0.02) / 4.15 = 1.65 x 0.63801 x 0.019801 / 4.15
    assert wort.utilisation(0.5, 1.050) == pytest.approx(0.005023, abs=2e-6)
