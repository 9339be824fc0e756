"""How much of suspended chalk and of slaked lime acts in a mash."""

from __future__ import annotations

import pytest

from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.suspended_bases import chalk_effect, chalk_range, effective_lime


@pytest.mark.parametrize(
    ("whole", "acting"),
    [
        (-1.0, 0.0),
        (0.0, 0.0),
        # Troester (2009): half of it up to 3-4 mEq/L, no further rise above 8-10 mEq/L; a quarter
        # of what lies between is a default of this project
        (0.5, 0.25),
        (4.0, 2.0),
        (6.0, 2.5),
        (9.0, 3.25),
        (15.0, 3.25),
    ],
)
def test_chalk(whole: float, acting: float) -> None:
    assert chalk_effect(whole) == pytest.approx(acting)


def test_the_band_of_chalk_ends_at_all_of_a_small_amount() -> None:
    # half acts at best, so twice that is all of it; the low end is half of half
    assert chalk_range(exactly(3.0)) == pytest.approx((0.75, 1.5, 3.0))
    assert chalk_range(Estimate(1.0, 2.0, 3.0)) == pytest.approx((0.25, 1.0, 3.0))


def test_lime_acts_by_less_than_its_formula() -> None:
    # deLange (2013): less than stoichiometry; model card: 90 % (70 to 100 %)
    assert effective_lime(exactly(10.0)) == pytest.approx((7.0, 9.0, 10.0))
    assert effective_lime(Estimate(8.0, 10.0, 12.0)) == pytest.approx((5.6, 9.0, 12.0))
