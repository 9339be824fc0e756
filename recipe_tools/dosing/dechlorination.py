"""Sulfite against the chlorine of the source water: which, how much, how to measure it out."""

from __future__ import annotations

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.treatment import Dechlorinator, dechlorination_dose
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing.records import Dechlorination
from recipe_tools.dosing.setting import all_litres
from recipe_tools.dosing.shelf import SCALE_G, USUAL_SHELF, written_name
from recipe_tools.reference import Agent, agent, ion_range

SURPLUS = 0.1
"""Above stoichiometry: field guides for pipelines list 1.47 mg of sodium metabisulfite per mg of
chlorine, a tenth above the 1.341 of the equation."""
ENOUGH_SHARE = 0.95
"""Of the need: the check takes less for too little."""
STOCK_G = 1.0
"""Weighed into 100 mL of water where the dose itself is too small for the scale."""
_SURE_STEPS = 5
"""A scale shows a dose well enough from five of its steps (derived_default)."""
_SOLUTION_ML = 100.0
_BEFORE_THE_MASH = frozenset({"source", "mash", "sparge"})
_EQUIVALENTS: dict[str, Dechlorinator] = {
    "sodium_metabisulfite": "sodium_metabisulfite",
    "potassium_metabisulfite": "potassium_metabisulfite",
    "ascorbic_acid": "ascorbic_acid",
}


def chlorine_to_remove(day: BrewDay) -> float:
    """Return mg/L as Cl2 that nothing in the recipe removes yet; 0 where none is stated.

    A carbon filter named in the notes counts against chlorine, not against chloramine.
    """
    chlorine = day.source.chlorine_mg_l
    if chlorine is None or chlorine <= (ion_range("residual_chlorine").high or 0.0):
        return 0.0
    chloramine = bool(day.source.chloramine)
    if not chloramine and _treated_without_sulfite(day):
        return 0.0
    litres = all_litres(day)
    removed = sum(_removes(day, name) for name in _EQUIVALENTS if _counts(name, chloramine))
    left = chlorine - removed / litres if litres > 0 else chlorine
    return 0.0 if left <= (1.0 - ENOUGH_SHARE) * chlorine else left


def _counts(name: str, chloramine: bool) -> bool:
    return not (chloramine and name == "ascorbic_acid")


def _treated_without_sulfite(day: BrewDay) -> bool:
    return "activated_carbon" in day.notes_agents or any(
        item.agent is not None
        and item.agent.kind in ("sorbent", "antioxidant")
        and item.stage in _BEFORE_THE_MASH
        for item in day.doses
    )


def _removes(day: BrewDay, family: str) -> float:
    """Return milligrams of chlorine that what the recipe adds of an agent removes."""
    grams = sum(
        item.grams.best
        for item in day.doses
        if item.agent is not None
        and (item.agent.family or item.agent.id) == family
        and item.grams is not None
        and item.stage in _BEFORE_THE_MASH
    )
    return 1000.0 * grams / dechlorination_dose(_EQUIVALENTS[family], 1.0)


def dechlorination(day: BrewDay, options: Options) -> Dechlorination | None:
    """Return the sulfite for all liquor, a tenth above the need; None without need or sulfite.

    Ascorbic acid is taken only where no sulfite is at hand and the water has no chloramine, which
    it does not remove reliably.
    """
    chlorine, litres = chlorine_to_remove(day), all_litres(day)
    if chlorine <= 0 or litres <= 0:
        return None
    chloramine = bool(day.source.chloramine)
    for item in sorted(options.shelf or USUAL_SHELF, key=_sulfite_first):
        named = agent(item.agent)
        family = named.family or named.id
        if family in _EQUIVALENTS and _counts(family, chloramine):
            return _dose(named, item, chlorine, litres, chloramine)
    return None


def _sulfite_first(item: ShelfItem) -> bool:
    return agent(item.agent).kind != "sulfite"


def _dose(
    named: Agent, item: ShelfItem, chlorine: float, litres: float, chloramine: bool
) -> Dechlorination:
    family = named.family or named.id
    per_litre = dechlorination_dose(_EQUIVALENTS[family], chlorine, surplus=SURPLUS)
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
