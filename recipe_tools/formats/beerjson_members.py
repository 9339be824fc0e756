"""Where the fields of `recipe` stand in the records of BeerJSON, as the rest of a pointer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

ION_MEMBERS: Final = (
    ("calcium", "calcium"),
    ("magnesium", "magnesium"),
    ("sodium", "sodium"),
    ("potassium", "potassium"),
    ("chloride", "chloride"),
    ("sulfate", "sulfate"),
    ("bicarbonate", "bicarbonate"),
    ("carbonate", "carbonate"),
    ("nitrate", "nitrate"),
    ("nitrite", "nitrite"),
    ("flouride", "fluoride"),  # as the standard spells it; the right spelling is read as well
    ("iron", "iron"),
)
"""(member, ion)."""

RECIPE_MEMBERS: Final[Mapping[str, str]] = {
    "name": "/name",
    "kind": "/type",
    "brewer": "/author",
    "date": "/created",
    "batch_l": "/batch_size",
    "boil_l": "/boil/pre_boil_size",
    "boil_min": "/boil/boil_time",
    "efficiency_percent": "/efficiency/brewhouse",
    "og": "/original_gravity",
    "fg": "/final_gravity",
    "ibu": "/ibu_estimate/value",
    "colour_ebc": "/color_estimate",
    "abv_percent": "/alcohol_by_volume",
    "beer_ph": "/beer_pH",
    "style": "/style",
    "mash": "/mash",
    "fermentables": "/ingredients/fermentable_additions",
    "hops": "/ingredients/hop_additions",
    "additions": "/ingredients/miscellaneous_additions",
    "cultures": "/ingredients/culture_additions",
    "waters": "/ingredients/water_additions",
    "notes": "/notes",
}
FERMENTABLE_MEMBERS: Final[Mapping[str, str]] = {
    "name": "/name",
    "kind": "/type",
    "amount_kg": "/amount",
    "volume_l": "/amount",
    "colour_ebc": "/color",
    "yield_percent": "/yield/fine_grind",
    "potential_sg": "/yield/potential",
    "stage": "/timing/use",
    "group": "/grain_group",
}
HOP_MEMBERS: Final[Mapping[str, str]] = {
    "name": "/name",
    "amount_kg": "/amount",
    "alpha_percent": "/alpha_acid",
    "use": "/timing/use",
    "time_min": "/timing",
    "form": "/form",
}
ADDITION_MEMBERS: Final[Mapping[str, str]] = {
    "name": "/name",
    "kind": "/type",
    "use": "/timing/use",
    "step": "/timing/step",
    "time_min": "/timing",
    "amount": "/amount",
    "unit": "/amount/unit",
    "mass_g": "/amount",
    "volume_ml": "/amount",
    "pieces": "/amount",
    "use_for": "/use_for",
    "notes": "/notes",
}
CULTURE_MEMBERS: Final[Mapping[str, str]] = {
    "name": "/name",
    "kind": "/type",
    "attenuation_percent": "/attenuation",
}
WATER_MEMBERS: Final[Mapping[str, str]] = {
    "name": "/name",
    "amount_l": "/amount",
    "ph": "/pH",
    "notes": "/notes",
    **{ion: f"/{member}" for member, ion in ION_MEMBERS if ion != "fluoride"},
}
STEP_MEMBERS: Final[Mapping[str, str]] = {
    "name": "/name",
    "kind": "/type",
    "water_l": "/amount",
    "temperature_c": "/step_temperature",
    "time_min": "/step_time",
    "water_to_grist_l_kg": "/water_grain_ratio",
    "infuse_temperature_c": "/infuse_temperature",
    "start_ph": "/start_ph",
    "end_ph": "/end_ph",
}
MASH_MEMBERS: Final[Mapping[str, str]] = {
    "name": "/name",
    "grain_temperature_c": "/grain_temperature",
    "steps": "/mash_steps",
    "notes": "/notes",
}
STYLE_MEMBERS: Final[Mapping[str, str]] = {
    "name": "/name",
    "category": "/category",
    "category_number": "/category_number",
    "letter": "/style_letter",
    "guide": "/style_guide",
    "kind": "/type",
}
