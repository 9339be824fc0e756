"""Acid for the sparge water: found by root, since its alkalinity does not depend on the salts."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.carbonate import Acid, ph_after_acids, total_carbonate_mmol_l
from recipe_tools.chemistry.carbonate import alkalinity_meq_l as carbonate_alkalinity_meq_l
from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.dosing.limits import HALF_A_MILLIGRAM
from recipe_tools.dosing.records import ProposedDose, Stock
from recipe_tools.dosing.setting import sparge_litres

SPARGE_PH = 5.6
TARGETS_PH = (SPARGE_PH, 5.8, 6.0)
"""Many say 5.5 to 5.8 for sparge water, and up to 6 in any case (common practice, from memory)."""
ENOUGH_MEQ_L = 25.0 / CACO3_MG_MEQ
"""Water of 25 mg/L as CaCO3 or less needs no acid (common practice, from memory)."""
MOST_ML_L = 20.0
_ROUNDING_MEQ_L = HALF_A_MILLIGRAM / CACO3_MG_MEQ


def sparge_alkalinity(day: BrewDay, share: float) -> float:
    """Return the alkalinity left after what the recipe itself adds, mEq/L; 0 without a sparge.

    share: part of pure water in the liquor.
    """
    liquor = day.sparge
    if liquor is None or liquor.alkalinity_meq_l is None:
        return 0.0
    alkalinity = liquor.alkalinity_meq_l.best - share * day.source.alkalinity_meq_l.best
    present = _present(day)
    if not present:
        return alkalinity
    return _left(day, alkalinity, present)


def sparge_acid(
    day: BrewDay, stock: Stock, share: float, to_ph: float = SPARGE_PH
) -> ProposedDose | None:
    """Return the acid that brings the sparge water to a pH; None where none is needed or enough.

    share: part of pure water in the liquor. What the recipe already adds to the sparge counts.
    """
    litres, liquor = sparge_litres(day), day.sparge
    if liquor is None or litres <= 0 or liquor.alkalinity_meq_l is None:
        return None
    if stock.agent.kind != "acid" or not stock.acid_mmol:
        return None
    if sparge_alkalinity(day, share) <= ENOUGH_MEQ_L:
        return None
    alkalinity = liquor.alkalinity_meq_l.best - share * day.source.alkalinity_meq_l.best
    steps = _root(day, alkalinity, stock, litres, to_ph)
    return ProposedDose(stock, "sparge", steps) if steps > 0 else None


def sparge_left(day: BrewDay, share: float, acid: ProposedDose | None) -> float:
    """Return the alkalinity of the sparge water with an acid in it, mEq/L."""
    if acid is None or day.sparge is None or day.sparge.alkalinity_meq_l is None:
        return sparge_alkalinity(day, share)
    alkalinity = day.sparge.alkalinity_meq_l.best - share * day.source.alkalinity_meq_l.best
    agent = acid.stock.agent
    amount = acid.steps * acid.stock.acid_mmol / sparge_litres(day)
    return _left(day, alkalinity, [*_present(day), (amount, agent.pkas, agent.strong_protons)])


def keeps_too_much(left_meq_l: float, limit_meq_l: float) -> bool:
    """Tell whether sparge water is more alkaline than a check lets pass."""
    return left_meq_l > limit_meq_l + _ROUNDING_MEQ_L


def _present(day: BrewDay) -> list[Acid]:
    litres = sparge_litres(day)
    return [
        (item.acid_mmol.best / litres, item.agent.pkas, item.agent.strong_protons)
        for item in day.doses
        if item.stage == "sparge" and item.agent is not None and item.acid_mmol.best > 0
    ]


def _ph(day: BrewDay, alkalinity: float, acids: Sequence[Acid]) -> float:
    source = day.source
    return ph_after_acids(alkalinity, source.ph.best, acids, end_point_ph=source.end_point_ph).ph


def _left(day: BrewDay, alkalinity: float, acids: Sequence[Acid]) -> float:
    source = day.source
    total = total_carbonate_mmol_l(alkalinity, source.ph.best, end_point_ph=source.end_point_ph)
    ph = _ph(day, alkalinity, acids) if acids else source.ph.best
    return carbonate_alkalinity_meq_l(total, ph, end_point_ph=source.end_point_ph)


def _root(day: BrewDay, alkalinity: float, stock: Stock, litres: float, to_ph: float) -> int:
    """Return the step nearest to the pH by bisection: more acid never raises it."""
    agent, present = stock.agent, _present(day)
    per_step = stock.acid_mmol / litres

    def above(steps: float) -> bool:
        dosed = (steps * per_step, agent.pkas, agent.strong_protons)
        return _ph(day, alkalinity, [*present, dosed]) > to_ph

    low, high = 0, ceil(MOST_ML_L * litres / stock.step)
    if not above(low) or above(high):
        return 0
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if above(middle) else (low, middle)
    # Rounded as the crossing between the two is, up from the middle; never above the last target.
    return high if to_ph >= TARGETS_PH[-1] or above(low + 0.5) else low
