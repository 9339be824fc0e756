"""A finding accepted by a line in the notes of the recipe, in both standards."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.rules.examples import PLAIN_RECIPE, document, dose, merge_patch, more_additions
from tests.cli.conftest import Run

SLIP = more_additions(dose("Gypsum (calcium sulfate dihydrate)", 4, "kg"))
LINE = "recipe-tools: ignore addition/unit-slip because we brew for a giant"
XML = """<?xml version="1.0" encoding="UTF-8"?>
<RECIPES><RECIPE><NAME>Weir Bitter</NAME><VERSION>1</VERSION><TYPE>All Grain</TYPE>
<BREWER>Aldermoor Brewing Circle</BREWER><BATCH_SIZE>20</BATCH_SIZE><BOIL_SIZE>25</BOIL_SIZE>
<BOIL_TIME>60</BOIL_TIME><EFFICIENCY>75</EFFICIENCY><HOPS></HOPS><YEASTS></YEASTS>
<STYLE><NAME>Bitter</NAME><VERSION>1</VERSION><CATEGORY>Bitter</CATEGORY>
<CATEGORY_NUMBER>11</CATEGORY_NUMBER><STYLE_LETTER>B</STYLE_LETTER><STYLE_GUIDE>x</STYLE_GUIDE>
<TYPE>Ale</TYPE><OG_MIN>1.03</OG_MIN><OG_MAX>1.05</OG_MAX><FG_MIN>1</FG_MIN><FG_MAX>1.02</FG_MAX>
<IBU_MIN>20</IBU_MIN><IBU_MAX>40</IBU_MAX><COLOR_MIN>5</COLOR_MIN><COLOR_MAX>9</COLOR_MAX></STYLE>
<FERMENTABLES><FERMENTABLE><NAME>Pale ale malt</NAME><VERSION>1</VERSION><TYPE>Grain</TYPE>
<AMOUNT>4</AMOUNT><YIELD>80</YIELD><COLOR>3</COLOR></FERMENTABLE></FERMENTABLES>
<MISCS><MISC><NAME>Gypsum (calcium sulfate dihydrate)</NAME><VERSION>1</VERSION>
<TYPE>Water Agent</TYPE><USE>Mash</USE><TIME>0</TIME><AMOUNT>4</AMOUNT>
<AMOUNT_IS_WEIGHT>TRUE</AMOUNT_IS_WEIGHT></MISC></MISCS><WATERS></WATERS>
<MASH><NAME>One step</NAME><VERSION>1</VERSION><GRAIN_TEMP>18</GRAIN_TEMP>
<MASH_STEPS><MASH_STEP><NAME>Rest</NAME><VERSION>1</VERSION><TYPE>Infusion</TYPE>
<INFUSE_AMOUNT>12</INFUSE_AMOUNT><STEP_TEMP>66</STEP_TEMP><STEP_TIME>60</STEP_TIME></MASH_STEP>
</MASH_STEPS></MASH><NOTES>{notes}</NOTES></RECIPE></RECIPES>
"""


def written(name: str, notes: str) -> bytes:
    """Return a recipe with a thousandfold slip and some notes."""
    if name.endswith(".xml"):
        return XML.format(notes=notes).encode()
    return document(merge_patch(PLAIN_RECIPE, {**SLIP, "notes": notes}))


@pytest.fixture(params=["pale.json", "pale.xml"])
def name(request: pytest.FixtureRequest) -> str:
    """Return the name of a file of each standard."""
    given: str = request.param
    return given


def of_rule(report: Any, rule: str) -> list[dict[str, Any]]:
    """Return the findings of a rule."""
    return [item for item in report["findings"] if item["rule"] == rule]


@pytest.mark.parametrize(
    "notes",
    [
        LINE,
        f"Brewed in June.\n\n  {LINE}  \nLovely.",
        f"Brewed in June.\r\n{LINE}\r\nLovely.",
        LINE.replace("ignore", "Ignore").replace("recipe-tools", "Recipe-Tools"),
        LINE.replace("addition/unit-slip", "addition"),
    ],
)
def test_a_line_with_a_reason_accepts_it(run: Run, here: Path, name: str, notes: str) -> None:
    (here / name).write_bytes(written(name, notes))
    report = run("check", name, "--format", "json").json
    reasons = {item["suppressed"]["reason"] for item in of_rule(report, "addition/unit-slip")}
    assert reasons == {"we brew for a giant (in the notes of the recipe)"}
    assert of_rule(report, "suppression/unused") == of_rule(report, "suppression/unclear") == []
    log = json.loads(run("check", name, "--format", "sarif").text)["runs"][0]
    kinds = [item["suppressions"][0]["kind"] for item in log["results"] if "suppressions" in item]
    # SARIF 2.1.0, 3.35.2: inSource where the acceptance stands in the file itself.
    assert set(kinds) == {"inSource"}


@pytest.mark.parametrize(
    ("notes", "said"),
    [
        ("recipe-tools: ignore addition/unit-slip", "no `because` with a reason"),
        ("recipe-tools: ignore addition/unit-slip because", "no `because` with a reason"),
        ("recipe-tools: ignore addition/unit-slip because  ", "no `because` with a reason"),
        ("recipe-tools: ignore addition/unit-slip we know", "no `because` with a reason"),
        (f"{LINE}{' so' * 200}", "no `because` with a reason"),
        ("recipe-tools: ignore", "names no rule"),
        ("recipe-tools: ignore because we know", "names no rule"),
        (
            "recipe-tools: ignore addition/unit-slop because we know",
            "addition/unit-slop is not the name of a rule; the nearest is addition/unit-slip",
        ),
    ],
)
def test_a_line_that_lacks_something_accepts_nothing_and_is_said(
    run: Run, here: Path, name: str, notes: str, said: str
) -> None:
    (here / name).write_bytes(written(name, notes))
    result = run("check", name, "--format", "json")
    assert result.code == 1
    slips = of_rule(result.json, "addition/unit-slip")
    assert slips and {item["suppressed"] for item in slips} == {None}
    (finding,) = of_rule(result.json, "suppression/unclear")
    assert said in finding["message"]
    assert finding["line"] is not None and finding["pointer"].lower().endswith("/notes")


def test_a_line_that_matches_nothing_is_said(run: Run, here: Path, name: str) -> None:
    (here / name).write_bytes(written(name, "recipe-tools: ignore safety because we are many"))
    report = run("check", name, "--format", "json").json
    (finding,) = of_rule(report, "suppression/unused")
    assert "safety" in finding["message"]
    # What was not looked for cannot have been found.
    report = run("check", name, "--only", "ions,suppression", "--format", "json").json
    assert of_rule(report, "suppression/unused") == []


@pytest.mark.parametrize("damage", ["", "first", "last", "inside"])
def test_no_line_counts_within_the_block_of_this_program(
    run: Run, here: Path, name: str, damage: str
) -> None:
    """A recipe may be called so, and the block quotes names."""
    (here / name).write_bytes(written(name, "Brewed in June."))
    assert run("annotate", name, "--in-place").code == 0
    text = (here / name).read_text("utf-8")
    mark = "Before this block" if damage != "first" else "Brewed in June."
    end = "\\n" if name.endswith(".json") else "\n"
    assert mark in text
    text = text.replace(mark, f"{LINE}{end}{mark}", 1)
    if damage == "first":
        text = text.replace("--- recipe-tools: water and mash check ---", "", 1)
    elif damage == "last":
        text = text.replace("--- recipe-tools: end", "", 1)
    (here / name).write_text(text, "utf-8")
    report = run("check", name, "--format", "json").json
    assert {item["suppressed"] for item in of_rule(report, "addition/unit-slip")} == {None}


def test_the_reason_adds_nothing_to_the_beer(run: Run, here: Path, name: str) -> None:
    """What notes speak of and no record lists is a finding; the reason is about a finding."""
    line = "recipe-tools: ignore ions because lactic acid is all we have"
    (here / name).write_bytes(written(name, line))
    report = run("check", name, "--format", "json").json
    assert of_rule(report, "addition/notes-agents-not-counted") == []
    (here / name).write_bytes(written(name, "Add 3 ml of lactic acid to the mash."))
    report = run("check", name, "--format", "json").json
    assert of_rule(report, "addition/notes-agents-not-counted") != []


def test_a_recipe_accepts_nothing_for_its_neighbours(run: Run, here: Path) -> None:
    recipes = [merge_patch(PLAIN_RECIPE, {**SLIP, "name": name}) for name in ("One", "Two")]
    recipes[0]["notes"] = LINE
    content = {"beerjson": {"version": 1.0, "recipes": recipes}}
    (here / "two.json").write_text(json.dumps(content), "utf-8")
    report = run("check", "two.json", "--format", "json").json
    slips = of_rule(report, "addition/unit-slip")
    assert {(item["recipe"], item["suppressed"] is None) for item in slips} == {
        (0, False),
        (1, True),
    }
