"""The shift of pH between a warm sample and a cooled one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.temperature import ph_at_25
from recipe_tools.reference import table

(ROW,) = (row for row in table("brewday_defaults") if row["name"] == "sample_ph_per_celsius")
SHIFT = Estimate(float(ROW["low"]), float(ROW["best"]), float(ROW["high"]))


@pytest.mark.parametrize(
    ("hot", "celsius", "cooled"),
    [
        # Hopkins and Krause 1947 (in MacWilliam 1975): 5.84 at 18 °C, 5.50 at 65 °C; 5.79 at 25
        (5.50, 65.0, 5.79),
        # Briggs et al. (2004): wort at 65 °C about 0.35 below room temperature (20 °C)
        (5.50, 65.0, 5.81),
        # Hosom (2018), 126 readings inside real mashes at 35 to 65 °C: 0.0039 +- 0.0005 per °C
        (5.50, 65.0, 5.50 + 0.0039 * 40.0),
        # Troester: about 0.2 between room and mash temperature
        (5.50, 65.0, 5.70),
    ],
)
def test_the_range_holds_the_published_pairs(hot: float, celsius: float, cooled: float) -> None:
    low, _, high = ph_at_25(hot, celsius, SHIFT)
    assert low <= cooled <= high


def test_a_sample_at_25_degrees_stays() -> None:
    assert ph_at_25(5.4, 25.0, SHIFT) == (5.4, 5.4, 5.4)


@given(st.floats(3.5, 8.5), st.floats(0.0, 80.0))
def test_warm_samples_read_low_and_the_range_is_in_order(ph: float, celsius: float) -> None:
    low, best, high = ph_at_25(ph, celsius, SHIFT)
    assert low <= best <= high
    assert (best >= ph) == (celsius >= 25.0) or best == ph
