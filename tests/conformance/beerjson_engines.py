"""The published BeerJSON schemas and ours as validators of records, and records to try them on."""

from __future__ import annotations

import copy
import functools
import json
import random
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from jsonschema import Draft7Validator, Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT7, DRAFT202012

from recipe_tools.schema_files import schema_path, schema_text

OFFICIAL_ROOT = "https://raw.githubusercontent.com/beerjson/beerjson/master/json/"
OWN_ROOT = "urn:recipe-tools:beerjson:1.0:"

PAIRS = {
    "document": ("beer.json", "document"),
    "recipe": ("recipe.json#/definitions/RecipeType", "recipe"),
    "style": (
        "style.json#/definitions/RecipeStyleType",
        "surroundings#/$defs/recipe_style",
    ),
    "styles": ("style.json#/definitions/StyleType", "surroundings#/$defs/style_record"),
    "equipments": (
        "equipment.json#/definitions/EquipmentType",
        "surroundings#/$defs/equipment_set",
    ),
    "fermentable_additions": (
        "fermentable.json#/definitions/FermentableAdditionType",
        "ingredients#/$defs/fermentable_addition",
    ),
    "fermentables": (
        "fermentable.json#/definitions/FermentableType",
        "ingredients#/$defs/fermentable_record",
    ),
    "hop_additions": (
        "hop.json#/definitions/HopAdditionType",
        "ingredients#/$defs/hop_addition",
    ),
    "hop_varieties": (
        "hop.json#/definitions/VarietyInformation",
        "ingredients#/$defs/hop_record",
    ),
    "miscellaneous_additions": (
        "misc.json#/definitions/MiscellaneousAdditionType",
        "ingredients#/$defs/misc_addition",
    ),
    "miscellaneous_ingredients": (
        "misc.json#/definitions/MiscellaneousType",
        "ingredients#/$defs/misc_record",
    ),
    "culture_additions": (
        "culture.json#/definitions/CultureAdditionType",
        "ingredients#/$defs/culture_addition",
    ),
    "cultures": (
        "culture.json#/definitions/CultureInformation",
        "ingredients#/$defs/culture_record",
    ),
    "water_additions": (
        "water.json#/definitions/WaterAdditionType",
        "ingredients#/$defs/water_addition",
    ),
    "profiles": (
        "water.json#/definitions/WaterType",
        "ingredients#/$defs/water_record",
    ),
    "mash": ("mash.json#/definitions/MashProcedureType", "process#/$defs/mash"),
    "mash_steps": (
        "mash_step.json#/definitions/MashStepType",
        "process#/$defs/mash_step",
    ),
    "boil": ("boil.json#/definitions/BoilProcedureType", "process#/$defs/boil"),
    "boil_steps": (
        "boil_step.json#/definitions/BoilStepType",
        "process#/$defs/boil_step",
    ),
    "fermentation": (
        "fermentation.json#/definitions/FermentationProcedureType",
        "process#/$defs/fermentation",
    ),
    "fermentation_steps": (
        "fermentation_step.json#/definitions/FermentationStepType",
        "process#/$defs/fermentation_step",
    ),
    "packaging": (
        "packaging.json#/definitions/PackagingProcedureType",
        "process#/$defs/packaging",
    ),
    "packaging_vessels": (
        "packaging_vessel.json#/definitions/PackagingVesselType",
        "process#/$defs/packaging_vessel",
    ),
}
"""Definition of the published schemas and ours by the member under which the record stands."""

SAME_AS = {"mashes": "mash", "fermentations": "fermentation"}

Verdict = Callable[[Any], bool]


def own_documents() -> dict[str, Any]:
    """Our schema documents by file name."""
    folder = schema_path("beerjson/document.schema.json").parent
    return {
        path.name: json.loads(schema_text(f"beerjson/{path.name}")) for path in folder.iterdir()
    }


def official_documents(folder: Path) -> dict[str, Any]:
    """The published schema documents by file name."""
    return {
        path.name: json.loads(path.read_text("utf-8")) for path in sorted(folder.glob("*.json"))
    }


def python_verdicts(official: dict[str, Any]) -> Callable[[str], tuple[Verdict, Verdict]]:
    """Return a function from a kind of record to the verdicts of (published, our) schema."""
    published: Registry[Any] = Registry().with_resources(
        (OFFICIAL_ROOT + name, Resource.from_contents(document, DRAFT7))
        for name, document in official.items()
    )
    ours: Registry[Any] = Registry().with_resources(
        (document["$id"], Resource.from_contents(document, DRAFT202012))
        for document in own_documents().values()
    )

    @functools.cache
    def pair(kind: str) -> tuple[Verdict, Verdict]:
        theirs, own = PAIRS[kind]
        first = Draft7Validator({"$ref": OFFICIAL_ROOT + theirs}, registry=published)
        second = Draft202012Validator({"$ref": OWN_ROOT + own}, registry=ours)
        return first.is_valid, second.is_valid

    return pair


def records(document: Any) -> Iterator[tuple[str, Any]]:
    """Yield (kind, record) for the document, its recipes and every record nested in them."""
    yield "document", document
    waiting = [("beerjson", document["beerjson"])]
    while waiting:
        member, value = waiting.pop()
        for name, inner in value.items():
            listed = inner if isinstance(inner, list) else [inner]
            for item in listed:
                if isinstance(item, dict):
                    kind = {"recipes": "recipe"}.get(name, SAME_AS.get(name, name))
                    if kind in PAIRS and not (kind == "styles" and member != "beerjson"):
                        yield kind, item
                    waiting.append((name, item))


def pruned(value: Any) -> Any:
    """Return a copy in which every list has one element at most, so that validation stays cheap."""
    if isinstance(value, dict):
        return {key: pruned(item) for key, item in value.items()}
    return [pruned(item) for item in value[:1]] if isinstance(value, list) else value


_ODD_VALUES: tuple[Any, ...] = (
    None, True, False, 0, -3, 7, 7.5, 90.0, "", "x", "5", "ale", "2024-05-17", "Z", [], {}, [1],
    ["x"], {"unit": "l", "value": 1}, {"unit": "%", "value": 3.5}, {"unit": "C"},
    {"minimum": {"unit": "sg", "value": 1.04}, "maximum": {"unit": "sg", "value": 1.05}},
)  # fmt: skip
_WORDS = (
    "ml", "l", "L", "gal", "igal", "kg", "g", "lbs", "oz", "each", "unit", "1", "pkg", "C", "F",
    "K", "min", "day", "days", "hr", "%", "EBC", "SRM", "Lovi", "srm", "sg", "plato", "brix", "ppm",
    "mg/l", "mg/L", "pH", "ph", "IBUs", "vols", "grain", "Grain", "extract", "infusion", "sparge",
    "pellet", "add_to_mash", "add_to_sparge", "water agent", "liquid", "beer", "bar", "kPa", "l/kg",
)  # fmt: skip
_NAMES = (
    "unit", "value", "name", "type", "amount", "timing", "notes", "step", "use", "time", "pH",
    "Name", "colour", "color", "yield", "form", "loss", "calcium", "sulphate", "minimum", "x", "",
)  # fmt: skip


def full_record(schema: Any, file: str, documents: dict[str, Any], chance: random.Random) -> Any:
    """Return a record with every member a published definition names, words of lists at random."""
    if "$ref" in schema:
        other, _, fragment = schema["$ref"].partition("#")
        target = documents[other or file]
        for part in fragment.split("/")[1:]:
            target = target[part]
        return full_record(target, other or file, documents, chance)
    if "oneOf" in schema:
        return full_record(chance.choice(schema["oneOf"]), file, documents, chance)
    if "enum" in schema:
        return chance.choice(schema["enum"])
    if "properties" in schema or "allOf" in schema:
        record = {}
        for part in schema.get("allOf", ()):
            if "required" not in part or len(part) > 1:
                record.update(full_record(part, file, documents, chance))
        for name, member in schema.get("properties", {}).items():
            record[name] = full_record(member, file, documents, chance)
        return record
    return {
        "array": lambda: [full_record(schema["items"], file, documents, chance)],
        "string": lambda: "2024-05-17" if "pattern" in schema and "d" in schema["pattern"] else "B",
        "number": lambda: chance.choice((4, 1.5)),
        "integer": lambda: chance.choice((3, 90.0)),
        "boolean": lambda: True,
    }[schema["type"]]()


def full_records(
    official: dict[str, Any], chance: random.Random, times: int
) -> Iterator[tuple[str, Any]]:
    """Yield (kind, record) with all members, several times, for every kind but the document."""
    for kind, (theirs, _) in PAIRS.items():
        for _ in range(times if kind not in ("document", "recipe") else 1):
            schema = {"$ref": theirs} if "#" in theirs else official[theirs]
            yield kind, full_record(schema, theirs.partition("#")[0], official, chance)


def changed(record: Any, chance: random.Random) -> tuple[str, Any]:
    """Return (what was done, copy of the record with one thing changed)."""
    result = copy.deepcopy(record)
    holders = [item for item in _dicts(result) if item]
    if not holders:
        return "emptied", result
    holder = chance.choice(holders)
    name = chance.choice(list(holder))
    action = chance.choice(("removed", "added", "renamed", "type", "word", "number", "emptied"))
    if action == "removed":
        del holder[name]
    elif action == "added":
        holder[chance.choice(_NAMES)] = copy.deepcopy(chance.choice(_ODD_VALUES))
    elif action == "renamed":
        holder[chance.choice(_NAMES)] = holder.pop(name)
    elif action == "type":
        holder[name] = copy.deepcopy(chance.choice(_ODD_VALUES))
    elif action == "word":
        texts = [key for key, value in holder.items() if isinstance(value, str)]
        holder[chance.choice(texts) if texts else name] = chance.choice(_WORDS)
    elif action == "number":
        numbers = [key for key, value in holder.items() if isinstance(value, (int, float))]
        holder[chance.choice(numbers) if numbers else name] = chance.choice((0, -1, 12, 2.5, 60.0))
    else:
        value = holder[name]
        holder[name] = type(value)() if isinstance(value, (dict, list, str)) else None
    return action, result


def _dicts(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
        for item in value.values():
            yield from _dicts(item)
    elif isinstance(value, list):
        for item in value:
            yield from _dicts(item)
