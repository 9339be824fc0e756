"""Five clean recipes written by hand, in the terms of BeerJSON."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    additions,
    dose,
    grist,
    malt,
    merge_patch,
    quantity,
    style,
    together,
    well_with,
)

Json = dict[str, Any]
GYPSUM = "Gypsum (calcium sulfate dihydrate)"
CHLORIDE = "Calcium chloride dihydrate"


def numbers(og: float, fg: float, ebc: float, ibu: float) -> Json:
    """Return a patch with the stated numbers of a recipe."""
    return {
        "original_gravity": quantity(og, "sg"),
        "final_gravity": quantity(fg, "sg"),
        "alcohol_by_volume": quantity(round(131.25 * (og - fg), 1), "%"),
        "color_estimate": quantity(ebc, "EBC"),
        "ibu_estimate": {"method": "Tinseth", "value": quantity(ibu, "IBUs")},
    }


def hops(*items: tuple[float, float, float]) -> Json:
    """Return a patch with hops of (grams, alpha acid in percent, minutes of boil)."""
    return {
        "ingredients": {
            "hop_additions": [
                {
                    "name": f"Hop {number}",
                    "alpha_acid": quantity(alpha, "%"),
                    "amount": quantity(grams, "g"),
                    "timing": {"use": "add_to_boil", "duration": quantity(minutes, "min")},
                }
                for number, (grams, alpha, minutes) in enumerate(items, start=1)
            ]
        }
    }


CLEAN: Mapping[str, Json] = {
    "blonde ale": {},
    "pils": together(
        style("German Pils", 5, "D"),
        well_with(calcium=12, magnesium=2, sodium=5, chloride=8, sulfate=9, bicarbonate=38),
        additions(dose(GYPSUM, 3, step=1), dose(CHLORIDE, 2, step=1), dose(GYPSUM, 3, step=2)),
        grist(malt("Pilsner malt", 4.0, 1.8), malt("Acidulated malt", 0.12, 2, "specialty")),
        hops((35, 7, 60), (25, 5, 10)),
        numbers(1.046, 1.009, 7, 36),
    ),
    "bitter": together(
        style("Best Bitter", 11, "B"),
        well_with(calcium=70, magnesium=5, sodium=20, chloride=30, sulfate=60, bicarbonate=170),
        additions(
            dose(GYPSUM, 4, step=1),
            dose("Lactic acid 80 %", 2.2, "ml", step=1),
            dose(GYPSUM, 4, step=2),
            dose("Lactic acid 80 %", 3.4, "ml", step=2),
        ),
        grist(malt("Pale ale malt", 3.6, 2.8), malt("Caramel malt", 0.3, 60, "caramel")),
        hops((35, 6, 60), (20, 5, 10)),
        numbers(1.043, 1.010, 18, 32),
    ),
    "stout": together(
        style("Irish Stout", 15, "B"),
        well_with(calcium=45, magnesium=5, sodium=20, chloride=40, sulfate=40, bicarbonate=105),
        additions(dose(CHLORIDE, 4, step=1), dose("Lactic acid 80 %", 2.0, "ml", step=2)),
        grist(
            malt("Pale ale malt", 3.2, 2.8),
            malt("Flaked barley", 0.4, 1.7, "flaked"),
            malt("Roasted barley", 0.35, 500, "roasted"),
        ),
        hops((40, 7, 60)),
        numbers(1.043, 1.010, 60, 36),
    ),
    "wheat": together(
        style("Weissbier", 10, "A"),
        additions(dose(CHLORIDE, 3, step=1)),
        grist(
            malt("Wheat malt", 2.4, 2),
            malt("Pilsner malt", 1.8, 1.8),
            malt("Acidulated malt", 0.22, 2, "specialty"),
        ),
        hops((20, 5, 60)),
        numbers(1.048, 1.011, 8, 12),
    ),
}


def recipe_of(name: str) -> Json:
    """Return a clean recipe in the terms of BeerJSON."""
    merged: Json = merge_patch(PLAIN_RECIPE, CLEAN[name])
    return copy.deepcopy({**merged, "name": f"Aldermoor {name}"})
