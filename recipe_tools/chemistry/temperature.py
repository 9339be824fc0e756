"""The pH of a mash sample at 25 °C, from what a meter shows at another temperature.

Targets and predictions are for cooled samples. Temperature compensation of a meter corrects its
electrode, not the sample: a sample read warm is truly lower.
"""

from __future__ import annotations

from recipe_tools.chemistry.estimate import Estimate

SAMPLE_CELSIUS = 25.0


def ph_at_25(ph: float, celsius: float, per_celsius: Estimate) -> Estimate:
    """Return the pH at 25 °C of mash or wort that reads ph at another temperature.

    per_celsius: shift of the pH for each degree warmer, with its 95 % band. Linear; sources differ
    by more than the curvature of any of them. The width of the meter is not in it.
    """
    warmer = celsius - SAMPLE_CELSIUS
    ends = (ph - per_celsius.low * warmer, ph - per_celsius.high * warmer)
    return Estimate(min(ends), ph - per_celsius.best * warmer, max(ends))
