"""How much water goes where, read from mash steps and volumes that often leave gaps."""

from __future__ import annotations

from typing import NamedTuple

from recipe_tools.brewday.defaults import default
from recipe_tools.brewday.records import Assumption
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.config import Options
from recipe_tools.recipe import Mash, MashStep, Recipe

_OF_JUICE = frozenset({"cider", "wine"})
_SAME = 0.005


class Volumes(NamedTuple):
    """Litres of liquor by stage, None where unknown. total: all water of the recipe."""

    mash_l: Estimate | None
    sparge_l: Estimate | None
    top_up_l: float
    total_l: float | None
    assumptions: tuple[Assumption, ...]


def is_sparge(step: MashStep) -> bool:
    """True for a step that only rinses, whatever word the file uses for it."""
    return "sparge" in step.kind or "lauter" in step.kind


def plan_volumes(recipe: Recipe, grist_kg: float, options: Options) -> Volumes:
    """Return the water volumes of a recipe.

    Mash water is the strike water (the amount of the first step, whatever its type) and later
    infusions. A later temperature step that repeats the strike volume adds nothing; the amount of a
    later decoction is mash taken out. Where the standard of the file cannot state the sparge, it is
    boil size - (mash water - absorption x grain - dead space) - top-up; none where that is no more
    than the error of marks on a kettle, or zero with another usual absorption.
    """
    said: list[Assumption] = []
    mash = recipe.mash
    mash_l = _mash_water(mash, grist_kg, said) if mash and grist_kg > 0 else None
    top_up = _top_up(recipe)
    sparge_l = _sparge_water(recipe, mash_l, grist_kg, top_up, options, said)
    return Volumes(
        mash_l=_measured(mash_l),
        sparge_l=sparge_l,
        top_up_l=top_up,
        total_l=_total(recipe, mash_l, sparge_l, top_up, said),
        assumptions=tuple(said),
    )


def _mash_water(mash: Mash, grist_kg: float, said: list[Assumption]) -> float | None:
    steps = [step for step in mash.steps if not is_sparge(step)]
    if not steps:
        return None
    first = steps[0]
    strike = first.water_l
    if not strike and first.water_to_grist_l_kg:
        strike = first.water_to_grist_l_kg * grist_kg
        text = f"strike water taken from the stated thickness: {strike:.1f} L"
        said.append(Assumption("strike-from-thickness", text, first.origin.path))
    total = strike or 0.0
    for step in steps[1:]:
        total += _later_water(step, strike, said)
    return total if total > 0 else None


def _later_water(step: MashStep, strike: float | None, said: list[Assumption]) -> float:
    water = step.water_l
    if not water or water < 0:
        return 0.0
    pointer = step.origin.at("water_l")
    if step.kind == "decoction":
        text = f"{water:.1f} L of the decoction step is mash taken out, not water added"
        said.append(Assumption("decoction-is-mash", text, pointer))
        return 0.0
    if step.kind in ("drain mash tun", "souring wort"):
        return 0.0
    if step.kind == "temperature" and strike and abs(water - strike) <= _SAME * strike:
        text = f"{water:.1f} L of the temperature step repeats the strike water and adds nothing"
        said.append(Assumption("strike-repeated", text, pointer))
        return 0.0
    return water


def _top_up(recipe: Recipe) -> float:
    equipment = recipe.equipment
    if equipment is None:
        return 0.0
    amounts = (equipment.top_up_kettle_l, equipment.top_up_fermenter_l)
    return sum(amount for amount in amounts if amount and amount > 0)


def _sparge_water(
    recipe: Recipe,
    mash_l: float | None,
    grist_kg: float,
    top_up_l: float,
    options: Options,
    said: list[Assumption],
) -> Estimate | None:
    if recipe.mash is None or mash_l is None:
        return None
    stated = [step for step in recipe.mash.steps if is_sparge(step)]
    if stated:
        litres = sum(step.water_l for step in stated if step.water_l and step.water_l > 0)
        if litres > 0:
            return _measured(litres)
        said.append(
            Assumption(
                "sparge-without-volume", "the sparge step names no volume", stated[0].origin.path
            )
        )
    elif options.sparge is False or (recipe.states_sparge and not options.sparge):
        return None
    if recipe.boil_l is None:
        said.append(Assumption("sparge-unknown", "no boil size, so the sparge volume is not known"))
        return None
    return _sparge_from_boil(recipe, mash_l, grist_kg, top_up_l, options, said)


def _sparge_from_boil(
    recipe: Recipe,
    mash_l: float,
    grist_kg: float,
    top_up_l: float,
    options: Options,
    said: list[Assumption],
) -> Estimate | None:
    absorption = default("grain_absorption")
    dead_space = default("dead_space")
    equipment = recipe.equipment
    if options.grain_absorption_l_kg is not None:
        absorption = exactly(options.grain_absorption_l_kg)
    elif equipment and equipment.grain_absorption_l_kg is not None:
        absorption = exactly(equipment.grain_absorption_l_kg)
    if options.dead_space_l is not None:
        dead_space = exactly(options.dead_space_l)
    elif equipment and equipment.dead_space_l is not None:
        dead_space = exactly(max(0.0, equipment.dead_space_l))
    boil_l = recipe.boil_l or 0.0
    kettle_top_up = (equipment.top_up_kettle_l or 0.0) if equipment else top_up_l

    def litres(held_per_kg: float, held: float) -> float:
        return max(0.0, boil_l - (mash_l - held_per_kg * grist_kg - held) - kettle_top_up)

    sparge = Estimate(
        litres(absorption.low, dead_space.low),
        litres(absorption.best, dead_space.best),
        litres(absorption.high, dead_space.high),
    )
    if sparge.best <= 0 or _within_error(sparge, boil_l):
        said.append(Assumption("no-sparge", "the mash water alone fills the kettle: no sparge"))
        return None
    text = (
        f"sparge {sparge.best:.1f} L from the boil size, {absorption.best:g} L/kg held by the "
        f"grain and {dead_space.best:g} L dead space"
    )
    said.append(Assumption("sparge-from-boil-size", text, recipe.origin.at("boil_l")))
    return sparge


def _within_error(sparge: Estimate, boil_l: float) -> bool:
    """Tell whether a sparge worked out as a difference is no more than what is not known of it."""
    return sparge.low <= 0 or sparge.best < (default("volume_error").high - 1.0) * boil_l


def _measured(litres: float | None) -> Estimate | None:
    return default("volume_error").times(litres) if litres is not None else None


def _total(
    recipe: Recipe,
    mash_l: float | None,
    sparge_l: Estimate | None,
    top_up_l: float,
    said: list[Assumption],
) -> float | None:
    """Return all water of the recipe; juice is no water."""
    if mash_l is not None:
        return mash_l + (sparge_l.best if sparge_l else 0.0) + top_up_l
    if recipe.kind in _OF_JUICE:
        return None
    whole, what = (recipe.boil_l, "boil") if recipe.boil_l else (recipe.batch_l, "batch")
    if whole and whole + top_up_l < (recipe.batch_l or 0.0):
        whole, what = recipe.batch_l, "batch"  # a part of the wort is boiled, the rest is topped up
    elif whole and what == "boil" and top_up_l:
        text = f"all water taken as the boil size of {whole:.1f} L and {top_up_l:.1f} L of top-up"
        said.append(Assumption("water-is-boil-size", text, recipe.origin.at("boil_l")))
        return whole + top_up_l
    if whole:
        text = f"all water taken as the {what} size of {whole:.1f} L"
        said.append(Assumption(f"water-is-{what}-size", text, recipe.origin.at(f"{what}_l")))
    return whole
