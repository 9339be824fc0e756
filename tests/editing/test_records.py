"""Additions put into recipes: set like their neighbours, nothing else changed, removable."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from lxml import etree

from recipe_tools import formats
from recipe_tools.editing.document import EditError
from recipe_tools.editing.mending import HARMLESS
from recipe_tools.editing.records import (
    MiscRecord,
    decimal_text,
    insert_misc_records,
    remove_records,
)
from recipe_tools.formats.result import ReadResult
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.recipe import FormatName, SourceFile
from recipe_tools.rules.examples import PLAIN_RECIPE, document, xml_file
from tests.annotate.documents import Made, files
from tests.annotate.test_files import all_files, name_of
from tests.standards import require_standards

GYPSUM = MiscRecord("Gypsum (calcium sulfate dihydrate)", mass_g=2.35, step=1)
ACID = MiscRecord("Lactic acid 80 %", use="sparge", volume_ml=1.1, step=2)
ODD = MiscRecord('Lime & "chalk" <½>', kind="other", use="mash", mass_g=0.05)


def read(data: bytes, format_name: FormatName) -> ReadResult:
    return formats.read(SourceFile("made", data, format_name), DEFAULT_LIMITS)


def taken_out(data: bytes, format_name: FormatName, index: int, count: int) -> bytes:
    """Take the last additions of a recipe out again."""
    additions = read(data, format_name).recipes[index].additions
    return remove_records(data, format_name, [item.origin.path for item in additions[-count:]])


XML_HEAD = "<RECIPES>\r\n\t<RECIPE>\r\n\t\t<NAME>Bitter</NAME>"
XML_TAIL = "\r\n\t</RECIPE>\r\n</RECIPES>\r\n"
RECORD = (
    "\r\n\t\t\t<MISC>\r\n\t\t\t\t<NAME>Gypsum (calcium sulfate dihydrate)</NAME>"
    "\r\n\t\t\t\t<VERSION>1</VERSION>\r\n\t\t\t\t<TYPE>Water Agent</TYPE>"
    "\r\n\t\t\t\t<USE>Mash</USE>\r\n\t\t\t\t<TIME>0</TIME>\r\n\t\t\t\t<AMOUNT>0.00235</AMOUNT>"
    "\r\n\t\t\t\t<AMOUNT_IS_WEIGHT>TRUE</AMOUNT_IS_WEIGHT>\r\n\t\t\t</MISC>"
)
HOP = (
    "\r\n\t\t<HOPS>\r\n\t\t\t<HOP>\r\n\t\t\t\t<NAME>Leaf</NAME>\r\n\t\t\t\t<VERSION>1</VERSION>"
    "\r\n\t\t\t</HOP>\r\n\t\t</HOPS>"
)


@pytest.mark.parametrize("hop", ["", HOP])
@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("", f"\r\n\t\t<MISCS>{RECORD}\r\n\t\t</MISCS>"),
        ("\r\n\t\t<MISCS/>", f"\r\n\t\t<MISCS>{RECORD}\r\n\t\t</MISCS>"),
        ("\r\n\t\t<MISCS />", f"\r\n\t\t<MISCS >{RECORD}\r\n\t\t</MISCS>"),
        ("\r\n\t\t<MISCS></MISCS>", f"\r\n\t\t<MISCS>{RECORD}\r\n\t\t</MISCS>"),
        ("\r\n\t\t<MISCS>\r\n\t\t</MISCS>", f"\r\n\t\t<MISCS>{RECORD}\r\n\t\t</MISCS>"),
        (
            f"\r\n\t\t<MISCS>{RECORD}\r\n\t\t</MISCS>",
            f"\r\n\t\t<MISCS>{RECORD}{RECORD}\r\n\t\t</MISCS>",
        ),
    ],
)
def test_a_misc_record_takes_the_layout_of_its_file(hop: str, before: str, after: str) -> None:
    old = (XML_HEAD + hop + before + XML_TAIL).encode()
    new = insert_misc_records(old, "beerxml", 0, [GYPSUM])
    assert new.decode() == XML_HEAD + hop + after + XML_TAIL


def test_records_on_one_line_stay_on_one_line() -> None:
    new = insert_misc_records(xml_file(), "beerxml", 0, [ACID]).decode()
    assert (
        "\n      <MISC><NAME>Lactic acid 80 %</NAME><VERSION>1</VERSION><TYPE>Water Agent</TYPE>"
        "<USE>Sparge</USE><TIME>0</TIME><AMOUNT>0.0011</AMOUNT>"
        "<AMOUNT_IS_WEIGHT>FALSE</AMOUNT_IS_WEIGHT></MISC>\n    </MISCS>"
    ) in new


def test_a_file_in_one_line_stays_one() -> None:
    old = b"<RECIPES><RECIPE><NAME>Bitter</NAME></RECIPE></RECIPES>"
    new = insert_misc_records(old, "beerxml", 0, [GYPSUM, ACID])
    assert b"\n" not in new
    assert new.count(b"<MISC>") == 2


def test_a_character_the_encoding_lacks_becomes_a_reference() -> None:
    head = '<?xml version="1.0" encoding="ISO-8859-1"?>'
    old = f"{head}<RECIPES><RECIPE><NAME>Möwe</NAME></RECIPE></RECIPES>".encode("latin-1")
    new = insert_misc_records(old, "beerxml", 0, [MiscRecord("CaSO₄ ½", mass_g=1)])
    assert "<NAME>CaSO&#8324; ½</NAME>".encode("latin-1") in new
    assert etree.fromstring(new).findtext(".//MISC/NAME") == "CaSO₄ ½"


def test_a_prefix_is_taken_over() -> None:
    old = b'<b:RECIPES xmlns:b="urn:b"><b:RECIPE><b:NAME>Bitter</b:NAME></b:RECIPE></b:RECIPES>'
    new = insert_misc_records(old, "beerxml", 0, [GYPSUM])
    assert b"<b:MISCS><b:MISC><b:NAME>" in new
    etree.fromstring(new)


def json_with(additions: Any, indent: int | None = 2, *, absent: bool = False) -> bytes:
    recipe = json.loads(json.dumps(PLAIN_RECIPE))
    recipe["ingredients"]["miscellaneous_additions"] = additions
    if absent:
        del recipe["ingredients"]["miscellaneous_additions"]
    separators = (",", ":") if indent is None else None
    whole = {"beerjson": {"version": 1.0, "recipes": [recipe]}}
    return json.dumps(whole, indent=indent, separators=separators).encode()


WRITTEN = {
    "name": GYPSUM.name,
    "type": "water agent",
    "amount": {"value": 2.35, "unit": "g"},
    "timing": {"use": "add_to_mash", "step": 1},
}


@pytest.mark.parametrize("indent", [None, 1, 2, 4])
@pytest.mark.parametrize(
    ("old", "new"),
    [
        (json_with, [WRITTEN]),
        ([], [WRITTEN]),
        (None, [WRITTEN]),
        (
            [{"name": "Irish moss", "type": "fining"}],
            [{"name": "Irish moss", "type": "fining"}, WRITTEN],
        ),
    ],
    ids=["absent", "empty", "null", "behind another"],
)
def test_an_addition_is_set_as_the_writer_of_the_file_would(
    indent: int | None, old: Any, new: Any
) -> None:
    # The JSON module of the standard library, which laid out the file, is the reference.
    absent = old is json_with
    before = json_with([] if absent else old, indent, absent=absent)
    after = insert_misc_records(before, "beerjson", 0, [GYPSUM])
    wanted = json.loads(json_with(new, indent))
    assert json.loads(after) == wanted
    if not absent:
        assert after == json_with(new, indent)


def test_objects_within_a_record_are_set_like_those_of_its_neighbours() -> None:
    neighbour = (
        '      {"name": "Gypsum", "type": "water agent",\n'
        '       "amount": {"value": 1, "unit": "g"}}'
    )
    old = document(PLAIN_RECIPE).decode()
    start = old.index('"miscellaneous_additions": [') + len('"miscellaneous_additions": [')
    end = old.index("]", start)
    old = f"{old[:start]}\n{neighbour}\n    {old[end:]}"
    new = insert_misc_records(old.encode(), "beerjson", 0, [GYPSUM]).decode()
    assert '"amount": {"value": 2.35, "unit": "g"}' in new


def test_plain_ascii_stays_plain_ascii_in_json() -> None:
    new = insert_misc_records(json_with([]), "beerjson", 0, [ODD])
    assert new.isascii()
    assert (
        json.loads(new)["beerjson"]["recipes"][0]["ingredients"]["miscellaneous_additions"][0][
            "name"
        ]
        == ODD.name
    )


def test_what_is_written_satisfies_the_schema_of_the_standard() -> None:
    # BeerJSON 1.0, misc.json: MiscellaneousAdditionType.
    import jsonschema
    from referencing import Registry, Resource

    folder = require_standards("beerjson-1.0", "misc.json").parent
    registry: Any = Registry().with_resources(
        (schema["$id"], Resource.from_contents(schema))
        for path in folder.glob("*.json")
        if "$id" in (schema := json.loads(path.read_text("utf-8")))
    )
    base = json.loads((folder / "misc.json").read_text("utf-8"))["$id"]
    checker = jsonschema.Draft7Validator(
        {"$ref": f"{base}#/definitions/MiscellaneousAdditionType"}, registry=registry
    )
    new = json.loads(insert_misc_records(json_with([]), "beerjson", 0, [GYPSUM, ACID, ODD]))
    written = new["beerjson"]["recipes"][0]["ingredients"]["miscellaneous_additions"]
    assert len(written) == 3
    for record in written:
        checker.validate(record)
    assert not checker.is_valid({**written[0], "amount": 3})


@pytest.mark.parametrize("path", all_files(), ids=name_of)
def test_additions_to_the_files_of_the_project_can_be_taken_out_again(path: Path) -> None:
    data = path.read_bytes()
    found = formats.read(SourceFile(path.name, data), DEFAULT_LIMITS)
    if found.status != "checked" or set(found.repaired) - HARMLESS:
        if found.format is not None:
            with pytest.raises(EditError):
                insert_misc_records(data, found.format, 0, [GYPSUM])
        return
    assert found.format is not None
    for recipe in found.recipes:
        new = insert_misc_records(data, found.format, recipe.index, [GYPSUM, ACID])
        assert len(new) > len(data)
        if recipe.additions and path.stem != "record-outside-set":
            assert taken_out(new, found.format, recipe.index, 2) == data


@settings(max_examples=150, deadline=None)
@given(files(), st.integers(0, 2), st.lists(st.sampled_from([GYPSUM, ACID, ODD]), min_size=1))
def test_additions_to_drawn_files_keep_all_else(
    made: Made, index: int, records: list[MiscRecord]
) -> None:
    assume(index < made.recipes)
    before = read(made.data, made.format).recipes[index]
    if made.format == "beerjson" and not before.fermentables:
        with pytest.raises(EditError, match="no ingredients"):
            insert_misc_records(made.data, made.format, index, records)
        return
    new = insert_misc_records(made.data, made.format, index, records)
    after = read(new, made.format).recipes[index]
    added = after.additions[len(before.additions) :]
    assert [item.name for item in added] == [item.name for item in records]
    assert [item.mass_g for item in added] == [
        None if item.mass_g is None else pytest.approx(item.mass_g) for item in records
    ]
    if before.additions:
        assert taken_out(new, made.format, index, len(records)) == made.data


@settings(max_examples=100, deadline=None)
@given(st.sets(st.integers(0, 4)), st.sampled_from([None, 2]))
def test_any_elements_of_a_list_can_be_taken_out(gone: set[int], indent: int | None) -> None:
    # Once more the standard library says how a list with fewer elements is set.
    items = [{"name": f"Salt {number}", "type": "water agent"} for number in range(5)]
    kept = [item for place, item in enumerate(items) if place not in gone]
    at = "/beerjson/recipes/0/ingredients/miscellaneous_additions"
    new = remove_records(json_with(items, indent), "beerjson", [f"{at}/{place}" for place in gone])
    assert new == json_with(kept, indent)


@pytest.mark.parametrize("place", [1, 2])
def test_an_element_is_taken_out_with_its_line(place: int) -> None:
    data = xml_file()
    pointer = f"/RECIPES/RECIPE[1]/MISCS/MISC[{place}]"
    lines = data.decode().split("\n")
    number = next(at for at, line in enumerate(lines) if "<MISC>" in line) + place - 1
    del lines[number]
    assert remove_records(data, "beerxml", [pointer]).decode() == "\n".join(lines)


@pytest.mark.parametrize(
    ("data", "format_name", "pointer"),
    [
        (xml_file(), "beerxml", "/RECIPES/RECIPE[1]/MISCS/MISC[9]"),
        (document(PLAIN_RECIPE), "beerjson", "/beerjson/recipes/7"),
        (document(PLAIN_RECIPE), "beerjson", ""),
    ],
)
def test_nothing_to_take_out_is_told(data: bytes, format_name: FormatName, pointer: str) -> None:
    with pytest.raises(EditError, match="nothing at"):
        remove_records(data, format_name, [pointer])


@pytest.mark.parametrize("index", [-1, 1])
def test_a_recipe_that_is_not_there_is_told(index: int) -> None:
    with pytest.raises(EditError, match="no recipe"):
        insert_misc_records(xml_file(), "beerxml", index, [GYPSUM])


@pytest.mark.parametrize("record", [MiscRecord("x"), MiscRecord("x", mass_g=1, volume_ml=1)])
def test_an_addition_has_one_amount(record: MiscRecord) -> None:
    with pytest.raises(ValueError, match="one amount"):
        insert_misc_records(xml_file(), "beerxml", 0, [record])


def test_a_name_with_control_characters_is_told() -> None:
    with pytest.raises(EditError, match="cannot be written"):
        insert_misc_records(xml_file(), "beerxml", 0, [MiscRecord("a\x00b", mass_g=1)])


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0028, "0.0028"), (5e-06, "0.000005"), (0.1 + 0.2, "0.3"), (2.0, "2"), (100.0, "100")],
)
def test_numbers_are_written_as_people_write_them(value: float, text: str) -> None:
    assert decimal_text(value) == text
