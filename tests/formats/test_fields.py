"""The table of fields, compared row by row with what the two standards lay down."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.formats.beerxml_values import shape
from recipe_tools.formats.fields import (
    BOUNDS,
    DOCUMENT,
    FIELDS,
    QUANTITIES,
    RECORDS,
    SETS,
    Field,
    field_at,
    paths_of,
    tags_of,
)
from recipe_tools.units import BEERJSON_FACTORS, BEERJSON_FORMULAS
from tests.standards import REPOSITORY, require_standards

KINDS = {
    "Text": "text",
    "List": "list",
    "Boolean": "boolean",
    "Integer": "integer",
    "Floating Point": "number",
    "Percentage": "percentage",
    "Record": "record",
    "Record Set": "set",
}
DEFINITIONS = {
    "RECIPE": ("recipe",),
    "STYLE": ("recipe_style", "style_record"),
    "EQUIPMENT": ("equipment_set",),
    "VESSEL": ("vessel",),
    "MASH": ("mash",),
    "MASH_STEP": ("mash_step",),
    "FERMENTABLE": ("fermentable_addition", "fermentable_record"),
    "HOP": ("hop_addition", "hop_record"),
    "MISC": ("misc_addition", "misc_record"),
    "YEAST": ("culture_addition", "culture_record"),
    "WATER": ("water_addition", "water_record"),
    "BOIL_STEP": ("boil_step",),
    "FERMENTATION": ("fermentation",),
    "FERMENTATION_STEP": ("fermentation_step",),
    "PACKAGING": ("packaging",),
    "PACKAGING_VESSEL": ("packaging_vessel",),
    "PACKAGING_GRAPHIC": ("packaging_graphic",),
    DOCUMENT: ("beerjson",),
}
"""Definitions of the BeerJSON schemas by record: as it stands in a recipe, and in a library."""


def rows() -> Iterator[dict[str, str]]:
    path = require_standards("beerxml-1.0-fields.csv")
    with path.open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


def described() -> dict[tuple[str, str], Field]:
    return {
        (record.tag, field.tag): field for record in RECORDS.values() for field in record.fields
    }


def test_every_field_of_beerxml_is_described_as_the_standard_has_it() -> None:
    known = described()
    compared = 0
    for row in rows():
        if row["record"] == DOCUMENT:
            assert SETS[row["tag"]] == row["allowed_values"]
            continue
        field = known.pop((row["record"], row["tag"]))
        words = "|".join(field.words) or field.child
        if field.kind == "boolean":
            words = "TRUE|FALSE"
        found = (field.kind, field.unit, field.required, words, field.extension)
        assert found == (
            KINDS[row["type"]],
            row["unit"],
            row["required"],
            row["allowed_values"],
            row["extension"] == "yes",
        ), f"{row['record']}.{row['tag']}"
        compared += 1
    assert compared == 232
    assert not known, "fields the standard does not have"


def schemas() -> dict[str, Any]:
    """Return the definitions of the BeerJSON schemas by name."""
    found: dict[str, Any] = {}
    for path in sorted(Path(REPOSITORY, "schemas", "beerjson").glob("*.json")):
        document = json.loads(path.read_text("utf-8"))
        found |= document.get("$defs", {})
        found[path.name.partition(".")[0]] = document
    found["beerjson"] = found["document"]["properties"]["beerjson"]
    return found


def resolved(schema: Any, known: dict[str, Any]) -> Any:
    while isinstance(schema, dict) and "$ref" in schema:
        name = schema["$ref"].rpartition("/")[2]
        schema = known[name.rpartition(":")[2]]
    return schema if isinstance(schema, dict) else {}


def members(
    schema: Any, known: dict[str, Any], above: str = ""
) -> Iterator[tuple[str, bool, tuple[str, ...]]]:
    """Yield path, whether it is required and listed words of each member, into plain objects."""
    for name, inner in resolved(schema, known).get("properties", {}).items():
        path, item = f"{above}{name}", resolved(inner, known)
        yield path, name in resolved(schema, known).get("required", ()), tuple(item.get("enum", ()))
        if "unit" not in item.get("properties", {}) and not own_record(inner):
            yield from members(inner, known, f"{path}/")


def own_record(schema: Any) -> bool:
    name = schema.get("$ref", "").rpartition("/")[2] if isinstance(schema, dict) else ""
    return any(name in names for names in DEFINITIONS.values())


def test_every_member_of_beerjson_is_described_as_the_schemas_have_it() -> None:
    known = schemas()
    missing, wrong = [], []
    expected = set()
    table = {(field.record, field.path): field for field in FIELDS if field.path}
    for record, names in DEFINITIONS.items():
        for place, definition in enumerate(names):
            for path, required, words in members(known[definition], known):
                field = table.get((record, path))
                expected.add((record, path))
                if field is None:
                    ranges = any(at.startswith(f"{path}/") for of, at in table if of == record)
                    missing += [] if ranges else [(record, path)]
                elif place == 0 and "/" not in path and field.required_json != required:
                    wrong.append((record, path, "required"))
                elif words and field.words_json != words:
                    wrong.append((record, path, "words"))
    assert (missing, wrong) == ([], [])
    assert set(table) - expected == set(), "members the schemas do not have"


def test_every_member_of_a_recipe_leads_to_a_field() -> None:
    """Findings about a member point at its tag: one that is none points nowhere."""
    listed = {(row["record"], row["tag"]) for row in rows()}
    known = {(field.record, field.path) for field in FIELDS}
    for record in RECORDS:
        assert {(record, path[1:]) for path in tags_of(record).values()} <= listed
        inside = {path[1:].removesuffix("/unit") for path in paths_of(record).values()}
        assert {(record, path) for path in inside} <= known


@pytest.mark.parametrize(
    ("names", "record", "path"),
    [
        ("beerjson recipes batch_size value", "RECIPE", "batch_size"),
        ("recipes ingredients water_additions calcium", "WATER", "calcium"),
        ("beerjson recipes ingredients water_additions", "RECIPE", "ingredients/water_additions"),
        ("beerjson recipes style ingredients", "STYLE", "ingredients"),
        ("beerjson fermentables yield potential", "FERMENTABLE", "yield/potential"),
        ("beerjson equipments equipment_items loss unit", "VESSEL", "loss"),
        ("mash mash_steps amount", "MASH_STEP", "amount"),
        ("batch_size", "RECIPE", "batch_size"),
        ("beerjson boil boil_steps end_ph", "BOIL_STEP", "end_ph"),
        ("beerjson boil boil_time unit", "RECIPE", "boil/boil_time"),
        ("beerjson profiles", DOCUMENT, "profiles"),
        ("beerjson recipes ibu_estimate value", "RECIPE", "ibu_estimate/value"),
    ],
)
def test_the_field_at_some_members(names: str, record: str, path: str) -> None:
    field = field_at(tuple(names.split()))
    assert field is not None
    assert (field.record, field.path) == (record, path)


def test_the_reader_reads_every_described_field() -> None:
    for (record, tag), field in described().items():
        assert shape(record).leaves[tag].field is field


def test_units_with_bounds_are_units_of_fields() -> None:
    assert set(BOUNDS) - {"L/kg"} <= {field.unit for field in FIELDS}


def test_quantities_can_be_converted() -> None:
    assert set(QUANTITIES.values()) <= {*BEERJSON_FACTORS, *BEERJSON_FORMULAS}


def test_every_word_has_a_partner_in_the_other_standard_or_none() -> None:
    for field in FIELDS:
        words = ("TRUE", "FALSE") if field.kind == "boolean" else field.words
        said: list[str] = []
        for tag_word, sign, path_word in field.pairs:
            assert tag_word in words and path_word in field.words_json, field
            said += [tag_word] if sign in "=>" else []
            said += [path_word] if sign in "=<" else []
        assert len(said) == len(set(said)), f"{field.record}.{field.tag}: one word, two partners"
        if field.pairs and field.kind == "list":
            alike = {word.lower() for word in field.words} & set(field.words_json)
            assert alike.isdisjoint(said), f"{field.record}.{field.tag}: partners by their letters"


def test_every_entry_leads_to_a_member_of_beerjson() -> None:
    known = {(field.record, field.path): field for field in FIELDS if field.path}
    for field in FIELDS:
        if not field.entry:
            continue
        assert field.tag and not field.path
        holder, bracket, rest = field.entry.partition("[")
        if not bracket:
            assert (field.record, field.entry) in known
            continue
        chooser, _, member = rest.partition("]/")
        name, _, word = chooser.partition("=")
        child = next(
            child
            for (record, path), at in known.items()
            for child in [at.child]
            if child and path == holder.rpartition("/")[2]
        )
        assert (child, member) in known
        listed = known[child, name].words_json
        assert not listed or word in listed
