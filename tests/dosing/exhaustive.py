"""Every plan of a small grid, worked out without the solver and without its linear rows.

The mash pH comes from the equation in `chemistry.mash_ph`, solved for whole arrays at once by
bisection; the ions from the doses of the table of agents.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.carbonate import constants
from recipe_tools.dosing.records import Stock

Array = Any

_CONSTANTS = constants(25.0)
_K1, _K2, _KW = (10.0**-value for value in (_CONSTANTS.pk1, _CONSTANTS.pk2, _CONSTANTS.pkw))
_CALCIUM_MG_MEQ, _MAGNESIUM_MG_MEQ = 40.078 / 2.0, 24.305 / 2.0
_KOLBACH_CALCIUM, _KOLBACH_MAGNESIUM = 3.5, 7.0
_THINNING_PH_PER_DECADE = 0.30
_LIME_THAT_ACTS = 0.9


@dataclass(frozen=True, slots=True)
class Grid:
    """Plans: steps of each stock as columns. share: of pure water in each plan."""

    steps: Array
    share: Array

    @property
    def size(self) -> int:
        return len(self.share)


def grid(choices: Sequence[Sequence[int]], shares: Sequence[float] = (0.0,)) -> Grid:
    """Return all combinations of steps and shares."""
    axes = np.meshgrid(*choices, shares, indexing="ij")
    columns = [axis.ravel() for axis in axes]
    return Grid(np.stack(columns[:-1], axis=1).astype(float), columns[-1])


def kept(plans: Grid, mask: Array) -> Grid:
    """Return the plans for which a mask is true."""
    return Grid(plans.steps[mask], plans.share[mask])


def levels(day: BrewDay, stocks: Sequence[Stock], plans: Grid, ion: str) -> Array:
    """Return mg/L of an ion in all water; all doses go into one water of the whole volume."""
    assert day.total is not None
    litres = day.total.volume_l.best
    level = day.total.ions_mg_l[ion].best - plans.share * day.source.mg_l(ion)
    per_step = np.array([stock.ions_mg.get(ion, 0.0) for stock in stocks])
    return level + plans.steps @ per_step / litres


def carbonate_charge(ph: Array) -> Array:
    """Return the mean negative charge per mole of carbonate."""
    one = _K1 / 10.0**-ph
    two = one * _K2 / 10.0**-ph
    return (one + 2.0 * two) / (1.0 + one + two)


def strong_charge(ph: Array) -> Array:
    """Return [OH-] - [H+] in mmol/L."""
    return 1000.0 * (_KW / 10.0**-ph - 10.0**-ph)


def protons_of(stock: Stock, ph: Array) -> Array:
    """Return protons given per mole of an acid at a pH."""
    h = 10.0**-ph
    terms = [np.ones_like(h)]
    for pka in stock.agent.pkas:
        terms.append(terms[-1] * 10.0**-pka / h)
    total = sum(terms)
    return stock.agent.strong_protons + sum(n * term for n, term in enumerate(terms)) / total


def balance(day: BrewDay, stocks: Sequence[Stock], plans: Grid, ph: Array) -> Array:
    """Return protons given minus taken, mEq per kg of grist, of each plan at its pH."""
    mash = day.mash_input
    assert mash is not None
    assert day.mash is not None
    litres, kilograms = day.mash.volume_l.best, day.grist_kg
    ratio = litres / kilograms
    given = np.zeros(plans.size)
    for malt in mash.malts:
        thinning = _THINNING_PH_PER_DECADE * np.log10(ratio / malt.di_water_l_kg)
        crush = 1.0 if malt.lot_known else mash.crush_factor.best
        strength = malt.share * malt.buffer_meq_kg_ph.best * crush
        given = given + strength * (ph - malt.di_ph.best - thinning)
    calcium = mash.calcium_meq_l.best - plans.share * (day.source.mg_l("calcium") / _CALCIUM_MG_MEQ)
    magnesium = mash.magnesium_meq_l.best - plans.share * (
        day.source.mg_l("magnesium") / _MAGNESIUM_MG_MEQ
    )
    for place, stock in enumerate(stocks):
        steps = plans.steps[:, place]
        calcium = calcium + steps * stock.ions_mg.get("calcium", 0.0) / litres / _CALCIUM_MG_MEQ
        magnesium = (
            magnesium + steps * stock.ions_mg.get("magnesium", 0.0) / litres / _MAGNESIUM_MG_MEQ
        )
        if stock.acid_mmol:
            given = given + steps * stock.acid_mmol / kilograms * protons_of(stock, ph)
        if stock.alkalinity_meq and "bicarbonate" in stock.ions_mg:
            dosed = steps * stock.alkalinity_meq / kilograms
            given = given - dosed * (1.0 - carbonate_charge(ph))
        elif stock.alkalinity_meq:
            given = given - _LIME_THAT_ACTS * steps * stock.alkalinity_meq / kilograms
    given = given + ratio * (calcium / _KOLBACH_CALCIUM + magnesium / _KOLBACH_MAGNESIUM)
    source_ph, end = mash.water_ph.best, mash.end_point_ph
    alkalinity = (1.0 - plans.share) * mash.alkalinity_meq_l.best
    span = carbonate_charge(source_ph) - carbonate_charge(end)
    carbon = np.maximum(0.0, (alkalinity - strong_charge(source_ph) + strong_charge(end)) / span)
    taken = carbon * (carbonate_charge(source_ph) - carbonate_charge(ph))
    return given - ratio * (taken + strong_charge(source_ph) - strong_charge(ph))


def mash_ph(day: BrewDay, stocks: Sequence[Stock], plans: Grid) -> Array:
    """Return the mash pH of each plan, by bisection."""
    low, high = np.full(plans.size, 3.0), np.full(plans.size, 9.0)
    for _ in range(45):
        middle = 0.5 * (low + high)
        above = balance(day, stocks, plans, middle) > 0.0
        high = np.where(above, middle, high)
        low = np.where(above, low, middle)
    return 0.5 * (low + high)
