"""Chlorine and chloramine of the source water, and what a recipe does against them in time."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from recipe_tools.brewday.records import BrewDay, Dose
from recipe_tools.chemistry.treatment import ENOUGH_SHARE, Dechlorinator, dechlorination_dose
from recipe_tools.reference import ion_range

BEFORE_THE_MASH = frozenset({"source", "mash", "sparge"})
DECHLORINATORS: Mapping[str, Dechlorinator] = MappingProxyType(
    {
        "sodium_metabisulfite": "sodium_metabisulfite",
        "potassium_metabisulfite": "potassium_metabisulfite",
        "ascorbic_acid": "ascorbic_acid",
    }
)
"""Family of an agent -> what it is in the equations."""
TRACE_MG_L = ion_range("residual_chlorine").high or 0.0
"""Chlorine up to this needs no treatment, mg/L as Cl2."""


def treatments(day: BrewDay, *kinds: str) -> tuple[Dose, ...]:
    """Return the doses of such agents that reach the water before it meets the grain."""
    return tuple(
        item
        for item in day.doses
        if item.agent is not None and item.agent.kind in kinds and item.stage in BEFORE_THE_MASH
    )


def is_filtered(day: BrewDay) -> bool:
    """Tell whether the notes name a carbon filter; on chloramine it hardly acts."""
    return "activated_carbon" in day.notes_agents and not day.source.chloramine


def acts_on(family: str, chloramine: bool) -> bool:
    """Tell whether an agent removes free chlorine or chloramine reliably."""
    return family in DECHLORINATORS and not (chloramine and family == "ascorbic_acid")


def chlorine_left(day: BrewDay) -> float:
    """Return mg/L as Cl2 that nothing in the recipe removes; 0 where none is stated, or a trace."""
    chlorine = day.source.chlorine_mg_l
    if chlorine is None or chlorine <= TRACE_MG_L:
        return 0.0
    chloramine = bool(day.source.chloramine)
    if is_filtered(day) or (not chloramine and treatments(day, "sorbent", "antioxidant")):
        return 0.0
    liquor = day.liquor
    litres = 0.0 if liquor is None else liquor.volume_l.best
    removed_mg = sum(
        _removes(day, family) for family in DECHLORINATORS if acts_on(family, chloramine)
    )
    left = chlorine - removed_mg / litres if litres > 0 else chlorine
    return 0.0 if left <= (1.0 - ENOUGH_SHARE) * chlorine else left


def _removes(day: BrewDay, family: str) -> float:
    """Return milligrams of chlorine that what the recipe adds of an agent removes."""
    grams = sum(
        item.grams.best
        for item in day.doses
        if item.agent is not None
        and (item.agent.family or item.agent.id) == family
        and item.grams is not None
        and item.stage in BEFORE_THE_MASH
    )
    return 1000.0 * grams / dechlorination_dose(DECHLORINATORS[family], 1.0)
