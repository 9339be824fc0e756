"""The description of BeerXML 1.0 in the package, compared row by row with that of the standard."""

from __future__ import annotations

import csv
from collections.abc import Iterator

import pytest

from recipe_tools.formats import beerxml_members as members
from recipe_tools.formats.beerxml_fields import RECORDS, SETS
from recipe_tools.formats.beerxml_kinds import BOUNDS, QUANTITIES, Field
from recipe_tools.formats.beerxml_values import shape
from recipe_tools.units import listed_units
from tests.standards import require_standards

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


def rows() -> Iterator[dict[str, str]]:
    path = require_standards("beerxml-1.0-fields.csv")
    with path.open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


def described() -> dict[tuple[str, str], Field]:
    return {
        (record.tag, field.tag): field for record in RECORDS.values() for field in record.fields
    }


def test_every_field_of_the_standard_is_described_as_the_standard_has_it() -> None:
    known = described()
    compared = 0
    for row in rows():
        if row["record"] == "DOCUMENT":
            assert SETS[row["tag"]] == row["allowed_values"]
            continue
        field = known.pop((row["record"], row["tag"]))
        words = "|".join(field.words) or field.child
        found = (field.kind, field.unit, field.required, words, field.extension)
        assert found == (
            KINDS[row["type"]],
            row["unit"],
            row["required"],
            row["allowed_values"],
            row["extension"] == "yes",
        ), f"{row['record']}.{row['tag']}"
        assert bool(field.condition) or not row["condition"] or field.kind != "boolean"
        compared += 1
    assert compared == 232
    assert not known, "fields the standard does not have"


def test_the_reader_reads_every_described_field() -> None:
    for (record, tag), field in described().items():
        assert shape(record).leaves[tag].field is field


@pytest.mark.parametrize("unit", sorted(BOUNDS))
def test_units_with_bounds_are_units_of_fields(unit: str) -> None:
    assert unit in {field.unit for field in described().values()}


def test_quantities_can_be_converted() -> None:
    assert all(listed_units(quantity) for quantity in QUANTITIES.values())


MAPPED = {
    "HOP": members.HOP,
    "FERMENTABLE": members.FERMENTABLE,
    "MISC": members.ADDITION,
    "YEAST": members.CULTURE,
    "WATER": members.WATER,
    "EQUIPMENT": members.EQUIPMENT,
    "STYLE": members.STYLE,
    "MASH_STEP": members.STEP,
    "MASH": members.MASH,
    "RECIPE": {**members.RECIPE, **{f: f"/{tag}" for f, tag in members.ESTIMATED.items()}},
}


def test_every_member_maps_to_a_tag_of_the_standard() -> None:
    """Findings about a member of the recipe point at its tag: one that is none points nowhere."""
    listed = {(row["record"], row["tag"]) for row in rows()}
    assert [
        (record, field, path)
        for record, fields in MAPPED.items()
        for field, path in fields.items()
        if (record, path.removeprefix("/")) not in listed
    ] == []
