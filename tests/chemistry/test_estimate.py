"""Arithmetic of lowest, best and highest values."""

from __future__ import annotations

from recipe_tools.chemistry.estimate import ZERO, Estimate, exactly

LITRES = Estimate(1.0, 2.0, 4.0)


def test_interval_arithmetic() -> None:
    # Moore R. E. (1966), Interval Analysis: -[a, b] = [-b, -a]; c [a, b] = [ca, cb], turned round
    # for c < 0; [a, b] + [c, d] = [a + c, b + d]
    assert -LITRES == (-4.0, -2.0, -1.0)
    assert LITRES.times(3.0) == (3.0, 6.0, 12.0)
    assert LITRES.times(-3.0) == (-12.0, -6.0, -3.0)
    assert LITRES.times(0.0) == ZERO
    assert LITRES.plus(Estimate(0.5, 1.5, 3.0)) == (1.5, 3.5, 7.0)


def test_a_difference_is_as_wide_as_both_together() -> None:
    assert LITRES.plus(-LITRES) == (-3.0, 0.0, 3.0)


def test_only_a_value_without_width_is_exact() -> None:
    assert exactly(2.0) == (2.0, 2.0, 2.0)
    assert exactly(2.0).exact
    assert not LITRES.exact
