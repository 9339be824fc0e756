"""Gravity, colour and bitterness recomputed from the ingredients, to hold against the file."""

from __future__ import annotations

from typing import NamedTuple

from recipe_tools.brewday.defaults import default
from recipe_tools.chemistry.estimate import ZERO, Estimate, exactly
from recipe_tools.chemistry.wort import bitterness_ibu, colour_ebc, gravity, yield_percent
from recipe_tools.recipe import Fermentable, Hop, Recipe

_MASHED_KINDS = frozenset({"grain", "adjunct"})
_COLD_USES = ("dry", "ferment", "primary", "secondary", "package", "bottl", "keg")
_AFTER_BOIL = frozenset({"package"})


class Wort(NamedTuple):
    """og, colour_ebc and ibu of the wort in the fermenter; None where a number is missing.

    The ends of ibu are what is left open by hops that steep in hot wort or go into the mash.
    """

    og: float | None = None
    colour_ebc: float | None = None
    ibu: Estimate | None = None


def plan_wort(recipe: Recipe) -> Wort:
    """Return what the ingredients give for the batch volume.

    Grain and adjunct yield by the brewhouse efficiency, everything else in full. Hops count for the
    minutes they boil. Those that steep after it (aroma, whirlpool, or a word that says neither)
    count for part of their minutes, those in the mash for part of the boil, dry hops for nothing.
    """
    wort = wort_without_hops(recipe)
    return wort._replace(ibu=_bitterness(recipe, wort.og))


def wort_without_hops(recipe: Recipe, *, kilograms: float = 1.0, litres: float = 1.0) -> Wort:
    """Return gravity and colour alone, with all fermentables and the batch times a factor."""
    if recipe.batch_l is None or not recipe.batch_l > 0:
        return Wort()
    batch_l = recipe.batch_l * litres
    items = [f for f in recipe.fermentables if f.stage not in _AFTER_BOIL]
    extract = _extract_kg(recipe, items, kilograms)
    og = gravity(extract, batch_l) if extract is not None and extract > 0 else None
    return Wort(og, _colour(items, batch_l, kilograms))


def _extract_kg(recipe: Recipe, items: list[Fermentable], kilograms: float) -> float | None:
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
        total += item.amount_kg * kilograms * percent / 100.0
    return total


def _colour(items: list[Fermentable], litres: float, kilograms: float) -> float | None:
    malts = []
    for item in items:
        if item.amount_kg is None or item.colour_ebc is None:
            return None
        malts.append((item.amount_kg * kilograms, max(0.0, item.colour_ebc)))
    return colour_ebc(malts, litres) if malts else None


def _bitterness(recipe: Recipe, og: float | None) -> Estimate | None:
    litres = recipe.batch_l
    if litres is None or og is None or not recipe.hops:
        return None
    boil_l = recipe.boil_l if recipe.boil_l and recipe.boil_l > 0 else litres
    boil_gravity = 1.0 + (og - 1.0) * min(1.5, max(0.5, litres / boil_l))
    total = ZERO
    for hop in recipe.hops:
        minutes = _boiling(hop, recipe.boil_min)
        if not minutes.high:
            continue
        if hop.amount_kg is None or hop.alpha_percent is None:
            return None
        charge = hop.amount_kg, hop.alpha_percent
        share = default("mash_hop_utilisation") if hop.use == "mash" else exactly(1.0)
        ends = (
            part * bitterness_ibu([(*charge, time)], litres, boil_gravity)
            for part, time in zip(share, minutes, strict=True)
        )
        total = total.plus(Estimate(*ends))
    return total


def _boiling(hop: Hop, boil_min: float | None) -> Estimate:
    """Return the minutes of boiling that a hop counts for."""
    minutes = hop.time_min if hop.time_min is not None and hop.time_min > 0 else 0.0
    whole = boil_min if boil_min is not None and boil_min > 0 else default("boil").best
    if hop.use == "mash":
        return exactly(whole)
    if hop.use == "first wort":
        least = minutes or whole
        return Estimate(least, least, max(least, whole))
    if hop.use in ("boil", "kettle") and minutes:
        return exactly(minutes)
    if any(word in hop.use for word in _COLD_USES):
        return ZERO
    # The time may be that of the stand, or be missing; the wort is hot for a while in any case.
    stand, speed = default("hop_stand"), default("steeping")
    time = min(max(minutes, stand.best), stand.high)
    return Estimate(
        speed.low * min(minutes, stand.high), speed.best * time, speed.high * max(time, stand.high)
    )
