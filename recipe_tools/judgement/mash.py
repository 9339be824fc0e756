"""The mash: the window of its pH, what the recipe states of it, and the lactate of its acid."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from recipe_tools.brewday import BrewDay, Dose
from recipe_tools.chemistry.ions import MOLAR_MASS_G_MOL
from recipe_tools.findings import Option
from recipe_tools.judgement import Thresholds
from recipe_tools.recipe import Recipe

WINDOW_PH = (5.2, 5.6)
"""The window of the mash pH, read in a cooled sample."""
WINDOW_SOURCE = (
    "pH of a cooled sample: 5.2 to 5.6 (abstract in the library of the MBAA); 5.2 to 5.5 aimed "
    "at, up to 5.8 accepted (Kunze 2007 and Narziss 2005 as cited by Hosom 2018); 5.3 to 5.5 "
    "best (Troester 2009)"
)
MARGIN_PH = 0.005
ACIDULATED_MMOL_KG = 336.0
"""Acid of acidulated malt to pH 5.7, mean of 315 and 358 mEq/kg (Troester 2009), counted as lactic
acid."""
_MEANT_PH = (4.6, 6.2)
_AT_ROOM = "pH at room temperature"
_LOW = Option(WINDOW_PH[0], _AT_ROOM, "lower edge of the window", WINDOW_SOURCE)
_HIGH = Option(WINDOW_PH[1], _AT_ROOM, "upper edge of the window", WINDOW_SOURCE)
LOWER_EDGE = {"low": _LOW}

ABOVE_RANGE = Thresholds("mash-ph/above-range", {"high": _HIGH})
BELOW_RANGE = Thresholds("mash-ph/below-range", LOWER_EDGE)
NEAR_EDGE = Thresholds(
    "mash-ph/near-edge",
    {
        "low": _LOW,
        "high": _HIGH,
        "within": Option(0.05, "pH", "this close to an edge", "derived_default"),
    },
)
STATED_TARGET = Thresholds(
    "mash-ph/stated-target-differs",
    {"tolerance": Option(0.1, "pH", "difference that still agrees", "derived_default")},
)
ACIDULATED_SHARE = Thresholds(
    "mash-ph/acidulated-share-high",
    {"share_above": Option(10, "% of the grist", "above this a warning", "derived_default")},
)
LACTATE = Thresholds(
    "mash-ph/lactate-taste",
    {"lactate_above": Option(400, "mg/L of beer", "above this a note", "from memory, weak")},
)


class StatedPh(NamedTuple):
    """A mash pH that a recipe states: what states it, in words, and where."""

    ph: float
    what: str
    pointer: str


def stated_ph(recipe: Recipe) -> Iterator[StatedPh]:
    """Yield the pH values a recipe states for its mash; those no mash can be meant by are not."""
    mash = recipe.mash
    if mash is None:
        return
    found = []
    for number, item in enumerate(mash.steps, start=1):
        if "sparge" not in item.kind and not item.kind.startswith("sour"):
            step = f"of mash step {number}"
            found.append((item.start_ph, f"for the start {step}", item.origin.at("start_ph")))
            found.append((item.end_ph, f"for the end {step}", item.origin.at("end_ph")))
    doubt = "as MASH.PH (by BeerXML the pH of the sparge, often used for the mash)"
    found.append((mash.ph, doubt, mash.origin.at("ph")))
    low, high = _MEANT_PH
    for ph, what, pointer in found:
        if ph is not None and low <= ph <= high:
            yield StatedPh(ph, what, pointer)


def lactic_acids(day: BrewDay) -> list[Dose]:
    """Return the doses of lactic acid that end up in the beer."""
    return [
        item
        for item in day.doses
        if item.agent is not None and item.agent.id == "lactic_acid" and item.stage != "package"
    ]


def lactate_mg(day: BrewDay) -> float:
    """Return the lactate that acid and acidulated malt bring into the beer, milligrams."""
    malt_mmol = day.acidulated_share * day.grist_kg * ACIDULATED_MMOL_KG
    mmol = malt_mmol + sum(item.acid_mmol.best for item in lactic_acids(day))
    return mmol * MOLAR_MASS_G_MOL["lactate"]
