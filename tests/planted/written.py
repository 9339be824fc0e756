"""A recipe in the terms of BeerJSON, written in either standard and in metric or US units."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any
from xml.sax.saxutils import escape

from recipe_tools.reference import table as reference_table
from tests.planted.brewing import EBC_PER_SRM, sg_to_plato

Json = dict[str, Any]

_USES = {
    "add_to_mash": "Mash",
    "add_to_boil": "Boil",
    "add_to_fermentation": "Primary",
    "add_to_package": "Bottling",
}
_TO_XML = {"g": 0.001, "kg": 1.0, "ml": 0.001, "l": 1.0}
_KINDS = {"flaked": "Adjunct", "sugar": "Sugar", "extract": "Extract", "dry extract": "Dry Extract"}
_RECIPE_KINDS = {"all grain": "All Grain", "extract": "Extract", "partial mash": "Partial Mash"}


def beerxml(recipe: Mapping[str, Any]) -> bytes:
    """Return the recipe as a BeerXML file: the same amounts in the units of that standard."""
    parts = recipe["ingredients"]
    fields = {
        "NAME": recipe["name"],
        "VERSION": 1,
        "TYPE": _RECIPE_KINDS[recipe["type"]],
        "BREWER": recipe["author"],
        "BATCH_SIZE": recipe["batch_size"]["value"],
        "BOIL_SIZE": recipe["boil"]["pre_boil_size"]["value"],
        "BOIL_TIME": recipe["boil"]["boil_time"]["value"],
        "EFFICIENCY": recipe["efficiency"]["brewhouse"]["value"],
        "OG": recipe["original_gravity"]["value"],
        "FG": recipe["final_gravity"]["value"],
        "ABV": f"{recipe['alcohol_by_volume']['value']} %",
        "EST_COLOR": f"{recipe['color_estimate']['value'] / EBC_PER_SRM:.2f} SRM",
        "IBU": f"{recipe['ibu_estimate']['value']['value']} IBU",
        "NOTES": recipe.get("notes", ""),
    }
    if "carbonation" in recipe:
        fields["CARBONATION"] = recipe["carbonation"]
    body = [_element(tag, value) for tag, value in fields.items()]
    body.append(_record("STYLE", _xml_style(recipe["style"])))
    body.append(_set("FERMENTABLES", "FERMENTABLE", map(_xml_malt, parts["fermentable_additions"])))
    body.append(_set("HOPS", "HOP", map(_xml_hop, parts["hop_additions"])))
    body.append(_set("MISCS", "MISC", map(_xml_misc, parts["miscellaneous_additions"])))
    body.append(_set("WATERS", "WATER", map(_xml_water, parts["water_additions"])))
    body.append(_set("YEASTS", "YEAST", map(_xml_yeast, parts["culture_additions"])))
    if recipe.get("mash"):
        body.append(_xml_mash(recipe["mash"], recipe["mash"]["mash_steps"]))
    text = "\n".join(body)
    xml = (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<RECIPES><RECIPE>\n{text}\n</RECIPE></RECIPES>\n'
    )
    return xml.encode()


def _xml_mash(mash: Mapping[str, Any], steps: list[Json]) -> str:
    strike: Json = {
        "NAME": "Rest",
        "VERSION": 1,
        "TYPE": "Infusion",
        "STEP_TEMP": steps[0]["step_temperature"]["value"],
        "STEP_TIME": 60,
    }
    if "amount" in steps[0]:
        strike["INFUSE_AMOUNT"] = steps[0]["amount"]["value"]
    fields: Json = {"NAME": "Mash", "VERSION": 1, "GRAIN_TEMP": 20}
    inner = "".join(_element(tag, value) for tag, value in fields.items())
    inner += _set("MASH_STEPS", "MASH_STEP", [strike])
    if len(steps) > 1:
        inner += _element("SPARGE_TEMP", steps[1]["step_temperature"]["value"])
    if "start_ph" in steps[0]:
        inner += _element("PH", steps[0]["start_ph"]["value"])
    return f"<MASH>{inner}</MASH>"


def _element(tag: str, value: object) -> str:
    return f"<{tag}>{escape(str(value))}</{tag}>"


def _record(tag: str, fields: Mapping[str, object]) -> str:
    inner = "".join(_element(name, value) for name, value in fields.items())
    return f"<{tag}>{inner}</{tag}>"


def _set(tag: str, member: str, records: Any) -> str:
    return f"<{tag}>\n" + "\n".join(_record(member, item) for item in records) + f"\n</{tag}>"


def _xml_style(item: Mapping[str, Any]) -> Json:
    number, letter = item.get("category_number", ""), item.get("style_letter", "")
    code = f"{number}{letter}"
    row = next((row for row in reference_table("style_codes") if row["code"] == code), None)
    ranges = {
        f"{tag}_{end.upper()}": row[f"{column}_{'low' if end == 'min' else 'high'}"]
        for tag, column in (("OG", "og"), ("IBU", "ibu"), ("COLOR", "srm"))
        for end in ("min", "max")
        if row is not None
    }
    return {
        "NAME": item["name"],
        "VERSION": 1,
        "CATEGORY": item["category"],
        "CATEGORY_NUMBER": number,
        "STYLE_LETTER": letter,
        "STYLE_GUIDE": "BJCP 2021",
        "TYPE": "Ale",
        **ranges,
        "FG_MIN": 1.006,
        "FG_MAX": 1.016,
    }


def _xml_malt(item: Mapping[str, Any]) -> Json:
    kind = _KINDS.get(item["type"]) or _KINDS.get(item.get("grain_group", ""), "Grain")
    record = {
        "NAME": item["name"],
        "VERSION": 1,
        "TYPE": kind,
        "AMOUNT": item["amount"]["value"],
        "YIELD": item["yield"]["fine_grind"]["value"],
    }
    return {**record, "COLOR": item["color"]["value"]} if "color" in item else record


def _xml_hop(item: Mapping[str, Any]) -> Json:
    return {
        "NAME": item["name"],
        "VERSION": 1,
        "ALPHA": item["alpha_acid"]["value"],
        "AMOUNT": round(item["amount"]["value"] / 1000, 6),
        "USE": "Dry Hop" if item["timing"]["use"] == "add_to_fermentation" else "Boil",
        "TIME": item["timing"]["duration"]["value"],
    }


def _xml_yeast(item: Mapping[str, Any]) -> Json:
    return {
        "NAME": item["name"],
        "VERSION": 1,
        "TYPE": "Ale",
        "FORM": item["form"].title(),
        "AMOUNT": item["amount"]["value"] / 1000,
        "AMOUNT_IS_WEIGHT": "TRUE",
        **({"ATTENUATION": item["attenuation"]["value"]} if "attenuation" in item else {}),
    }


def _xml_misc(item: Mapping[str, Any]) -> Json:
    timing, amount = item.get("timing", {}), item["amount"]
    use = "Sparge" if timing.get("step") == 2 else _USES[timing["use"]]
    return {
        "NAME": item["name"],
        "VERSION": 1,
        "TYPE": item["type"].title(),
        "USE": use,
        "TIME": 60,
        "AMOUNT": f"{amount['value'] * _TO_XML[amount['unit']]:.9f}".rstrip("0"),
        "AMOUNT_IS_WEIGHT": "TRUE" if amount["unit"] in ("g", "kg") else "FALSE",
    }


def _xml_water(item: Mapping[str, Any]) -> Json:
    record: Json = {"NAME": item["name"], "VERSION": 1, "AMOUNT": item["amount"]["value"]}
    for ion in ("calcium", "bicarbonate", "sulfate", "chloride", "sodium", "magnesium"):
        if ion in item:
            record[ion.upper()] = item[ion]["value"]
    if "pH" in item:
        record["PH"] = item["pH"]["value"]
    if "notes" in item:
        record["NOTES"] = item["notes"]
    return record


_US: Mapping[str, tuple[str, Callable[[float], float]]] = {
    "l": ("gal", lambda litres: litres / 3.785411784),
    "kg": ("lb", lambda kilograms: kilograms / 0.45359237),
    "C": ("F", lambda celsius: 1.8 * celsius + 32.0),
    "EBC": ("SRM", lambda ebc: ebc / EBC_PER_SRM),
    "sg": ("plato", sg_to_plato),
}


def in_us_units(value: Any) -> Any:
    """Return a BeerJSON value with pounds, gallons, °F, SRM and Plato in place of metric units.

    Grams and millilitres of salts and acids stay, as they do in home brewing there.
    """
    if isinstance(value, list):
        return [in_us_units(item) for item in value]
    if not isinstance(value, Mapping):
        return value
    if set(value) == {"value", "unit"} and value["unit"] in _US:
        unit, convert = _US[value["unit"]]
        return {"value": round(convert(value["value"]), 4), "unit": unit}
    return {name: in_us_units(item) for name, item in value.items()}
