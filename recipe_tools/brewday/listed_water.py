"""Water that a recipe lists among its additions instead of its waters."""

from __future__ import annotations

from typing import NamedTuple

from recipe_tools.brewday.source import MAIN_IONS, is_pure_water_name
from recipe_tools.brewday.volumes import Volumes
from recipe_tools.recipe import Addition, Recipe, WaterSource
from recipe_tools.reference import recognise_agent

LEAST_L = 0.5
"""Less is there to dissolve something in (derived_default)."""
_SAME_VOLUME = 0.15
"""How far from the water of the recipe the sum counts as all of it (derived_default)."""


class ListedWater(NamedTuple):
    """Additions of pure water and of water without an analysis.

    pure_share: part of the liquor that is pure water. whole: both together are all the brewing
    water, so that the water without an analysis is its source.
    """

    pure: tuple[Addition, ...]
    unanalysed: tuple[Addition, ...]
    pure_share: float
    whole: bool


def listed_water(recipe: Recipe, volumes: Volumes) -> ListedWater:
    """Return the waters among the additions, half a litre and more of each."""
    pure = tuple(item for item in recipe.additions if litres_of(item) and _is_pure(item))
    unanalysed = tuple(item for item in recipe.additions if litres_of(item) and is_water(item))
    total = volumes.total_l or 0.0
    if total <= 0:
        return ListedWater(pure, unanalysed, 0.0, False)
    pure_l = sum(map(litres_of, pure))
    listed = pure_l + sum(map(litres_of, unanalysed))
    whole = any(
        abs(listed - needed) <= _SAME_VOLUME * needed
        for needed in (total, total - volumes.top_up_l)
    )
    return ListedWater(pure, unanalysed, min(1.0, pure_l / total), whole)


def litres_of(item: Addition) -> float:
    """Return the litres of an addition; 0 where it is too little to be brewing water."""
    litres = (item.volume_ml or 0.0) / 1000.0
    return litres if litres >= LEAST_L else 0.0


def is_water(item: Addition) -> bool:
    """True for tap, bottled, spring or well water: for any whose ions nobody can know."""
    match = recognise_agent(item.name)
    return match is not None and match.agent_id == "unanalysed_water"


def _is_pure(item: Addition) -> bool:
    return is_pure_water_name(item.name)


def as_source(recipe: Recipe, listed: ListedWater) -> Recipe:
    """Return the recipe with a water record where pure additions alone are its brewing water."""
    if recipe.waters or not listed.whole or not listed.pure or listed.unanalysed:
        return recipe
    first = listed.pure[0]
    zeros = dict.fromkeys(MAIN_IONS, 0.0)
    return recipe._replace(waters=(WaterSource(first.name, ions_mg_l=zeros, origin=first.origin),))
