"""The plain recipe on which the examples of all rules are merge patches, and the pieces they use.

The recipe is a clean one: checked as it stands it yields no finding of any rule. It belongs to the
Aldermoor Brewing Circle, an invented club.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from recipe_tools.findings import Example

Json = dict[str, Any]


def quantity(value: float, unit: str) -> Json:
    """Return a BeerJSON quantity."""
    return {"value": value, "unit": unit}


def dose(
    name: str,
    value: float,
    unit: str = "g",
    use: str = "add_to_mash",
    *,
    step: int | None = None,
    kind: str = "water agent",
) -> Json:
    """Return a BeerJSON addition. step: 1 is the mash, 2 the sparge of the plain recipe."""
    timing: Json = {"use": use}
    if step is not None:
        timing["step"] = step
    return {"name": name, "type": kind, "amount": quantity(value, unit), "timing": timing}


def malt(name: str, kilograms: float, lovibond: float, group: str = "base") -> Json:
    """Return a BeerJSON grain addition. lovibond: colour in degrees Lovibond."""
    return {
        "name": name,
        "type": "grain",
        "grain_group": group,
        "yield": {"fine_grind": quantity(80, "%")},
        "color": quantity(lovibond, "Lovi"),
        "amount": quantity(kilograms, "kg"),
        "timing": {"use": "add_to_mash"},
    }


def well(name: str = "Aldermoor well", litres: float = 30.0, /, **mg_l: float) -> Json:
    """Return a BeerJSON water addition; ions not named keep the values of the plain water."""
    record: Json = {"name": name}
    for ion, value in {**_PLAIN_IONS, **mg_l}.items():
        record[ion] = quantity(value, "mg/l")
    record["amount"] = quantity(litres, "l")
    return record


def step(name: str, kind: str, litres: float | None, celsius: float, **more: Any) -> Json:
    """Return a BeerJSON mash step of an hour."""
    record: Json = {
        "name": name,
        "type": kind,
        "step_temperature": quantity(celsius, "C"),
        "step_time": quantity(60, "min"),
        **more,
    }
    if litres is not None:
        record["amount"] = quantity(litres, "l")
    return record


def water(*records: Json) -> Json:
    """Return a patch that puts other waters in place of the plain one."""
    return {"ingredients": {"water_additions": list(records)}}


def well_with(**mg_l: float) -> Json:
    """Return a patch that changes some ions of the plain water, in mg/L."""
    return water(well(**mg_l))


def reported(**rows: Any) -> Json:
    """Return a configuration with the plain water as report; rows replace figures, None drops."""
    plain = {ion: f"{amount:g} mg/L" for ion, amount in _PLAIN_IONS.items()}
    stated = {**plain, "chlorine": 0, **rows}
    return {"water": {"report": {key: row for key, row in stated.items() if row is not None}}}


def additions(*items: Json) -> Json:
    """Return a patch that puts other additions in place of the salts of the plain recipe."""
    return {"ingredients": {"miscellaneous_additions": list(items)}}


def more_additions(*items: Json) -> Json:
    """Return a patch that adds to the salts of the plain recipe."""
    return additions(*_SALTS, *items)


def grist(*items: Json) -> Json:
    """Return a patch that puts other malts in place of the plain grist."""
    return {"ingredients": {"fermentable_additions": list(items)}}


def mash_steps(*items: Json) -> Json:
    """Return a patch that puts other mash steps in place of the plain ones."""
    return {"mash": {"mash_steps": list(items)}}


def style(name: str, number: int, letter: str) -> Json:
    """Return a patch that gives the recipe another style of the BJCP guidelines of 2021."""
    return {"style": {"name": name, "category_number": number, "style_letter": letter}}


def together(*patches: Mapping[str, Any]) -> Json:
    """Return one patch that does what several do, one after the other."""
    result: Any = {}
    for patch in patches:
        result = _merged(result, patch, drop=False)
    return dict(result)


_PLAIN_IONS: Mapping[str, float] = {
    "calcium": 25.0,
    "magnesium": 4.0,
    "sodium": 12.0,
    "chloride": 22.0,
    "sulfate": 30.0,
    "bicarbonate": 52.0,
}

_SALTS: tuple[Json, ...] = (
    dose("Gypsum (calcium sulfate dihydrate)", 2.0, step=1),
    dose("Calcium chloride dihydrate", 2.0, step=1),
)

STRIKE_STEP: Json = step("Saccharification", "infusion", 13.0, 66)
SPARGE_STEP: Json = step("Sparge", "sparge", 15.5, 75)

PLAIN_RECIPE: Mapping[str, Any] = {
    "name": "Millrace Blonde",
    "type": "all grain",
    "author": "Aldermoor Brewing Circle",
    "batch_size": quantity(20, "l"),
    "efficiency": {"brewhouse": quantity(72, "%")},
    "style": {
        "name": "Blonde Ale",
        "category": "Pale American Ale",
        "category_number": 18,
        "style_letter": "A",
        "style_guide": "BJCP 2021",
        "type": "beer",
    },
    "ingredients": {
        "fermentable_additions": [
            malt("Pale ale malt", 3.9, 2.8),
            malt("Light caramel malt", 0.2, 12.0, "caramel"),
            malt("Acidulated malt", 0.1, 2.0, "specialty"),
        ],
        "hop_additions": [
            {
                "name": "Bittering hop",
                "alpha_acid": quantity(7, "%"),
                "amount": quantity(20, "g"),
                "timing": {"use": "add_to_boil", "duration": quantity(60, "min")},
            },
            {
                "name": "Aroma hop",
                "alpha_acid": quantity(5, "%"),
                "amount": quantity(20, "g"),
                "timing": {"use": "add_to_boil", "duration": quantity(10, "min")},
            },
        ],
        "miscellaneous_additions": list(_SALTS),
        "culture_additions": [
            {
                "name": "Clean ale yeast",
                "type": "ale",
                "form": "dry",
                "amount": quantity(11, "g"),
                "attenuation": quantity(78, "%"),
            }
        ],
        "water_additions": [well()],
    },
    "mash": {
        "name": "Single infusion",
        "grain_temperature": quantity(20, "C"),
        "mash_steps": [STRIKE_STEP, SPARGE_STEP],
    },
    "boil": {
        "pre_boil_size": quantity(24, "l"),
        "boil_time": quantity(60, "min"),
        "boil_steps": [],
    },
    "original_gravity": quantity(1.046, "sg"),
    "final_gravity": quantity(1.010, "sg"),
    "alcohol_by_volume": quantity(4.7, "%"),
    "color_estimate": quantity(8.5, "EBC"),
    "ibu_estimate": {"method": "Tinseth", "value": quantity(22, "IBUs")},
}


def merge_patch(target: Any, patch: Any) -> Any:
    """Return a JSON value with a merge patch applied (RFC 7396); null removes a member."""
    return _merged(target, patch, drop=True)


def _merged(target: Any, patch: Any, *, drop: bool) -> Any:
    if not isinstance(patch, Mapping):
        return patch
    result = dict(target) if isinstance(target, Mapping) else {}
    for name, value in patch.items():
        if value is None and drop:
            result.pop(name, None)
        else:
            result[name] = _merged(result.get(name), value, drop=drop)
    return result


def document(recipe: Mapping[str, Any]) -> bytes:
    """Return a BeerJSON file with one recipe, indented so that findings have lines of their own."""
    whole = {"beerjson": {"version": 1.0, "recipes": [recipe]}}
    return (json.dumps(whole, indent=2, ensure_ascii=False) + "\n").encode("utf-8")


def example_file(example: Example) -> tuple[str, bytes]:
    """Return the name and the bytes of the file that an example shows."""
    if example.raw is not None:
        name = "example.xml" if example.raw.lstrip().startswith(b"<") else "example.json"
        return name, example.raw
    return "example.json", document(merge_patch(PLAIN_RECIPE, example.patch))


def xml_file(*records: str, more: str = "") -> bytes:
    """Return a small BeerXML file: the plain recipe in that standard, with more additions.

    records: content of MISC elements. more: further elements of the recipe.
    """
    miscs = "\n".join(f"      <MISC>{record}</MISC>" for record in (*_XML_SALTS, *records))
    return _XML.format(miscs=miscs, more=more).encode("utf-8")


def xml_misc(
    name: str, amount: str, flag: str, *, kind: str = "Water Agent", use: str = "Mash"
) -> str:
    """Return the content of a MISC element of BeerXML. flag: AMOUNT_IS_WEIGHT as written."""
    return (
        f"<NAME>{name}</NAME><VERSION>1</VERSION><TYPE>{kind}</TYPE><USE>{use}</USE>"
        f"<TIME>60</TIME><AMOUNT>{amount}</AMOUNT><AMOUNT_IS_WEIGHT>{flag}</AMOUNT_IS_WEIGHT>"
    )


_XML_SALTS = (
    xml_misc("Gypsum (calcium sulfate dihydrate)", "0.002", "TRUE"),
    xml_misc("Calcium chloride dihydrate", "0.002", "TRUE"),
)

_XML = """<?xml version="1.0" encoding="UTF-8"?>
<RECIPES>
  <RECIPE>
    <NAME>Millrace Blonde</NAME>
    <VERSION>1</VERSION>
    <TYPE>All Grain</TYPE>
    <STYLE>
      <NAME>Blonde Ale</NAME>
      <VERSION>1</VERSION>
      <CATEGORY>Pale American Ale</CATEGORY>
      <CATEGORY_NUMBER>18</CATEGORY_NUMBER>
      <STYLE_LETTER>A</STYLE_LETTER>
      <STYLE_GUIDE>BJCP 2021</STYLE_GUIDE>
      <TYPE>Ale</TYPE>
      <OG_MIN>1.038</OG_MIN>
      <OG_MAX>1.054</OG_MAX>
      <FG_MIN>1.008</FG_MIN>
      <FG_MAX>1.013</FG_MAX>
      <IBU_MIN>15</IBU_MIN>
      <IBU_MAX>28</IBU_MAX>
      <COLOR_MIN>3</COLOR_MIN>
      <COLOR_MAX>6</COLOR_MAX>
    </STYLE>
    <BREWER>Aldermoor Brewing Circle</BREWER>
    <BATCH_SIZE>20</BATCH_SIZE>
    <BOIL_SIZE>24</BOIL_SIZE>
    <BOIL_TIME>60</BOIL_TIME>
    <EFFICIENCY>72</EFFICIENCY>
    <HOPS>
      <HOP><NAME>Bittering hop</NAME><VERSION>1</VERSION><ALPHA>7</ALPHA><AMOUNT>0.025</AMOUNT>\
<USE>Boil</USE><TIME>60</TIME></HOP>
    </HOPS>
    <FERMENTABLES>
      <FERMENTABLE><NAME>Pale ale malt</NAME><VERSION>1</VERSION><TYPE>Grain</TYPE>\
<AMOUNT>3.9</AMOUNT><YIELD>80</YIELD><COLOR>2.8</COLOR></FERMENTABLE>
      <FERMENTABLE><NAME>Light caramel malt</NAME><VERSION>1</VERSION><TYPE>Grain</TYPE>\
<AMOUNT>0.2</AMOUNT><YIELD>75</YIELD><COLOR>12</COLOR></FERMENTABLE>
      <FERMENTABLE><NAME>Acidulated malt</NAME><VERSION>1</VERSION><TYPE>Grain</TYPE>\
<AMOUNT>0.1</AMOUNT><YIELD>75</YIELD><COLOR>2</COLOR></FERMENTABLE>
    </FERMENTABLES>
    <MISCS>
{miscs}
    </MISCS>
    <YEASTS>
      <YEAST><NAME>Clean ale yeast</NAME><VERSION>1</VERSION><TYPE>Ale</TYPE><FORM>Dry</FORM>\
<AMOUNT>0.011</AMOUNT><AMOUNT_IS_WEIGHT>TRUE</AMOUNT_IS_WEIGHT></YEAST>
    </YEASTS>
    <WATERS>
      <WATER><NAME>Aldermoor well</NAME><VERSION>1</VERSION><AMOUNT>20</AMOUNT>\
<CALCIUM>25</CALCIUM><BICARBONATE>52</BICARBONATE><SULFATE>30</SULFATE><CHLORIDE>22</CHLORIDE>\
<SODIUM>12</SODIUM><MAGNESIUM>4</MAGNESIUM><PH>7.4</PH></WATER>
    </WATERS>
    <MASH>
      <NAME>Single infusion</NAME>
      <VERSION>1</VERSION>
      <GRAIN_TEMP>20</GRAIN_TEMP>
      <MASH_STEPS>
        <MASH_STEP><NAME>Saccharification</NAME><VERSION>1</VERSION><TYPE>Infusion</TYPE>\
<INFUSE_AMOUNT>13</INFUSE_AMOUNT><STEP_TEMP>66</STEP_TEMP><STEP_TIME>60</STEP_TIME></MASH_STEP>
      </MASH_STEPS>
      <SPARGE_TEMP>75</SPARGE_TEMP>
    </MASH>
    <OG>1.046</OG>
    <FG>1.010</FG>
    <NOTES></NOTES>{more}
  </RECIPE>
</RECIPES>
"""
