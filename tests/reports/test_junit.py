"""JUnit XML: read back by an XML parser, counts as the readers of that format take them."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest
from lxml import etree

from recipe_tools.reports import junit
from recipe_tools.reports.escaping import xml_characters
from recipe_tools.results import CheckedFile, Run
from tests.reports.cleanliness import assert_clean
from tests.reports.sample_run import CATALOGUE, HOSTILE_TEXTS, finding, hostile_run, plain_run

SHAPES = Path(__file__).parent / "shapes"


def parsed(run: Run) -> ElementTree.Element:
    """Return the document as the parser of the standard library reads it."""
    return ElementTree.fromstring(junit.render(run, CATALOGUE).encode("utf-8"))


def case(root: ElementTree.Element, name: str) -> ElementTree.Element:
    """Return the only test case of that name."""
    (only,) = root.iterfind(f".//testcase[@name='{name}']")
    return only


def test_each_file_is_a_suite_and_each_recipe_and_topic_a_case() -> None:
    root = parsed(plain_run())
    assert [suite.get("name") for suite in root] == [
        "ales/harvest.xml",
        "lagers/torn page 50%.json",
        "whole run",
    ]
    names = [item.get("name") for item in root[0]]
    assert names[0] == "reading BeerXML"
    for recipe in ("Harvest bitter [0]", "Mill stout [1]"):
        for topic in ("addition", "ions", "mash-ph", "water"):
            assert f"{recipe}: {topic}" in names


@pytest.mark.parametrize("run", [plain_run(), hostile_run()], ids=["plain", "hostile"])
def test_the_counts_are_those_of_the_elements(run: Run) -> None:
    root = parsed(run)
    for element in (root, *root):
        assert int(element.get("tests", "")) == len(element.findall(".//testcase"))
        assert int(element.get("failures", "")) == len(element.findall(".//failure"))
        assert int(element.get("errors", "")) == len(element.findall(".//error"))
    for element in root:
        assert int(element.get("skipped", "")) == len(element.findall(".//skipped"))
    for item in root.iterfind(".//testcase"):
        assert sum(child.tag in ("failure", "error", "skipped") for child in item) <= 1


@pytest.mark.parametrize(
    "run",
    [plain_run(), hostile_run(), Run(()), Run((CheckedFile("list.json", None, "skipped"),))],
    ids=["plain", "hostile", "empty", "skipped"],
)
def test_the_document_is_valid(run: Run) -> None:
    schema = etree.XMLSchema(file=str(SHAPES / "junit.xsd"))
    schema.assertValid(etree.fromstring(junit.render(run, CATALOGUE).encode("utf-8")))


def test_errors_and_warnings_fail_notes_and_accepted_findings_do_not() -> None:
    root = parsed(plain_run())
    failure = case(root, "Harvest bitter [0]: mash-ph").find("failure")
    assert failure is not None
    assert failure.get("type") == "mash-ph/above-range"
    assert failure.get("message") == "The mash lands at pH 5.71 (5.52 to 5.93)."
    assert "line 12" in (failure.text or "")
    for name in ("Harvest bitter [0]: addition", "Mill stout [1]: ions"):
        assert [child.tag for child in case(root, name)] == ["system-out"]
    accepted = case(root, "Mill stout [1]: ions").findtext("system-out") or ""
    assert "brewed so for years" in accepted
    reading = case(root, "reading BeerXML").findtext("failure") or ""
    assert "23 more findings of standard/wrong-type" in reading


def test_a_file_that_could_not_be_checked_is_an_error() -> None:
    error = case(parsed(plain_run()), "could not be checked").find("error")
    assert error is not None
    assert error.get("message") == "The file ends in the middle of a value."


def test_a_skipped_file_is_a_skipped_case() -> None:
    root = parsed(Run((CheckedFile("list.json", None, "skipped"),)))
    (suite,) = root
    assert (suite.get("tests"), suite.get("skipped"), suite.get("failures")) == ("1", "1", "0")


def test_a_failure_of_the_program_is_an_error() -> None:
    broken = finding("mash-ph/above-range", "A rule came to grief.")
    file = CheckedFile(
        "a.xml",
        "beerxml",
        "checked",
        findings=(
            type(broken)(rule="internal/rule-failed", message="No.", severity=broken.severity),
        ),
    )
    root = parsed(Run((file,)))
    assert root.get("errors") == "1"


def test_no_finding_is_lost() -> None:
    run = plain_run()
    text = "".join(ElementTree.tostring(parsed(run), encoding="unicode"))
    for item in run.all_findings():
        assert item.message in text


def test_hostile_names_come_back_as_text() -> None:
    text = junit.render(hostile_run(), CATALOGUE)
    assert_clean(text)
    root = parsed(hostile_run())
    assert len(root) == len(HOSTILE_TEXTS)
    expected = {"testsuites", "testsuite", "testcase", "failure", "system-out"}
    assert {element.tag for element in root.iter()} == expected
    markup = next(suite for suite in root if "<script>" in (suite.get("name") or ""))
    assert markup.get("name") == '<script>alert("x")</script>.xml'


def test_what_xml_forbids_is_gone() -> None:
    # XML 1.0 (Fifth Edition), production 2: Char.
    for code in (*range(9), 0x0B, 0x0C, *range(0x0E, 0x20), 0xD800, 0xDFFF, 0xFFFE, 0xFFFF):
        assert chr(code) not in xml_characters(f"a{chr(code)}b")
