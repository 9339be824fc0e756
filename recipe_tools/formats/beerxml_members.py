"""Which tag of BeerXML each field of the neutral recipe comes from."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final


def _members(**fields: str) -> Mapping[str, str]:
    return MappingProxyType({field: f"/{tag}" for field, tag in fields.items()})


HOP = _members(
    name="NAME", amount_kg="AMOUNT", alpha_percent="ALPHA", use="USE", time_min="TIME", form="FORM"
)
FERMENTABLE = _members(
    name="NAME",
    kind="TYPE",
    amount_kg="AMOUNT",
    colour_ebc="COLOR",
    yield_percent="YIELD",
    potential_sg="POTENTIAL",
    moisture_percent="MOISTURE",
    stage="ADD_AFTER_BOIL",
    recommend_mash="RECOMMEND_MASH",
    notes="NOTES",
)
ADDITION = _members(
    name="NAME",
    kind="TYPE",
    use="USE",
    time_min="TIME",
    amount="AMOUNT",
    unit="AMOUNT",
    mass_g="AMOUNT",
    volume_ml="AMOUNT",
    pieces="AMOUNT",
    is_weight="AMOUNT_IS_WEIGHT",
    display_amount="DISPLAY_AMOUNT",
    use_for="USE_FOR",
    notes="NOTES",
)
CULTURE = _members(name="NAME", kind="TYPE", attenuation_percent="ATTENUATION")
ION_TAGS: Final = {
    "calcium": "CALCIUM",
    "magnesium": "MAGNESIUM",
    "sodium": "SODIUM",
    "chloride": "CHLORIDE",
    "sulfate": "SULFATE",
    "bicarbonate": "BICARBONATE",
}
WATER = _members(name="NAME", amount_l="AMOUNT", ph="PH", notes="NOTES", **ION_TAGS)
EQUIPMENT = _members(
    top_up_kettle_l="TOP_UP_KETTLE",
    top_up_fermenter_l="TOP_UP_WATER",
    trub_loss_l="TRUB_CHILLER_LOSS",
    dead_space_l="LAUTER_DEADSPACE",
    boil_off_percent_h="EVAP_RATE",
)
STYLE = _members(
    name="NAME",
    category="CATEGORY",
    category_number="CATEGORY_NUMBER",
    letter="STYLE_LETTER",
    guide="STYLE_GUIDE",
    kind="TYPE",
    og="OG_MIN",
    ibu="IBU_MIN",
    colour_ebc="COLOR_MIN",
)
STEP = _members(
    name="NAME",
    kind="TYPE",
    water_l="INFUSE_AMOUNT",
    temperature_c="STEP_TEMP",
    time_min="STEP_TIME",
    water_to_grist_l_kg="WATER_GRAIN_RATIO",
    infuse_temperature_c="INFUSE_TEMP",
)
MASH = _members(
    name="NAME",
    grain_temperature_c="GRAIN_TEMP",
    sparge_temperature_c="SPARGE_TEMP",
    ph="PH",
    steps="MASH_STEPS",
    notes="NOTES",
)
RECIPE_FIELDS: Final = {
    "name": "NAME",
    "kind": "TYPE",
    "brewer": "BREWER",
    "date": "DATE",
    "batch_l": "BATCH_SIZE",
    "boil_l": "BOIL_SIZE",
    "boil_min": "BOIL_TIME",
    "efficiency_percent": "EFFICIENCY",
    "og": "OG",
    "fg": "FG",
    "ibu": "IBU",
    "colour_ebc": "EST_COLOR",
    "abv_percent": "ABV",
    "style": "STYLE",
    "equipment": "EQUIPMENT",
    "fermentables": "FERMENTABLES",
    "hops": "HOPS",
    "additions": "MISCS",
    "cultures": "YEASTS",
    "waters": "WATERS",
    "mash": "MASH",
    "notes": "NOTES",
}
RECIPE = _members(**RECIPE_FIELDS)
ESTIMATED: Final = {"og": "EST_OG", "fg": "EST_FG", "abv_percent": "EST_ABV"}
