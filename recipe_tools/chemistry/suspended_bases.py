"""Chalk and lime in a mash: how much of them reacts.

Both give less alkalinity than their formula promises. Chalk: Troester (2009) found suspended chalk
up to 3-4 mEq/L best described by half its alkalinity with half its calcium, and no further rise
above 400-500 mg/L (8-10 mEq/L). Lime: deLange (2013) reports less than stoichiometry without a
number.
"""

from __future__ import annotations

from recipe_tools.chemistry.estimate import Estimate

CHALK_HALF_UP_TO_MEQ_L = 4.0
"""Up to here half of suspended chalk reacts (Troester 2009)."""
CHALK_FLAT_ABOVE_MEQ_L = 9.0
"""From here more chalk changes nothing (Troester 2009: 400-500 mg/L)."""
CHALK_LOW, CHALK_HIGH = 0.5, 2.0
"""The part that reacts may be half or twice the best value; twice is all of it. Derived default."""
LIME_EFFECT = Estimate(0.7, 0.9, 1.0)
"""Share of slaked lime that acts. Published only as below one (deLange 2013); derived default."""


def chalk_effect(alkalinity_meq_l: float) -> float:
    """Return the alkalinity (mEq/L) that suspended chalk shows in a mash; argument: all of it.

    Half up to 4 mEq/L, a quarter of what is above (derived default between the two published
    ranges), nothing more above 9. It acts like bicarbonate, and as much calcium acts with it.
    """
    if alkalinity_meq_l <= 0.0:
        return 0.0
    low = min(alkalinity_meq_l, CHALK_HALF_UP_TO_MEQ_L)
    middle = min(max(alkalinity_meq_l - low, 0.0), CHALK_FLAT_ABOVE_MEQ_L - CHALK_HALF_UP_TO_MEQ_L)
    return 0.5 * low + 0.25 * middle


def chalk_range(alkalinity_meq_l: Estimate) -> Estimate:
    """Return the alkalinity suspended chalk shows, with the doubt about how much reacts."""
    low, best, high = alkalinity_meq_l
    return Estimate(
        CHALK_LOW * chalk_effect(low), chalk_effect(best), CHALK_HIGH * chalk_effect(high)
    )


def effective_lime(hydroxide_meq: Estimate) -> Estimate:
    """Return the alkalinity lime shows in a mash; argument: by formula, 26.99 mEq/g Ca(OH)2."""
    low, best, high = hydroxide_meq
    return Estimate(LIME_EFFECT.low * low, LIME_EFFECT.best * best, LIME_EFFECT.high * high)
