"""Edits: each says what stands where and what belongs there, so that any program can make them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from recipe_tools.checking import catalogue, check_bytes
from recipe_tools.reports import render, text
from recipe_tools.results import CheckedFile, Run

EXAMPLE = Path(__file__).parents[2] / "examples" / "home" / "reedbank-pils.xml"
JSON_EXAMPLE = EXAMPLE.with_name("millrace-blonde.json")


def checked(data: bytes) -> CheckedFile:
    return check_bytes(data, "recipes/faulty")


def replacements(file: CheckedFile) -> list[dict[str, Any]]:
    """Return all replacements the SARIF log of a file proposes."""
    log = json.loads(render("sarif", Run((file,)), catalogue()))
    return [
        replacement
        for result in log["runs"][0]["results"]
        for edit in result.get("fixes", ())
        for change in edit["artifactChanges"]
        for replacement in change["replacements"]
    ]


def repaired(content: str, changes: list[dict[str, Any]]) -> str:
    """Make the changes as SARIF 2.1.0, 3.30 and 3.57 say: columns from 1, the end exclusive."""
    starts = [0]
    for line in content.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    places = []
    for change in changes:
        region = change["deletedRegion"]
        start = starts[region["startLine"] - 1] + region["startColumn"] - 1
        end = starts[region["endLine"] - 1] + region["endColumn"] - 1
        places.append((start, end, change["insertedContent"]["text"]))
    for start, end, new in sorted(places, reverse=True):
        content = content[:start] + new + content[end:]
    return content


def faulty_xml() -> str:
    """Return a recipe with kilograms for grams, Booleans in small letters and a small list word."""
    content = EXAMPLE.read_text("utf-8")
    for before, after in (
        (
            "<AMOUNT_IS_WEIGHT>TRUE</AMOUNT_IS_WEIGHT>",
            "<AMOUNT_IS_WEIGHT> true </AMOUNT_IS_WEIGHT>",
        ),
        ("<TYPE>All Grain</TYPE>", "<TYPE>all grain</TYPE>"),
        ("<BATCH_SIZE>", "<!-- \U0001f37a --><BATCH_SIZE>"),
    ):
        assert before in content
        content = content.replace(before, after)
    head, amount, tail = content.partition("<AMOUNT>0.0026</AMOUNT>")
    if not amount:
        pytest.fail("the example has no addition of 2.6 g any more")
    return f"{head}<AMOUNT><![CDATA[2.6]]></AMOUNT>{tail}"


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "iso-8859-1"])
def test_the_edits_of_a_beerxml_file_repair_it(encoding: str, newline: str) -> None:
    content = faulty_xml().replace("\n", newline)
    content = content.replace('encoding="UTF-8"', f'encoding="{encoding}"')
    if encoding == "iso-8859-1":
        content = content.replace("\U0001f37a", "\u00fc")
    before = checked(content.encode(encoding))
    rules = {item.rule for item in before.findings if item.edits}
    assert rules == {
        "addition/unit-slip",
        "standard/boolean-spelling",
        "standard/value-not-listed",
    }
    for item in before.findings:
        # A thousandth of an amount is another number; the spelling of a word is not.
        assert all(e.keeps_meaning == item.rule.startswith("standard/") for e in item.edits)
    after = repaired(content, replacements(before))
    root = etree.fromstring(after.encode(encoding))
    assert {item.text.strip() for item in root.iter("AMOUNT_IS_WEIGHT")} == {"TRUE"}
    assert root.findtext(".//RECIPE/TYPE") == "All Grain"
    assert root.xpath("count(//MISC[AMOUNT = 0.0026])") == 1
    assert "<![CDATA[0.0026]]>" in after
    assert not rules & {item.rule for item in checked(after.encode(encoding)).findings}


def test_the_edits_of_a_beerjson_file_repair_it() -> None:
    document = json.loads(JSON_EXAMPLE.read_text("utf-8"))
    recipe = document["beerjson"]["recipes"][0]
    additions = recipe["ingredients"]["miscellaneous_additions"]
    salt = next(item for item in additions if item["amount"]["unit"] == "g")
    meant = salt["amount"]["value"]
    salt["amount"] = {"unit": "kg", "value": meant}
    recipe["ingredients"]["fermentable_additions"][0]["type"] = "Grain"
    content = json.dumps(document, indent=1)
    before = checked(content.encode())
    rules = {item.rule for item in before.findings if item.edits}
    assert rules == {"addition/unit-slip", "standard/value-not-listed"}
    after = json.loads(repaired(content, replacements(before)))
    again = after["beerjson"]["recipes"][0]["ingredients"]
    names = [item["name"] for item in again["miscellaneous_additions"]]
    amount = again["miscellaneous_additions"][names.index(salt["name"])]["amount"]
    assert amount == {"unit": "kg", "value": pytest.approx(meant / 1000)}
    assert again["fermentable_additions"][0]["type"] == "grain"
    assert not rules & {item.rule for item in checked(json.dumps(after).encode()).findings}


def test_a_number_of_equal_faults_is_one_proposal_and_not_several_to_choose_from() -> None:
    content = faulty_xml()
    log = json.loads(render("sarif", Run((checked(content.encode()),)), catalogue()))
    spelling = [
        result
        for result in log["runs"][0]["results"]
        if result["ruleId"] == "standard/boolean-spelling"
    ]
    edits = [result["fixes"] for result in spelling]
    assert [len(proposals) for proposals in edits] == [1] * len(spelling)
    places = [len(edit["artifactChanges"][0]["replacements"]) for (edit,) in edits]
    assert max(places) == 2
    assert sum(places) == content.count("> true <")


def test_a_value_that_does_not_stand_in_the_file_is_not_replaced() -> None:
    """The flag is absent: there is no text to take out, and the tags around are no value."""
    content = EXAMPLE.read_text("utf-8").replace("<AMOUNT_IS_WEIGHT>TRUE</AMOUNT_IS_WEIGHT>", "")
    for item in checked(content.encode()).findings:
        for edit in item.edits:
            assert edit.line is None or edit.current


def test_the_text_report_shows_what_was_and_what_would_be() -> None:
    file = checked(faulty_xml().encode())
    shown = text.render(Run((file,)), catalogue(), text.View(verbose=True))
    assert "2.6 -> 0.0026" in shown
    assert "true -> TRUE" in shown
    assert "change (nothing else moves)" in shown
    assert "change (changes how a number is read)" in shown
    assert "change (" not in text.render(Run((file,)), catalogue())
