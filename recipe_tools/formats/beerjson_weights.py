"""Which members the check of water, salts and mash needs: their loss is more than a note."""

from __future__ import annotations

from typing import Final

from recipe_tools.formats.beerjson_schema import Deviation

_IONS: Final = ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate")
_NEEDED: Final = {
    "recipes",
    "batch_size",
    "ingredients",
    "fermentable_additions",
    "water_additions",
    "miscellaneous_additions",
    "mash",
    "mash_steps",
    "amount",
    "color",
    "step_temperature",
    "pre_boil_size",
    "water_grain_ratio",
    "carbonate",
    *_IONS,
}
"""Members without which the check of water, salts or mash lacks a value."""

_BESIDE: Final = {
    "hop_additions",
    "culture_additions",
    "fermentation",
    "packaging",
    "style",
    "hop_varieties",
    "cultures",
    "styles",
    "fermentables",
    "miscellaneous_ingredients",
    "fermentations",
    "mashes",
}
"""Members that nothing below is needed of."""


def is_needed(deviation: Deviation, in_quantity: bool) -> bool:
    """Tell whether the check lacks a value without the member a deviation is about.

    in_quantity: whether it is about unit or value of a quantity, so that the quantity counts.
    """
    names = [part for part in deviation.parts if type(part) is str]
    if _BESIDE.intersection(names):
        return False
    return not _NEEDED.isdisjoint(names[:2] if in_quantity else names[:1])
