"""For each value said to be lost: the reason in the table of fields or the schemas, or none."""

from __future__ import annotations

import json
import re
from typing import Any

from recipe_tools.converting.ledger import Lost
from recipe_tools.formats.fields import FIELDS, RECORDS, SETS, Field, field_at, names_in
from recipe_tools.formats.numbers import written_number
from recipe_tools.schema_files import schema_text
from recipe_tools.units import UNITS

_LISTS = {
    "HOP": "hop_record", "FERMENTABLE": "fermentable_record", "YEAST": "culture_record",
    "MISC": "misc_record", "WATER": "water_record", "STYLE": "style_record",
}  # fmt: skip
_ENTRIES = {
    (match[1], match[2])
    for field in FIELDS
    if (match := re.fullmatch(r".*?\[\w+=([\w ]+)\]/(\w+)", field.entry))
}
"""Words and members of the entries that a tag of BeerXML stands for."""

_STEPS = 4
"""Fermentation steps BeerXML has tags for: primary, secondary, tertiary and ageing."""


def reason(item: Lost, source: bytes) -> str:
    """Return why a value cannot be in the other standard; empty where nothing says so."""
    if source.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"<"):
        return _not_in_json(item)
    return _not_in_xml(item, json.loads(source))


def _not_in_json(item: Lost) -> str:
    above, _, tag = item.pointer.rpartition("/")
    tag = tag.partition("[")[0]
    record = above.rpartition("/")[2].partition("[")[0]
    if tag.startswith("@") or record not in RECORDS:
        return "no value of the standard"
    field = next((one for one in RECORDS[record].fields if one.tag == tag), None)
    if field is None:
        return "no tag of the standard"
    if not field.path and not field.entry:
        return "no member in the table"
    if field.entry and "[" not in field.entry:
        return "the member it could stand for is stated"
    alone = not above.startswith(("/RECIPES", "/RECIPE")) and record in _LISTS
    if alone and field.path.partition("/")[0] not in _members(_LISTS[record]):
        return "no member outside of recipes"
    return _unfit_for_json(field, str(item.value))


def _members(definition: str) -> set[str]:
    for name in ("ingredients", "surroundings"):
        found = json.loads(schema_text(f"beerjson/{name}.schema.json"))["$defs"].get(definition)
        if found is not None:
            return set(found["properties"])
    raise KeyError(definition)


def _unfit_for_json(field: Field, text: str) -> str:
    if field.kind in ("list", "boolean") and field.words_json:
        plain = text.strip().casefold()
        pairs = {pair.tag_word.casefold() for pair in field.pairs if pair.sign in "=>"}
        known = pairs | {word.casefold() for word in field.words_json}
        return "" if plain in known else "no word for it"
    if field.path == "category_number":
        return "" if re.fullmatch(r"\d+", text.strip()) else "no whole number"
    if field.path == "style_letter":
        return "" if re.fullmatch("[A-Z ]", text.strip()) else "no capital letter"
    if field.path == "created":
        return "" if re.search(r"\d{4}-\d{2}-\d{2}", text) else "no date"
    written = written_number(text)
    if written is None:
        return "no number"
    if field.kind == "text" and not written.unit:
        return "no unit"
    if written.unit and not any(written.unit.casefold() in _words(name) for name in UNITS):
        return "no known unit"
    return "percent of nothing" if field.unit == "%/h" else ""


def _words(quantity: str) -> set[str]:
    return {
        word.casefold() for unit in UNITS[quantity].values() for word in (unit.name, *unit.words)
    }


def _not_in_xml(item: Lost, document: Any) -> str:
    names = names_in(item.pointer)
    top = names[1] if len(names) > 1 else ""
    body = document.get("beerjson", {})
    if top != "recipes" and (body.get("recipes") or _is_smaller(top, body)):
        return "BeerXML holds one set of records"
    record = _at(document, item.pointer.rpartition("/")[0])
    if "mash_steps" in names and _step(document, item.pointer).get("type") == "sparge":
        return "BeerXML has no step for the sparge"
    if "fermentation_steps" in names and names[-1] in ("step_time", "start_temperature"):
        place = int(item.pointer.rpartition("fermentation_steps/")[2].partition("/")[0])
        if place >= _STEPS or top != "recipes":
            return "BeerXML has tags for four steps"
    field = field_at(names)
    if field is None:
        return "no member of the standard"
    if names[-1] == "boil_rate_per_hour" and not _boil_size(body):
        return "BeerXML has it in percent of the boil size, which is not stated"
    if not field.tag:
        word = record.get("form") if isinstance(record, dict) else None
        stands = {one for one, member in _ENTRIES if member == names[-1]}
        return "" if word in stands else "no tag in the table"
    return _unfit_for_xml(field, _at(document, item.pointer))


def _boil_size(body: Any) -> Any:
    recipes = body.get("recipes") or [{}]
    return all(recipe.get("boil", {}).get("pre_boil_size") for recipe in recipes)


def _is_smaller(top: str, body: Any) -> bool:
    own = next(
        (field for field in FIELDS if field.record == "DOCUMENT" and field.path == top), None
    )
    if own is None or not own.tag:
        return True
    others = [
        len(body.get(field.path) or ())
        for field in FIELDS
        if field.record == "DOCUMENT" and field.tag in SETS and field.path != top
    ]
    return max(others, default=0) >= len(body.get(top) or ())


def _unfit_for_xml(field: Field, value: Any) -> str:
    if field.kind in ("list", "boolean") and isinstance(value, str):
        pairs = {pair.path_word for pair in field.pairs if pair.sign in "=<"}
        words = {word.casefold() for word in field.words}
        return "" if value in pairs or value.casefold() in words else "no word for it"
    if isinstance(value, dict):
        unit = value.get("unit", "")
        if not unit:
            return "no unit"
        if field.unit == "kg" and unit in UNITS["mass"]:
            return ""
        return "another kind of quantity" if field.unit in ("kg", "%/h") else ""
    if isinstance(value, (int, float)) and field.unit:
        return "no unit"
    return ""


def _at(document: Any, pointer: str) -> Any:
    value = document
    for part in pointer.split("/")[1:]:
        part = part.replace("~1", "/").replace("~0", "~")
        try:
            value = value[int(part)] if isinstance(value, list) else value[part]
        except (KeyError, IndexError, ValueError, TypeError):
            return {}
    return value


def _step(document: Any, pointer: str) -> Any:
    head, _, rest = pointer.rpartition("mash_steps/")
    return _at(document, f"{head}mash_steps/{rest.partition('/')[0]}")
