"""The grist: what is mashed, how much of it, and what its malts do to the pH."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from recipe_tools.brewday.defaults import default
from recipe_tools.brewday.records import Assumption, GristItem
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.mash_ph import MaltShare
from recipe_tools.config import MaltLot, Options
from recipe_tools.recipe import Fermentable, Recipe
from recipe_tools.reference import MaltMatch, malt_values, recognise_malt

_GRAIN_KINDS = frozenset({"grain", "adjunct"})
_NOT_GRAIN = frozenset({"sugar", "extract", "dry extract", "fruit", "juice", "honey"})
_NOT_MASHED_CLASSES = frozenset({"sugar", "extract_liquid", "extract_dry", "colouring"})


def plan_grist(recipe: Recipe, options: Options) -> tuple[GristItem, ...]:
    """Return the mashed grain and adjunct of a recipe with shares that add up to one.

    Sugar and extract do not count, wherever they are added: they bring next to no acid or buffer.
    An extract recipe, cider or mead has no grist; its steeped grain is not a mash.
    """
    if not recipe.mashes:
        return ()
    found = []
    for item in recipe.fermentables:
        if item.amount_kg is None or not item.amount_kg > 0:
            continue
        if item.stage not in (None, "mash") or item.kind in _NOT_GRAIN:
            continue
        malt = recognise_malt(item.name, item.kind, item.colour_ebc, item.group)
        if item.kind not in _GRAIN_KINDS and not item.group and malt.class_id == "unknown":
            continue
        if malt.class_id in _NOT_MASHED_CLASSES:
            continue
        found.append((item, malt, item.amount_kg))
    total = sum(kilograms for _, _, kilograms in found)
    return tuple(
        GristItem(item, malt, kilograms / total, kilograms, _guess(item, malt, options))
        for item, malt, kilograms in found
    )


def _guess(item: Fermentable, malt: MaltMatch, options: Options) -> Literal["", "name", "values"]:
    lot = lot_of(item, options)
    if (item if lot is None else lot).di_ph is not None:
        return ""
    if not malt.sure:
        return "name"
    unmeasured = malt_values(malt.class_id, item.colour_ebc).mark == "derived_default"
    return "values" if unmeasured else ""


def guesses(grist: Sequence[GristItem]) -> list[Assumption]:
    """Return what was supposed about malts whose names leave open what they are."""
    said = []
    for item in grist:
        if item.guess != "name":
            continue
        malt, name = item.malt, item.fermentable.name
        taken = malt.class_id.replace("_", " ")
        text = f"'{name}' is taken for '{taken}' by {malt.rule}"
        if malt.class_id == "unknown":
            text = f"'{name}' is no known malt and has no colour: any pale malt is supposed"
        elif malt.alias:
            text = f"'{name}' is taken for '{taken}' ({malt.rule}: {malt.alias})"
        said.append(Assumption("malt-guessed", text, item.fermentable.origin.at("name")))
    return said


def malt_shares(grist: Sequence[GristItem], options: Options) -> tuple[MaltShare, ...]:
    """Return DI pH and buffer of each malt: of its lot if known, else of its class and colour."""
    return tuple(_share(item, options) for item in grist)


def _share(item: GristItem, options: Options) -> MaltShare:
    fermentable = item.fermentable
    values = malt_values(item.malt.class_id, fermentable.colour_ebc)
    di_ph = Estimate(*values.di_ph)
    buffer = Estimate(*values.buffer_meq_kg_ph)
    di_water = values.di_water_l_kg
    lot_buffer = False
    group = item.malt.class_id
    lot = lot_of(fermentable, options)
    if lot is not None:
        group = f"lot:{fermentable.name.casefold()}"
        if lot.di_ph is not None:
            error = default("malt_lot_di_ph_error")
            di_ph = Estimate(lot.di_ph + error.low, lot.di_ph, lot.di_ph + error.high)
            di_water = lot.di_water_l_kg or di_water
        if lot.buffer_meq_kg_ph is not None:
            buffer = default("malt_lot_buffer_error").times(lot.buffer_meq_kg_ph)
            lot_buffer = True
    elif fermentable.di_ph is not None:
        group = f"lot:{fermentable.name.casefold()}"
        error = default("malt_lot_di_ph_error")
        di_ph = Estimate(
            fermentable.di_ph + error.low, fermentable.di_ph, fermentable.di_ph + error.high
        )
        di_water = fermentable.di_water_l_kg or di_water
    return MaltShare(
        label=fermentable.name,
        share=item.share,
        di_ph=di_ph,
        buffer_meq_kg_ph=buffer,
        di_water_l_kg=di_water,
        lot_known=lot_buffer,
        group=group,
    )


def lot_of(fermentable: Fermentable, options: Options) -> MaltLot | None:
    """Return the certificate the configuration holds for a malt, None without one."""
    if not options.malts:
        return None
    name = fermentable.name.strip().casefold()
    return next((lot for lot in options.malts if lot.name.strip().casefold() == name), None)
