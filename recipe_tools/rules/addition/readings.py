"""Whether it matters which reading of an addition is the true one.

An addition may be open: hydrate or anhydrous, solid or solution, strength not named. Its `Dose`
carries the ends of all readings. Something hangs on them only if a limit lies between the level of
an ion (or the pH) under one reading and under the other.
"""

from __future__ import annotations

from collections.abc import Iterator

from recipe_tools.brewday import BrewDay, Dose, Liquor
from recipe_tools.chemistry.estimate import ZERO, Estimate, exactly
from recipe_tools.chemistry.ions import (
    CACO3_MG_MEQ,
    CALCIUM_PER_PROTON,
    EQUIVALENT_MASS_MG_MEQ,
    MAGNESIUM_PER_PROTON,
)
from recipe_tools.judgement.alkalinity import SPARGE
from recipe_tools.judgement.ions import range_of
from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.reference import ion_range
from recipe_tools.rules.verdicts import between, told_apart

_PH_PER_MEQ_KG = 1.0 / 35.0
"""pH per mEq/kg of grist: the buffer of a crushed mash, 25 to 58 mEq/(kg pH) (Troester 2009)."""
_PER_PROTON = {"calcium": CALCIUM_PER_PROTON, "magnesium": MAGNESIUM_PER_PROTON}
_LIMITED = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "zinc")
SPARGE_SURPLUS_MEQ_L = 2.0
"""Acid beyond the alkalinity of the sparge water that passes: about 0.1 pH of the wort in the
kettle (derived_default)."""


def what_hangs_on(day: BrewDay, item: Dose) -> str:
    """Return the limit that decides between the readings, in words; empty if none does."""
    return next(_decided(day, item), "")


def _decided(day: BrewDay, item: Dose) -> Iterator[str]:
    liquor = day.liquor
    if liquor is not None:
        for ion, amount in item.ions_mg.items():
            yield from _ion_limits(day, liquor, ion, amount)
    if item.stage == "sparge":
        yield from _sparge_limits(day, item)
        return
    found = day.prediction
    if found is None or item.stage != "mash":
        return
    spread = _ph_spread(day, item)
    readings = Estimate(found.ph + spread.low, found.ph, found.ph + spread.high)
    for edge in WINDOW_PH:
        if between(edge, readings):
            yield f"the mash pH is {_either(readings, edge, 2, '')}"
            return


def _sparge_limits(day: BrewDay, item: Dose) -> Iterator[str]:
    """Yield what the acid of the sparge decides: too little for the alkalinity, or far too much."""
    sparge = day.sparge
    if sparge is None or sparge.alkalinity_meq_l is None or item.acid_meq.exact:
        return
    others = sum(i.acid_meq.best for i in day.doses if i.stage == "sparge" and i is not item)
    litres = sparge.volume_l.best
    alkalinity = sparge.alkalinity_meq_l.best - others / litres
    left = item.acid_meq.times(-1.0 / litres).plus(exactly(alkalinity)).times(CACO3_MG_MEQ)
    limit = SPARGE.options["note_above"].default
    if between(limit, left):
        yield f"the sparge water keeps {_either(left, limit, 0, ' mg/L of alkalinity')}"
        return
    surplus, most = left.times(-1.0), SPARGE_SURPLUS_MEQ_L * CACO3_MG_MEQ
    if between(most, surplus):
        unit = " mg/L as CaCO3 more acid than it can use"
        yield f"the sparge water gets {_either(surplus, most, 0, unit)}"


def _either(readings: Estimate, edge: float, digits: int, unit: str) -> str:
    """Return both readings with their unit, and the limit between them, told apart."""
    low, _ = told_apart(max(0.0, readings.low), edge, digits)
    high, limit = told_apart(readings.high, edge, digits)
    return f"{low} or {high}{unit}, the limit {limit}"


def _ion_limits(day: BrewDay, liquor: Liquor, ion: str, amount: Estimate) -> Iterator[str]:
    level = liquor.ions_mg_l.get(ion)
    if level is None or amount.exact or ion not in _LIMITED:
        return
    litres = liquor.volume_l.best
    readings = Estimate(
        level.best - (amount.best - amount.low) / litres,
        level.best,
        level.best + (amount.high - amount.best) / litres,
    )
    limits = ion_range(ion)
    low, high = range_of(day, ion)
    edges = (low if ion == "calcium" else None, limits.warn_above, limits.error_above, high)
    for edge in edges:
        if edge is not None and between(edge, readings):
            yield f"{ion} is {_either(readings, edge, 0, ' mg/L')}"
            return


def _ph_spread(day: BrewDay, item: Dose) -> Estimate:
    """Return how far the pH of the mash moves with the readings of a dose."""
    grist_kg = day.grist_kg
    protons = item.acid_meq.plus(-item.alkalinity_meq)
    for ion, per_proton in _PER_PROTON.items():
        amount = item.ions_mg.get(ion, ZERO)
        protons = protons.plus(amount.times(1.0 / EQUIVALENT_MASS_MG_MEQ[ion] / per_proton))
    shift = (-protons).times(_PH_PER_MEQ_KG / grist_kg)
    return Estimate(shift.low - shift.best, 0.0, shift.high - shift.best)


def as_volume(item: Dose, densities: Estimate) -> Dose:
    """Return the dose as if its number were millilitres of powder of such a density in kg/L."""

    def widened(amount: Estimate) -> Estimate:
        return Estimate(
            min(amount.low * densities.low, amount.best),
            amount.best,
            max(amount.high * densities.high, amount.best),
        )

    return item._replace(
        ions_mg={ion: widened(amount) for ion, amount in item.ions_mg.items()},
        alkalinity_meq=widened(item.alkalinity_meq),
        acid_meq=widened(item.acid_meq),
    )
