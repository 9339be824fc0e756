"""The shift of pH between mash temperature and a cooled sample."""

from __future__ import annotations

import pytest

from recipe_tools.chemistry import temperature


@pytest.mark.parametrize(("ph", "shift"), [(5.8, -0.26), (5.5, -0.21)])
def test_fit_of_hosom(ph: float, shift: float) -> None:
    # Hosom (2018): from 18 to 65 °C
    found = temperature.ph_at(ph, 65.0) - temperature.ph_at(ph, 18.0)
    assert found == pytest.approx(shift, abs=0.01)


def test_there_and_back() -> None:
    hot = temperature.ph_at(5.4, 66.0)
    assert temperature.ph_in_cooled_sample(hot, 66.0) == pytest.approx(5.4)
    assert hot < 5.4


def test_the_range_holds_the_published_pairs() -> None:
    # Hopkins and Krause 1947 (in MacWilliam 1975): 5.50 at 65 °C is 5.84 at 18 °C, so 5.82 at 21 °C
    low, best, high = temperature.cooled_range(5.50, 65.0)
    assert low <= best <= high
    assert low <= 5.82 <= high
    # Briggs et al. (2004): about 0.35 between 65 °C and room temperature
    assert low <= 5.85 <= high + 0.01
    # Hosom (2018), readings inside mashes: 0.0039 per °C
    assert low <= 5.50 + 0.0039 * (65.0 - 21.1) <= high


def test_a_reading_at_room_temperature_stays() -> None:
    assert temperature.cooled_range(5.4, temperature.ROOM_CELSIUS) == pytest.approx((5.4, 5.4, 5.4))


def test_the_ends_of_the_range_are_the_published_shifts() -> None:
    # 0.0078 per °C (Briggs et al. 2004: 0.35 over 45 °C) and 0.0034 (Hosom 2018: 0.0039 - 0.0005),
    # over 65 - 21.1 = 43.9 °C: 0.342 and 0.149
    low, _, high = temperature.cooled_range(5.50, 65.0)
    assert low == pytest.approx(5.649, abs=0.001)
    assert high == pytest.approx(5.842, abs=0.001)


@pytest.mark.parametrize("ph", [3.5, 4.5, 5.4, 7.0, 8.5])
@pytest.mark.parametrize("celsius", [4.0, 35.0, 75.0])
def test_the_range_holds_its_best_value(ph: float, celsius: float) -> None:
    # the fit of Hosom leaves the published shifts far from the pH of wort
    low, best, high = temperature.cooled_range(ph, celsius)
    assert low <= best <= high
    assert best == temperature.ph_in_cooled_sample(ph, celsius)
