"""Sulfite against the chlorine of the source water: which, how much, how to measure it out."""

from __future__ import annotations

from recipe_tools.brewday import BrewDay
from recipe_tools.brewday.chlorine import DECHLORINATORS, acts_on, chlorine_left
from recipe_tools.chemistry.treatment import proposed_dose
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing.records import Dechlorination
from recipe_tools.dosing.setting import all_litres
from recipe_tools.dosing.shelf import SCALE_G, USUAL_SHELF, written_name
from recipe_tools.reference import Agent, agent

STOCK_G = 1.0
"""Weighed into 100 mL of water where the dose itself is too small for the scale."""
_SURE_STEPS = 5
"""A scale shows a dose well enough from five of its steps (derived_default)."""
_SOLUTION_ML = 100.0


def dechlorination(day: BrewDay, options: Options) -> Dechlorination | None:
    """Return the sulfite for all liquor, a tenth above the need; None without need or sulfite.

    Ascorbic acid is taken only where no sulfite is at hand and the water has no chloramine, which
    it does not remove reliably.
    """
    chlorine, litres = chlorine_left(day), all_litres(day)
    if chlorine <= 0 or litres <= 0:
        return None
    chloramine = bool(day.source.chloramine)
    for item in sorted(options.shelf or USUAL_SHELF, key=_sulfite_first):
        named = agent(item.agent)
        family = named.family or named.id
        if acts_on(family, chloramine):
            return _dose(named, item, chlorine, litres, chloramine)
    return None


def _sulfite_first(item: ShelfItem) -> bool:
    return agent(item.agent).kind != "sulfite"


def _dose(
    named: Agent, item: ShelfItem, chlorine: float, litres: float, chloramine: bool
) -> Dechlorination:
    family = named.family or named.id
    per_litre = proposed_dose(DECHLORINATORS[family], chlorine)
    purity = (item.purity_percent or 100.0) / 100.0
    tablet_g = named.tablet_g if named.form == "tablet" else None
    grams = per_litre * litres / 1000.0 / (1.0 if tablet_g else purity)
    scale = item.scale_g or SCALE_G
    direct = tablet_g is None and grams >= _SURE_STEPS * scale
    stock_g = tablet_g or STOCK_G
    solution = round(grams / stock_g * _SOLUTION_ML, 1)
    # What is written down is what is measured out.
    grams = round(grams / scale) * scale if direct else solution * stock_g / _SOLUTION_ML
    return Dechlorination(
        agent=named,
        name=written_name(named, None),
        grams=round(grams, 4),
        litres=litres,
        chlorine_mg_l=chlorine,
        chloramine=chloramine,
        direct=direct,
        stock_g=stock_g,
        solution_ml=solution,
        tablet=tablet_g is not None,
    )
