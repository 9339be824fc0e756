"""The source water after it was boiled beforehand or treated with slaked lime."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.ions import MOLAR_MASS_G_MOL
from recipe_tools.chemistry.treatment import (
    BOILED_ALKALINITY_MEQ_L,
    LEAST_LIMED_MEQ_L,
    LIMED_ALKALINITY_MEQ_L,
    MOST_BOILED_MEQ_L,
    MOST_LIMED_MEQ_L,
    Water,
    boil,
    lime_soften,
)
from recipe_tools.config.options import Treatment

_LEFT: Mapping[Treatment, Estimate] = {
    "boiled": Estimate(BOILED_ALKALINITY_MEQ_L, BOILED_ALKALINITY_MEQ_L, MOST_BOILED_MEQ_L),
    "lime": Estimate(LEAST_LIMED_MEQ_L, LIMED_ALKALINITY_MEQ_L, MOST_LIMED_MEQ_L),
}
"""Alkalinity that stays, mEq/L (`chemistry.treatment`)."""
BOILING = (
    "boil it for a quarter of an hour, let the chalk settle until the water is clear, and pour it "
    "off the chalk"
)
LIMING = (
    "stir the slaked lime, made into a thin milk with some of the water, into the cold water, let "
    "the chalk settle until the water is clear, and pour it off the chalk"
)
LIME_CAUTIONS = (
    "Slaked lime burns eyes and skin and irritates the lungs: goggles and gloves, no dust; label "
    "and data sheet of the product come first. Food grade only.",
    "Too much lime leaves caustic water: weigh it, check alkalinity and pH of the clear water with "
    "a test kit before it is used (drinking water in the EU: pH 9.5 at most, Directive 2020/2184), "
    "and follow the rules for drinking water where you live. Never mix lime with acid.",
)
CLEAR_WATER = "Measure what is left: how much settles differs from water to water."


class TreatedWater(NamedTuple):
    """What is left of a water. lime_mg_l: pure Ca(OH)2 it takes, 0 where it was boiled.

    alkalinity_taken_meq_l: by the chalk; 0 where the treatment does nothing.
    """

    treatment: Treatment
    ions_mg_l: Mapping[str, Estimate]
    alkalinity_meq_l: Estimate
    alkalinity_taken_meq_l: float
    lime_mg_l: float


def treated(
    treatment: Treatment,
    ions_mg_l: Mapping[str, Estimate],
    alkalinity_meq_l: Estimate,
    ph: float | None,
) -> TreatedWater:
    """Return what boiling or lime leaves of a water; ions as wide as they are stated.

    Takes ions in mg/L and alkalinity in mEq/L. Calcium nobody states counts as 0: then nothing
    settles. Equations and limits as in `chemistry.treatment`.
    """
    left, zero = _LEFT[treatment], Estimate(0.0, 0.0, 0.0)
    calcium = ions_mg_l.get("calcium", zero)

    def after(alkalinity: float, lime: float, floor: float) -> tuple[float, float, float]:
        water = Water({"calcium": lime}, alkalinity, ph)
        if treatment == "boiled":
            result, grams = boil(water, floor), 0.0
        else:
            result, grams = lime_soften(water, left_meq_l=floor)
        return result.alkalinity_meq_l, result.ions_mg_l["calcium"], grams

    ends = [
        after(alkalinity, milligrams, floor)
        for alkalinity in alkalinity_meq_l
        for milligrams in calcium
        for floor in left
    ]
    best = after(alkalinity_meq_l.best, calcium.best, left.best)
    found = [
        Estimate(min(end[place] for end in ends), best[place], max(end[place] for end in ends))
        for place in range(2)
    ]
    ions = dict(ions_mg_l)
    if "calcium" in ions:
        ions["calcium"] = found[1]
    if "bicarbonate" in ions:
        ions["bicarbonate"] = found[0].times(MOLAR_MASS_G_MOL["bicarbonate"])
        ions.pop("carbonate", None)
    taken = alkalinity_meq_l.best - found[0].best
    return TreatedWater(treatment, ions, found[0], taken, best[2])
