"""Documents of both standards that hold no recipe, through every command that meets one."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Run, xml_recipe
from tests.standards import require_standards

PERCENT: Mapping[str, Any] = {"unit": "%", "value": 5.5}
COLOUR = {"unit": "Lovi", "value": 3}
WARM = {"unit": "C", "value": 18}
HALF_HOUR = {"unit": "min", "value": 30}
BIG = {"unit": "l", "value": 30}
ION = {"unit": "mg/l", "value": 30}
STEP = {"name": "Rest", "type": "temperature", "step_temperature": WARM, "step_time": HALF_HOUR}
STYLE = {"name": "Weir Bitter", "category": "Bitter", "style_guide": "Circle", "type": "beer"}
VESSEL = {"name": "Tun", "form": "Mash Tun", "maximum_volume": BIG, "loss": BIG}
BEERJSON: Mapping[str, Mapping[str, Any]] = {
    "hop_varieties": {"name": "Mill Garden", "alpha_acid": PERCENT},
    "fermentables": {
        "name": "Pale",
        "type": "grain",
        "color": COLOUR,
        "yield": {"fine_grind": {"unit": "%", "value": 80}},
    },
    "cultures": {"name": "House yeast", "type": "ale", "form": "slant"},
    "miscellaneous_ingredients": {"name": "Gypsum", "type": "water agent"},
    "profiles": {
        "name": "Mains",
        **dict.fromkeys(
            ("calcium", "bicarbonate", "sulfate", "chloride", "sodium", "magnesium"), ION
        ),
    },
    "styles": STYLE,
    "equipments": {"name": "Circle brewhouse", "equipment_items": [VESSEL]},
    "mashes": {"name": "One rest", "grain_temperature": WARM, "mash_steps": [STEP]},
    "fermentations": {"name": "Cellar", "fermentation_steps": [{"name": "Primary"}]},
    "boil": {"boil_time": HALF_HOUR},
    "packaging": {"name": "Cask"},
}
"""A record of each list at the root of BeerJSON 1.0 with what its schema requires."""

MISC_AND_HOP = {"NAME": "Mill Garden", "VERSION": 1, "AMOUNT": 0, "TIME": 0}
IONS = dict.fromkeys(("CALCIUM", "BICARBONATE", "SULFATE", "CHLORIDE", "SODIUM", "MAGNESIUM"), 30)
BEERXML: Mapping[str, Mapping[str, Any]] = {
    "HOPS": {**MISC_AND_HOP, "ALPHA": 5.5, "USE": "Boil"},
    "FERMENTABLES": {
        "NAME": "Pale",
        "VERSION": 1,
        "TYPE": "Grain",
        "AMOUNT": 0,
        "YIELD": 80,
        "COLOR": 3,
    },
    "YEASTS": {"NAME": "Yeast", "VERSION": 1, "TYPE": "Ale", "FORM": "Slant", "AMOUNT": 0},
    "MISCS": {**MISC_AND_HOP, "TYPE": "Water Agent", "USE": "Mash"},
    "WATERS": {"NAME": "Mains", "VERSION": 1, "AMOUNT": 0, **IONS},
    "STYLES": {
        "NAME": "Weir Bitter",
        "CATEGORY": "Bitter",
        "VERSION": 1,
        "CATEGORY_NUMBER": 11,
        "STYLE_LETTER": "A",
        "STYLE_GUIDE": "Circle",
        "TYPE": "Ale",
        "OG_MIN": 1.030,
        "OG_MAX": 1.039,
        "FG_MIN": 1.007,
        "FG_MAX": 1.011,
        "IBU_MIN": 25,
        "IBU_MAX": 35,
        "COLOR_MIN": 8,
        "COLOR_MAX": 14,
    },
    "EQUIPMENTS": {"NAME": "Kettle", "VERSION": 1, "BOIL_SIZE": 25, "BATCH_SIZE": 20},
    "MASHS": {
        "NAME": "One rest",
        "VERSION": 1,
        "GRAIN_TEMP": 18,
        "MASH_STEPS": "<MASH_STEP><NAME>Rest</NAME><VERSION>1</VERSION><TYPE>Temperature</TYPE>"
        "<STEP_TEMP>66</STEP_TEMP><STEP_TIME>60</STEP_TIME></MASH_STEP>",
    },
}
"""A record of each set of BeerXML 1.0 but RECIPES, with what its field tables require."""

RECORDS = {
    **{root: root.removesuffix("S") for root in BEERXML},
    "MASHS": "MASH",
}


def beerxml(root: str, record: Mapping[str, Any]) -> str:
    tag = RECORDS[root]
    inside = "".join(f"<{name}>{value}</{name}>\n" for name, value in record.items())
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<{root}>\n<{tag}>\n{inside}</{tag}>\n</{root}>\n'
    )


def beerjson(member: str, record: Mapping[str, Any]) -> str:
    return json.dumps({"beerjson": {"version": 1, member: [record]}}, indent=1)


DOCUMENTS = {
    **{f"{root}.xml": beerxml(root, record) for root, record in BEERXML.items()},
    **{f"{member}.json": beerjson(member, record) for member, record in BEERJSON.items()},
}
FAULTS = {
    "hop.xml": beerxml("HOPS", {**BEERXML["HOPS"], "ALPHA": "strong"}),
    "hop.json": beerjson("hop_varieties", {**BEERJSON["hop_varieties"], "alpha_acid": "strong"}),
}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_it_is_checked_and_passes(run: Run, here: Path, name: str) -> None:
    (here / name).write_text(DOCUMENTS[name])
    report = run("check", name, "--format", "json", "--fail-on", "note")
    assert report.code == 0
    assert report.json["files"] == [
        {
            "path": name,
            "format": "beerxml" if name.endswith("xml") else "beerjson",
            "status": "checked",
            "recipes": [],
        }
    ]
    assert report.json["findings"] == []


@pytest.mark.parametrize("name", FAULTS)
def test_its_faults_are_listed_with_their_place(run: Run, here: Path, name: str) -> None:
    (here / name).write_text(FAULTS[name])
    assert run("check", name, "--format", "json").code == 0
    report = run("check", name, "--format", "json", "--fail-on", "note")
    assert report.code == 1
    (found,) = report.json["findings"]
    assert (found["rule"], found["recipe"]) == ("standard/wrong-type", None)
    line = FAULTS[name].splitlines()[found["line"] - 1]
    assert line[found["column"] - 1 :].lstrip('"').startswith("strong")


def test_a_folder_of_them_counts_as_checked(run: Run, here: Path) -> None:
    for name, text in DOCUMENTS.items():
        (here / name).write_text(text)
    (here / "hops.txt").write_text(DOCUMENTS["HOPS.xml"])
    for command in ("check", "audit"):
        report = run(command, ".", "--format", "json")
        assert report.code == 0, command
        assert report.json["summary"]["files"] == len(DOCUMENTS) + 1


@pytest.mark.parametrize("name", ["HOPS.xml", "profiles.json"])
def test_what_needs_a_recipe_says_that_there_is_none(run: Run, here: Path, name: str) -> None:
    (here / name).write_text(DOCUMENTS[name])
    for arguments in (
        ("dose",),
        ("annotate",),
        ("annotate", "--check"),
        ("reading", "--ph", "5.4"),
    ):
        told = run(*arguments, name)
        assert told.code == 3, arguments
        assert "it holds no recipe" in told.err
    (here / "weir.xml").write_bytes(xml_recipe())
    assert run("annotate", ".").code == 0


@pytest.mark.parametrize("form", ["text", "html"])
def test_reports_for_people_say_it(run: Run, here: Path, form: str) -> None:
    (here / "HOPS.xml").write_text(DOCUMENTS["HOPS.xml"])
    told = run("check", "HOPS.xml", "--format", form).text
    assert "no recipe" in told
    assert "against the standard" in told


def test_other_kinds_of_xml_with_the_same_words_are_not_ours(run: Run, here: Path) -> None:
    """Bibliography styles, word processing styles and pages have elements of such names, too."""
    (here / "a.xml").write_text('<style xmlns="urn:citations"><info/></style>')
    (here / "b.xml").write_text('<w:styles xmlns:w="urn:words"><w:style/></w:styles>')
    (here / "c.xml").write_text("<html><head><style>p {}</style></head></html>")
    report = run("check", ".", "--format", "json")
    assert (report.code, report.json["summary"]["skipped"]) == (3, 3)


def test_all_samples_of_the_standard_without_a_recipe_pass(run: Run) -> None:
    samples = require_standards("beerjson-1.0", "samples")
    checked = 0
    for path in sorted(samples.rglob("*.json")):
        if not json.loads(path.read_text("utf-8-sig"))["beerjson"].get("recipes"):
            report = run("check", str(path), "--format", "json")
            assert report.code == 0, path.name
            assert report.json["files"][0]["status"] == "checked"
            checked += 1
    assert checked == 12 + 16 + 1, "of the generic, the real ones and the styles"


@pytest.mark.parametrize(
    "options", [("--only", "standard,file"), ("--only", "standard,file", "--verbose")]
)
def test_the_standard_alone_needs_no_brew_day(
    run: Run, here: Path, monkeypatch: pytest.MonkeyPatch, options: tuple[str, ...]
) -> None:
    (here / "weir.xml").write_bytes(xml_recipe().replace(b"7</ALPHA>", b"strong</ALPHA>"))
    whole = run("check", "weir.xml", "--format", "json", *options).json
    monkeypatch.setattr("recipe_tools.brewday.plan", None)
    report = run("check", "weir.xml", "--format", "json", *options)
    assert (report.code, report.rules) == (0, ["standard/wrong-type"])
    assert report.json == whole
    (recipe,) = report.json["files"][0]["recipes"]
    assert (recipe["water"], recipe["mash_ph"], recipe["additions"]) == (None, None, [])
    text = run("check", "weir.xml", *options).text
    assert "Checked against the standard only" in text
    assert "standard/wrong-type" in text, "what was asked for is not folded"
    assert run("check", "weir.xml", "--format", "json").code == 3, "with it the brew day is tried"


def test_other_topics_without_rules_on_recipes_still_need_the_brew_day(
    run: Run, here: Path
) -> None:
    (here / "weir.xml").write_bytes(xml_recipe())
    (here / "recipe-tools.toml").write_text('[[malt]]\nname = "Pale ale malt"\ndi_ph = 5.7\n')
    report = run("check", "weir.xml", "--only", "configuration,standard", "--format", "json")
    assert (report.code, report.rules) == (0, []), "the malt is used"


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_summary_says_which_members_were_checked(run: Run, here: Path, name: str) -> None:
    (here / name).write_text(DOCUMENTS[name])
    stem, _, kind = name.partition(".")
    report = run("check", name, "--only", "standard,file", "--format", "json")
    (records,) = report.json["summary"]["members"].values()
    root, record = (stem, BEERXML[stem]) if kind == "xml" else (stem, BEERJSON[stem])
    assert root in records["DOCUMENT"]
    named = {part for paths in records.values() for path in paths for part in path.split("/")}
    assert set(record) <= named
    text = run("check", name, "--only", "standard,file").text
    assert all(member in text for member in record)
    assert "members" not in run("check", name, "--format", "json").json["summary"]


def test_no_sample_of_the_standard_is_said_to_break_it(run: Run) -> None:
    """jsonschema finds them valid (tests/conformance); numbers in them may be doubtful."""
    samples = require_standards("beerjson-1.0", "samples")
    breaking = {"required-missing", "wrong-type", "value-not-listed", "schema", "not-finite"}
    paths = [str(path) for path in sorted(samples.rglob("*.json"))]
    report = run("check", *paths, "--only", "standard,file", "--format", "json")
    assert len(paths) == report.json["summary"]["files"] == 39
    assert {name.partition("/")[2] for name in report.rules}.isdisjoint(breaking)
