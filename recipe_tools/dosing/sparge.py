"""Acid for the sparge water: found by root, since its alkalinity does not depend on the salts."""

from __future__ import annotations

from collections.abc import Sequence

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.carbonate import alkalinity_meq_l as carbonate_alkalinity_meq_l
from recipe_tools.chemistry.carbonate import ph_after_acids, total_carbonate_mmol_l
from recipe_tools.dosing.records import ProposedDose, Stock
from recipe_tools.dosing.setting import sparge_litres

TARGET_PH = 5.6
"""Many say 5.5 to 5.8 for sparge water (common practice, from memory)."""
ENOUGH_MEQ_L = 25.0 / 50.043
"""Water of 25 mg/L as CaCO3 or less needs no acid (common practice, from memory)."""
MOST_ML_L = 20.0


def sparge_acid(day: BrewDay, stock: Stock, share: float) -> ProposedDose | None:
    """Return the acid that brings the sparge water to pH 5.6; None where none is needed.

    share: part of pure water in the liquor. What the recipe already adds to the sparge counts.
    """
    litres = sparge_litres(day)
    liquor = day.sparge
    if liquor is None or litres <= 0 or liquor.alkalinity_meq_l is None:
        return None
    if stock.agent.kind != "acid" or not stock.acid_mmol:
        return None
    alkalinity = liquor.alkalinity_meq_l.best - share * day.source.alkalinity_meq_l.best
    present = [
        (item.acid_mmol.best / litres, item.agent.pkas, item.agent.strong_protons)
        for item in day.doses
        if item.stage == "sparge" and item.agent is not None and item.acid_mmol.best > 0
    ]
    if _left(day, alkalinity, present) <= ENOUGH_MEQ_L:
        return None
    steps = _root(day, alkalinity, present, stock, litres)
    return ProposedDose(stock, "sparge", steps) if steps > 0 else None


def _ph(
    day: BrewDay, alkalinity: float, acids: Sequence[tuple[float, tuple[float, ...], int]]
) -> float:
    source = day.source
    return ph_after_acids(alkalinity, source.ph.best, acids, end_point_ph=source.end_point_ph).ph


def _left(
    day: BrewDay, alkalinity: float, acids: Sequence[tuple[float, tuple[float, ...], int]]
) -> float:
    source = day.source
    total = total_carbonate_mmol_l(alkalinity, source.ph.best, end_point_ph=source.end_point_ph)
    ph = _ph(day, alkalinity, acids) if acids else source.ph.best
    return carbonate_alkalinity_meq_l(total, ph, end_point_ph=source.end_point_ph)


def _root(
    day: BrewDay,
    alkalinity: float,
    present: Sequence[tuple[float, tuple[float, ...], int]],
    stock: Stock,
    litres: float,
) -> int:
    from scipy.optimize import brentq

    agent = stock.agent
    per_step = stock.acid_mmol / litres

    def above(steps: float) -> float:
        dosed = (steps * per_step, agent.pkas, agent.strong_protons)
        return _ph(day, alkalinity, [*present, dosed]) - TARGET_PH

    most = MOST_ML_L * litres / stock.step
    if above(0.0) <= 0 or above(most) > 0:
        return 0
    return round(float(brentq(above, 0.0, most, xtol=1e-3)))
