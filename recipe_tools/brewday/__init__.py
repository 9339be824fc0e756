"""The brew day: which water meets which grain, salt and acid, and what pH comes of it."""

from __future__ import annotations

from recipe_tools.brewday.plan import plan
from recipe_tools.brewday.recoloured import colour_with, mash_ph_with
from recipe_tools.brewday.records import (
    AfterAcid,
    Assumption,
    BrewDay,
    Dose,
    Form,
    GristItem,
    Liquor,
    SourceWater,
    Stage,
)
from recipe_tools.brewday.settings_used import settings_used
from recipe_tools.brewday.wort import Wort, wort_without_hops

__all__ = [
    "AfterAcid",
    "Assumption",
    "BrewDay",
    "Dose",
    "Form",
    "GristItem",
    "Liquor",
    "SourceWater",
    "Stage",
    "Wort",
    "colour_with",
    "mash_ph_with",
    "plan",
    "settings_used",
    "wort_without_hops",
]
