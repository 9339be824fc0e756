"""Gravity, colour and bitterness recomputed from the ingredients, to hold against the file."""

from __future__ import annotations

from typing import NamedTuple

from recipe_tools.chemistry.wort import bitterness_ibu, colour_ebc, gravity, yield_percent
from recipe_tools.recipe import Fermentable, Recipe

_MASHED_KINDS = frozenset({"grain", "adjunct"})
_BOILED_USES = frozenset({"boil", "first wort"})
_AFTER_BOIL = frozenset({"package"})


class Wort(NamedTuple):
    """og, colour_ebc and ibu of the wort in the fermenter; None where a number is missing."""

    og: float | None = None
    colour_ebc: float | None = None
    ibu: float | None = None


def plan_wort(recipe: Recipe) -> Wort:
    """Return what the ingredients give for the batch volume.

    Grain and adjunct yield by the brewhouse efficiency, everything else in full. Hops count for the
    minutes they boil; aroma, mash and dry hops give no bitterness, as BeerXML 1.0 has it.
    """
    litres = recipe.batch_l
    if litres is None or not litres > 0:
        return Wort()
    items = [f for f in recipe.fermentables if f.stage not in _AFTER_BOIL]
    extract = _extract_kg(recipe, items)
    og = gravity(extract, litres) if extract is not None and extract > 0 else None
    return Wort(og, _colour(items, litres), _bitterness(recipe, litres, og))


def _extract_kg(recipe: Recipe, items: list[Fermentable]) -> float | None:
    efficiency = recipe.efficiency_percent
    total = 0.0
    for item in items:
        percent = item.yield_percent
        if percent is None and item.potential_sg is not None:
            percent = yield_percent(item.potential_sg)
        if item.amount_kg is None or percent is None:
            return None
        if item.kind in _MASHED_KINDS:
            if efficiency is None:
                return None
            percent *= efficiency / 100.0
        total += item.amount_kg * percent / 100.0
    return total


def _colour(items: list[Fermentable], litres: float) -> float | None:
    malts = []
    for item in items:
        if item.amount_kg is None or item.colour_ebc is None:
            return None
        malts.append((item.amount_kg, max(0.0, item.colour_ebc)))
    return colour_ebc(malts, litres) if malts else None


def _bitterness(recipe: Recipe, litres: float, og: float | None) -> float | None:
    if og is None or not recipe.hops:
        return None
    boil_l = recipe.boil_l if recipe.boil_l and recipe.boil_l > 0 else litres
    boil_gravity = 1.0 + (og - 1.0) * min(1.5, max(0.5, litres / boil_l))
    hops = []
    for hop in recipe.hops:
        if hop.use not in _BOILED_USES:
            continue
        if hop.amount_kg is None or hop.alpha_percent is None or hop.time_min is None:
            return None
        hops.append((hop.amount_kg, hop.alpha_percent, hop.time_min))
    return bitterness_ibu(hops, litres, boil_gravity)
