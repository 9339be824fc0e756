"""`recipe-tools convert`: what it prints, writes, refuses and exits with."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree as ET

import jsonschema
import pytest

from recipe_tools.rules.examples import PLAIN_RECIPE, document, xml_file
from recipe_tools.schema_files import schema_text
from tests.cli.conftest import Run

SCHEMA = json.loads(schema_text("convert.schema.json"))
WATER = b"""<?xml version="1.0" encoding="UTF-8"?>
<MASHS><MASH><NAME>Single rest</NAME><VERSION>1</VERSION><GRAIN_TEMP>18</GRAIN_TEMP><MASH_STEPS>
<MASH_STEP><NAME>Rest</NAME><VERSION>1</VERSION><TYPE>Infusion</TYPE>
<INFUSE_AMOUNT>12.5</INFUSE_AMOUNT><STEP_TEMP>66</STEP_TEMP><STEP_TIME>60</STEP_TIME></MASH_STEP>
</MASH_STEPS></MASH></MASHS>
"""
"""Records of which BeerJSON has every member."""


@pytest.fixture
def xml(here: Path) -> Path:
    path = here / "ale.xml"
    path.write_bytes(xml_file())
    return path


@pytest.fixture
def plain(here: Path) -> Path:
    path = here / "ale.json"
    path.write_bytes(document(PLAIN_RECIPE))
    return path


def test_without_an_output_the_document_is_printed_and_the_list_said(run: Run, xml: Path) -> None:
    result = run("convert", "ale.xml", "--to", "beerjson")
    assert result.code == 1
    recipe = result.json["beerjson"]["recipes"][0]
    assert recipe["name"] == PLAIN_RECIPE["name"]
    assert "ale.xml: " in result.err
    assert " lost, " in result.err
    assert xml.read_bytes() == xml_file()


def test_an_output_file_is_written_and_the_list_printed(run: Run, plain: Path, here: Path) -> None:
    result = run("convert", "ale.json", "--to", "beerxml", "--output-file", "ale.xml")
    assert result.code == 1
    root = ET.fromstring((here / "ale.xml").read_bytes())
    assert root.findtext("RECIPE/NAME") == PLAIN_RECIPE["name"]
    assert "missing: /RECIPES/RECIPE[1]/STYLE/OG_MIN" in result.text
    assert 'changed: /beerjson/recipes/0/style/type "beer" -> "Mixed"' in result.text


@pytest.mark.parametrize("to", ["beerjson", "beerxml"])
def test_the_json_report_says_all_and_writes_nothing(
    run: Run, xml: Path, plain: Path, here: Path, to: str
) -> None:
    name = "ale.xml" if to == "beerjson" else "ale.json"
    result = run("convert", name, "--to", to, "--format", "json")
    assert result.code == 1
    jsonschema.validate(result.json, SCHEMA)
    assert result.json["path"] == name
    assert (result.json["to"], result.json["recipes"]) == (to, 1)
    assert sorted(path.name for path in here.iterdir()) == ["ale.json", "ale.xml"]
    again = run("convert", name, "--to", to, "--format", "json")
    assert again.out == result.out


def test_what_loses_nothing_is_clean(run: Run, here: Path) -> None:
    (here / "mash.xml").write_bytes(WATER)
    result = run("convert", "mash.xml", "--to", "beerjson", "--strict", "--output-file", "m.json")
    assert result.code == 0
    written = json.loads((here / "m.json").read_bytes())["beerjson"]
    step = written["mashes"][0]["mash_steps"][0]
    assert step["amount"] == {"unit": "l", "value": 12.5}
    back = run("convert", "m.json", "--to", "beerxml")
    assert back.code == 0
    assert ET.fromstring(back.out).findtext("MASH/MASH_STEPS/MASH_STEP/STEP_TEMP") == "66"


def test_strict_writes_nothing_where_something_is_lost(run: Run, xml: Path, here: Path) -> None:
    result = run("convert", "ale.xml", "--to", "beerjson", "--strict", "--output-file", "ale.json")
    assert result.code == 1
    assert not (here / "ale.json").exists()
    assert run("convert", "ale.xml", "--to", "beerjson", "--strict").text.startswith(
        ("lost: ", "changed: ", "missing: ")
    )


def test_what_is_missing_is_set_by_member_or_pointer(run: Run, here: Path) -> None:
    data = WATER.replace(b"<GRAIN_TEMP>18</GRAIN_TEMP>", b"")
    (here / "mash.xml").write_bytes(data)
    first = run("convert", "mash.xml", "--to", "beerjson", "--format", "json")
    assert [item["member"] for item in first.json["missing"]] == ["grain_temperature"]
    assert not first.json["valid"]
    pointer = first.json["missing"][0]["pointer"]
    for name in ("grain_temperature", pointer):
        result = run("convert", "mash.xml", "--to", "beerjson", "--set", f"{name}=64 F")
        assert result.code == 0
        mash = result.json["beerjson"]["mashes"][0]
        assert mash["grain_temperature"] == {"unit": "F", "value": 64}


@pytest.mark.parametrize(
    ("setting", "said"),
    [
        ("colour=5", "missing is grain_temperature"),
        ("grain_temperature=warm", "it is no number"),
        ("grain_temperature", "MEMBER=VALUE"),
    ],
)
def test_a_setting_that_makes_no_sense_is_wrong_use(
    run: Run, here: Path, setting: str, said: str
) -> None:
    (here / "mash.xml").write_bytes(WATER.replace(b"<GRAIN_TEMP>18</GRAIN_TEMP>", b""))
    result = run("convert", "mash.xml", "--to", "beerjson", "--set", setting)
    assert result.code == 2
    assert result.out == b""
    assert said in " ".join(result.err.split())


def test_an_output_that_is_the_source_is_refused(run: Run, xml: Path) -> None:
    result = run("convert", "ale.xml", "--to", "beerjson", "--output-file", "./ale.xml")
    assert result.code == 2
    assert xml.read_bytes() == xml_file()


@pytest.mark.parametrize(
    ("data", "to"),
    [
        (b"<RECIPES><RECIPE><NAME>x", "beerjson"),
        (b'{"beerjson": {', "beerxml"),
        (xml_file(), "beerxml"),
        (document(PLAIN_RECIPE), "beerjson"),
        (b"", "beerxml"),
    ],
)
def test_what_cannot_be_converted_is_a_sentence(run: Run, here: Path, data: bytes, to: str) -> None:
    (here / "odd").write_bytes(data)
    result = run("convert", "odd", "--to", to)
    assert result.code == 3
    assert result.out == b""
    assert "odd: not converted, " in result.err
    assert run("convert", "none", "--to", to).code == 3


def test_additions_to_the_sparge_go_into_the_notes(run: Run, here: Path) -> None:
    """BeerXML has no use for them, and a salt in the mash would shift its pH."""
    recipe = json.loads(json.dumps(PLAIN_RECIPE))
    steps = recipe["mash"]["mash_steps"]
    place = next(number for number, step in enumerate(steps, 1) if step["type"] == "sparge")
    recipe["ingredients"]["miscellaneous_additions"] = [
        {
            "name": "Lactic acid 80 %",
            "type": "water agent",
            "amount": {"unit": "ml", "value": 2.5},
            "timing": {"use": "add_to_mash", "step": place},
        }
    ]
    (here / "ale.json").write_bytes(document(recipe))
    result = run("convert", "ale.json", "--to", "beerxml")
    root = ET.fromstring(result.out)
    assert root.find("RECIPE/MISCS/MISC") is None
    assert "Into the sparge water: 2.5 mL Lactic acid 80 %." in (
        root.findtext("RECIPE/NOTES") or ""
    )
    assert "miscellaneous_additions/0/amount" in result.err
