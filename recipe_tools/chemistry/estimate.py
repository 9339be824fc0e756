"""A number that is not known exactly: lowest, best and highest value."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple


class Estimate(NamedTuple):
    """low <= best <= high, the ends being those of a 95 % band; all three equal where exact."""

    low: float
    best: float
    high: float

    @property
    def exact(self) -> bool:
        """True where nothing is left open."""
        return self.low == self.high

    def __neg__(self) -> Estimate:
        return Estimate(-self.high, -self.best, -self.low)

    def times(self, factor: float) -> Estimate:
        """Return the estimate multiplied by an exact factor of either sign."""
        if factor < 0:
            return Estimate(self.high * factor, self.best * factor, self.low * factor)
        return Estimate(self.low * factor, self.best * factor, self.high * factor)

    def plus(self, other: Estimate) -> Estimate:
        """Return the sum; the ends add up, as for two quantities that may be off together."""
        return Estimate(self.low + other.low, self.best + other.best, self.high + other.high)


def exactly(value: float) -> Estimate:
    """Return an estimate without any width."""
    return Estimate(value, value, value)


def bests(estimates: Mapping[str, Estimate]) -> dict[str, float]:
    """Return the best value of each."""
    return {name: estimate.best for name, estimate in estimates.items()}


ZERO = exactly(0.0)
