"""From a recipe to its brew day."""

from __future__ import annotations

from collections.abc import Sequence

from recipe_tools.brewday.doses import dose
from recipe_tools.brewday.grist import guesses, plan_grist
from recipe_tools.brewday.liquors import liquor
from recipe_tools.brewday.listed_water import ListedWater, as_source, listed_water
from recipe_tools.brewday.mashing import mash_input
from recipe_tools.brewday.records import (
    Assumption,
    BrewDay,
    Dose,
    GristItem,
    Liquor,
    SourceWater,
    Stage,
)
from recipe_tools.brewday.source import plan_source
from recipe_tools.brewday.souring import soured_by
from recipe_tools.brewday.targets import plan_targets
from recipe_tools.brewday.volumes import Volumes, plan_volumes
from recipe_tools.brewday.wort import plan_wort
from recipe_tools.chemistry.estimate import exactly
from recipe_tools.chemistry.mash_ph import predict
from recipe_tools.config import Options
from recipe_tools.note_additions import without_note_additions
from recipe_tools.noted_ignores import without_noted_ignores
from recipe_tools.recipe import Recipe
from recipe_tools.reference import agents_in_prose, style_family

_LARGEST_NOTES = 20_000
_MASH: tuple[Stage, ...] = ("mash",)
_SPARGE: tuple[Stage, ...] = ("sparge",)
_HOT_SIDE: tuple[Stage, ...] = ("mash", "sparge", "boil")


def plan(recipe: Recipe, options: Options) -> BrewDay:
    """Return the brew day of a recipe: volumes, ions by stage, mash pH with band, assumptions.

    Never raises for what a recipe holds; what cannot be computed is None, and `not_predictable`
    or an assumption says why.
    """
    grist = plan_grist(recipe, options)
    grist_kg = sum(item.kilograms for item in grist)
    volumes = plan_volumes(recipe, grist_kg, options)
    litres = _litres_by_stage(recipe, volumes)
    doses = tuple(
        found
        for addition in recipe.additions
        if (found := dose(addition, recipe, litres.get, options)) is not None
    )
    listed = listed_water(recipe, volumes)
    watered = recipe if options.water is not None else as_source(recipe, listed)
    planned = plan_source(watered, listed.pure_share, options)
    source = planned.source
    if listed.whole and listed.unanalysed and not source.known and not source.records:
        bottle = listed.unanalysed[0]
        source = source._replace(name=bottle.name, pointer=bottle.origin.path)
    mash, sparge, total = _liquors(volumes, source, doses)
    mashed = mash_input(grist, grist_kg, source, mash, doses, options)
    prediction = predict(mashed) if mashed is not None else None
    if mashed is not None and prediction is not None and options.readings is not None:
        from recipe_tools.brewday.learnt import with_readings

        mashed, prediction = with_readings(
            mashed, prediction, source, options.readings, options.lots
        )
    wort = plan_wort(recipe)
    colour_ebc = recipe.colour_ebc if recipe.colour_ebc is not None else wort.colour_ebc
    family = style_family(
        recipe.style,
        og=recipe.og or wort.og,
        ibu=recipe.ibu if recipe.ibu is not None or wort.ibu is None else wort.ibu.best,
        colour_ebc=colour_ebc,
    )
    return BrewDay(
        recipe=recipe,
        source=source,
        mash=mash,
        sparge=sparge,
        total=total,
        doses=doses,
        grist=grist,
        grist_kg=grist_kg,
        water_to_grist_l_kg=(
            volumes.mash_l.best / grist_kg if volumes.mash_l is not None and grist_kg > 0 else None
        ),
        mash_input=mashed,
        prediction=prediction,
        not_predictable=_missing(recipe, grist, volumes),
        family=family,
        target=planned.target,
        assumptions=(
            *volumes.assumptions,
            *planned.assumptions,
            *guesses(grist),
            *_of_report(source, listed),
            *_without_mash(recipe),
            *_assumed(doses, sparge),
        ),
        top_up_l=volumes.top_up_l,
        acidulated_share=sum(item.share for item in grist if item.malt.class_id == "acidulated"),
        og=wort.og,
        colour_ebc=wort.colour_ebc,
        ibu=wort.ibu,
        notes_agents=_agents_in_notes(recipe),
        pure_share=listed.pure_share,
        listed_water=listed.unanalysed if listed.whole else (),
        soured_by=soured_by(recipe, family),
        targets=plan_targets(family, recipe.style, colour_ebc, planned.target, options),
    )


def _litres_by_stage(recipe: Recipe, volumes: Volumes) -> dict[Stage, float]:
    litres: dict[Stage, float] = {}
    whole = volumes.total_l or recipe.batch_l
    if whole:
        for stage in ("source", "mash", "sparge", "boil", "unknown"):
            litres[stage] = whole
    if volumes.mash_l is not None:
        litres["mash"] = volumes.mash_l.best
    if volumes.sparge_l is not None and volumes.sparge_l.best > 0:
        litres["sparge"] = volumes.sparge_l.best
    return litres


def _liquors(
    volumes: Volumes, source: SourceWater, doses: Sequence[Dose]
) -> tuple[Liquor | None, Liquor | None, Liquor | None]:
    whole = volumes.total_l or 0.0
    mash = sparge = total = None
    if volumes.mash_l is not None:
        mash = liquor("mash", volumes.mash_l, source, doses, _MASH, whole)
    if volumes.sparge_l is not None and volumes.sparge_l.best > 0:
        sparge = liquor("sparge", volumes.sparge_l, source, doses, _SPARGE, whole)
    if whole > 0:
        total = liquor("total", exactly(whole), source, doses, _HOT_SIDE, whole)
    return mash, sparge, total


def _missing(recipe: Recipe, grist: Sequence[GristItem], volumes: Volumes) -> tuple[str, ...]:
    """Return what keeps the mash pH from being predicted; nothing for drinks that have no mash."""
    if not recipe.mashes:
        return ("nothing is mashed",) if recipe.is_beer else ()
    missing = []
    if not grist:
        missing.append("no mashed grain with an amount")
    if volumes.mash_l is None:
        missing.append("no mash water volume")
    return tuple(missing)


def _of_report(source: SourceWater, listed: ListedWater) -> list[Assumption]:
    if source.origin != "report" or not listed.whole or not listed.unanalysed:
        return []
    bottle = listed.unanalysed[0]
    text = f"the water report is taken for '{bottle.name}', which is listed among the additions"
    return [Assumption("report-of-listed-water", text, bottle.origin.path)]


def _without_mash(recipe: Recipe) -> list[Assumption]:
    if recipe.mashes or not recipe.is_beer:
        return []
    text = (
        "nothing is mashed: there is no mash pH to judge, and the minerals the extract brings of "
        "its own are not known and not counted"
    )
    return [Assumption("nothing-mashed", text, recipe.origin.at("kind"))]


def _assumed(doses: Sequence[Dose], sparge: Liquor | None) -> list[Assumption]:
    """Return what had to be supposed to count an addition."""
    said = []
    for item in doses:
        if item.agent is None:
            continue
        name = item.addition.name
        for doubt in item.doubts:
            text = _DOUBT_TEXTS[doubt].format(
                name=name,
                agent=item.agent.name,
                strength=item.strength_percent.best if item.strength_percent else 0.0,
                low=item.strength_percent.low if item.strength_percent else 0.0,
                high=item.strength_percent.high if item.strength_percent else 0.0,
            )
            said.append(Assumption(f"addition-{doubt}", text, item.pointer))
        if item.stage == "sparge" and sparge is None:
            text = f"'{name}' goes into a sparge this recipe has not: counted in all water only"
            said.append(Assumption("addition-no-sparge", text, item.pointer))
        if item.stage == "mash" and not item.addition.use:
            text = f"'{name}' names no stage: counted into the mash"
            said.append(Assumption("addition-stage", text, item.pointer))
    return said


_DOUBT_TEXTS = {
    "hydrate": "'{name}' does not say which form: counted as {agent}",
    "strength": "'{name}' does not say its strength: {strength:g} % taken ({low:g} to {high:g} %)",
    "form": "'{name}' may be a solid or a solution: counted as a solution of {strength:g} %",
    "mass-flag": "'{name}' is a solid given as a volume: the number is read as a mass",
    "unit-slip": "'{name}' is a thousand times too much: counted as a thousandth",
    "amount-missing": "'{name}' has no amount: not counted",
    "pieces": "'{name}' is given in pieces",
}


def _agents_in_notes(recipe: Recipe) -> tuple[str, ...]:
    """Return the water agents that the notes of recipe, mash and waters name."""
    mash_notes = recipe.mash.notes if recipe.mash is not None else ""
    notes = (
        without_noted_ignores(without_note_additions(recipe.notes)),
        mash_notes,
        *(item.notes for item in recipe.waters),
    )
    text = "\n".join(filter(None, notes))
    return agents_in_prose(text[:_LARGEST_NOTES]) if text.strip() else ()
