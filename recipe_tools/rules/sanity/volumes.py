"""Whether there is water for the mash, and whether the volumes can be true together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.brewday.defaults import default
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import SPARGE_STEP, mash_steps, quantity, step
from recipe_tools.rules.liquors import mash_pointer
from recipe_tools.rules.verdicts import report

_PLAIN = Example("The plain recipe.")
_OWN = "derived_default"


@rule(
    Rule(
        id="recipe/no-mash-water",
        severity=Severity.WARNING,
        summary="Grain is mashed, but no mash step says with how much water.",
        why="Without the volume nothing can be said on ions, salts or the mash pH.",
        source="common practice, no source",
        remedy="Give the first mash step its strike volume or its water to grain ratio.",
        passes=_PLAIN,
        fails=Example(
            "A mash step without an amount.",
            mash_steps(step("Saccharification", "infusion", None, 66)),
        ),
    )
)
def no_mash_water(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look for a grist without mash water."""
    del options
    if day.grist_kg <= 0 or day.mash is not None or not day.is_mashed:
        return
    yield report(
        f"{day.grist_kg:.2f} kg of grain are mashed, but no step says with how much water",
        mash_pointer(day),
        value=round(day.grist_kg, 2),
        unit="kg",
    )


@rule(
    Rule(
        id="recipe/thickness-unusual",
        severity=Severity.WARNING,
        summary="The mash is thicker or thinner than mashes are.",
        why="Below 2 L/kg a mash can hardly be stirred; far above 7 L/kg even a mash with all "
        "the water in it does not go. Most often a unit is wrong, or a volume is that of the "
        "batch.",
        source="2 to 5 L/kg: Troester 2009; the upper limit leaves room for a mash without "
        "sparge and is a derived_default",
        remedy="Check the strike volume and the grain amounts, and their units.",
        options={
            "low": Option(1.8, "L/kg", "thicker is unusual", "derived_default"),
            "high": Option(9.0, "L/kg", "thinner is unusual", "derived_default"),
        },
        passes=_PLAIN,
        fails=Example(
            "Five litres for four kilograms.",
            mash_steps(step("Saccharification", "infusion", 5, 66), SPARGE_STEP),
        ),
    )
)
def thickness_unusual(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge water to grist."""
    ratio = day.water_to_grist_l_kg
    if ratio is None or day.mash is None or options["low"] <= ratio <= options["high"]:
        return
    side, limit = (
        ("below", options["low"]) if ratio < options["low"] else ("above", options["high"])
    )
    mash = day.recipe.mash
    pointer = mash.steps[0].origin.at("water_l") if mash and mash.steps else mash_pointer(day)
    yield report(
        f"{day.mash.volume_l.best:.1f} L of mash water for {day.grist_kg:.2f} kg of grain are "
        f"{ratio:.1f} L/kg, {side} {limit:g}",
        pointer,
        value=round(ratio, 2),
        limit=limit,
        unit="L/kg",
    )


@rule(
    Rule(
        id="recipe/volumes-do-not-add-up",
        severity=Severity.WARNING,
        summary="The water of the recipe cannot give the volume of beer it states.",
        why="Grain keeps about a litre of water per kilogram and the boil takes some more. Salts "
        "and acid are dosed by these volumes, so a wrong one spoils them all.",
        source="absorption 0.8 to 1.2 L/kg and 2 to 4 L/h from pots on a stove: common practice, "
        "from memory; tolerances derived_default",
        remedy="Add the sparge water to the recipe, or correct batch size, boil size or mash "
        "water.",
        options={
            "tolerance": Option(5, "% of the batch", "shortfall that passes", "derived_default"),
            "held_by_grain": Option(
                default("grain_absorption").low,
                "L/kg",
                "least water kept by the grain, unless the recipe states it",
                "brewday_defaults",
            ),
            "left_behind": Option(
                25, "% of the batch", "most wort left in kettle, hoses and trub", "derived_default"
            ),
            "boils_away": Option(
                5, "L/h", "most that a strong flame boils away, however small the batch", _OWN
            ),
            "boils_away_percent": Option(
                30, "% of the batch/h", "most that boils away of a large kettle", _OWN
            ),
        },
        passes=_PLAIN,
        fails=Example(
            "Forty litres of beer from 28 litres of water.", {"batch_size": quantity(40, "l")}
        ),
    )
)
def volumes_do_not_add_up(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare all water, less what the grain keeps, with the batch; and boil with batch."""
    recipe = day.recipe
    batch_l = recipe.batch_l
    if not batch_l or batch_l <= 0 or not day.is_mashed:
        return
    least = batch_l * (1.0 - options["tolerance"] / 100.0)
    message, value = "", 0.0
    if day.mash is not None and day.total is not None:
        water = day.total.volume_l.best
        left = water - _held_per_kg(day, options["held_by_grain"]) * day.grist_kg
        if left < least:
            message = (
                f"{water:.1f} L of water leave at most {left:.1f} L of wort, less than the batch "
                f"of {batch_l:.1f} L"
            )
            value = left
        else:
            spare = _spare_l_h(day, water, batch_l, options["left_behind"])
            most = max(options["boils_away"], options["boils_away_percent"] / 100.0 * batch_l)
            if spare > most:
                message = (
                    f"{water:.1f} L of water for {batch_l:.1f} L of beer is more than brewing "
                    f"takes: {spare:.1f} L an hour would have to boil away, {most:.1f} L at most do"
                )
                value = water
    boil_l = recipe.boil_l
    if not message and boil_l is not None and 0 < boil_l + day.top_up_l < least:
        message = f"The boil of {boil_l:.1f} L is smaller than the batch of {batch_l:.1f} L"
        value = boil_l
    if message:
        yield report(
            message,
            recipe.origin.at("batch_l"),
            confidence=Confidence.LIKELY,
            value=round(value, 1),
            batch=round(batch_l, 1),
            unit="L",
        )


def _spare_l_h(day: BrewDay, water_l: float, batch_l: float, left_percent: float) -> float:
    """Return the litres an hour that have to boil away for the water to become the batch."""
    recipe, equipment = day.recipe, day.recipe.equipment
    absorption, dead_space = default("grain_absorption").high, default("dead_space").high
    trub = 0.0
    if equipment is not None:
        absorption = max(absorption, equipment.grain_absorption_l_kg or 0.0)
        dead_space = max(dead_space, equipment.dead_space_l or 0.0)
        trub = max(0.0, equipment.trub_loss_l or 0.0)
    kept = absorption * day.grist_kg + dead_space + max(trub, left_percent / 100.0 * batch_l)
    minutes = recipe.boil_min if recipe.boil_min and recipe.boil_min > 0 else default("boil").high
    return (water_l - kept - batch_l) / max(1.0, minutes / 60.0)


def _held_per_kg(day: BrewDay, least: float) -> float:
    """Return the least water a kilogram of grain keeps, L; what the recipe states if less."""
    equipment = day.recipe.equipment
    stated = None if equipment is None else equipment.grain_absorption_l_kg
    return least if stated is None or stated < 0 else min(least, stated)
