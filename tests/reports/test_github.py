"""Workflow commands, decoded as the documentation of such runners describes it."""

from __future__ import annotations

import re
from typing import NamedTuple

from recipe_tools.findings import Confidence, Severity
from recipe_tools.reports import github
from recipe_tools.reports.escaping import printable
from recipe_tools.results import CheckedFile, Run
from tests.reports.cleanliness import assert_clean
from tests.reports.sample_run import CATALOGUE, HOSTILE_TEXTS, finding, hostile_run, plain_run

REMEDY = CATALOGUE["water/source-unknown"].remedy


class Command(NamedTuple):
    """A decoded workflow command."""

    name: str
    properties: dict[str, str]
    data: str


def decoded(line: str) -> Command:
    """Return the command of a line, unescaped: %25 last, as an escaped percent sign was first."""
    found = re.fullmatch(r"::(\w+)(?: ([^:]*))?::(.*)", line)
    assert found is not None, line
    name, listed, data = found.groups()
    properties = {}
    for pair in listed.split(","):
        key, _, value = pair.partition("=")
        for code, letter in (("%3A", ":"), ("%2C", ","), ("%0D", "\r"), ("%0A", "\n")):
            value = value.replace(code, letter)
        properties[key] = value.replace("%25", "%")
    for code, letter in (("%0D", "\r"), ("%0A", "\n"), ("%25", "%")):
        data = data.replace(code, letter)
    return Command(name, properties, data)


def commands(run: Run) -> list[Command]:
    """Return the decoded commands of a run."""
    lines = github.render(run, CATALOGUE).splitlines()
    return [decoded(line) for line in lines if line.startswith("::")]


def test_commands_stand_by_severity_and_say_where() -> None:
    found = commands(plain_run())
    names = [item.name for item in found]
    assert names == ["error", "error", "warning", "notice", "notice"]
    mash = next(item for item in found if item.properties["title"] == "mash-ph/above-range")
    assert mash.properties == {
        "file": "ales/harvest.xml",
        "line": "12",
        "endLine": "12",
        "col": "7",
        "endColumn": "14",
        "title": "mash-ph/above-range",
    }
    torn = next(item for item in found if item.properties["title"] == "file/unreadable")
    assert torn.properties["file"] == "lagers/torn page 50%.json"
    assert torn.properties["line"] == "1"
    handling = next(item for item in found if item.properties["title"].startswith("safety/"))
    assert handling.properties["file"] == "ales/harvest.xml"


def test_columns_are_left_out_where_lines_differ() -> None:
    item = finding("mash-ph/above-range", "x", line=3, end_line=5)
    (only,) = commands(Run((CheckedFile("ales/harvest.xml", "beerxml", "checked", (), (item,)),)))
    assert only.properties["endLine"] == "5"
    assert "col" not in only.properties


def test_accepted_findings_give_no_annotation_but_are_counted() -> None:
    text = github.render(plain_run(), CATALOGUE)
    assert "Sulfate is 432" not in text
    last = text.splitlines()[-1]
    assert not last.startswith("::")
    assert "2 errors, 24 warnings, 2 notes" in last
    assert "1 accepted" in last


def test_totals_are_a_notice_among_the_first_where_not_all_are_shown() -> None:
    warnings = [finding("ions/sulfate-high", f"w{n}", None) for n in range(11)]
    notes = [finding("addition/hydrate-ambiguous", f"n{n}", None) for n in range(30)]
    found = commands(Run((), (*notes, *warnings)))
    first_notice = next(item for item in found if item.name == "notice")
    assert "0 errors, 11 warnings, 30 notes in all" in first_notice.data
    assert [item.name for item in found] == ["warning"] * 11 + ["notice"] * 31


def test_what_is_shown_says_most() -> None:
    """Ten of a level are shown for a step, as the documentation of the service says."""
    writing = [finding("standard/wrong-type", f"s{n}") for n in range(20)]
    water = [finding("water/source-unknown", f"w{n}") for n in range(20)]
    ions = [finding("ions/sulfate-high", "i", confidence=Confidence.LIKELY)]
    mash = [finding("mash-ph/above-range", "m", severity=Severity.WARNING)]
    findings = (*writing, *water, *ions, *mash)
    found = commands(Run((CheckedFile("a.xml", "beerxml", "checked", (), findings),)))
    first = [item.properties["title"] for item in found[:10]]
    assert set(first[:3]) == {"water/source-unknown", "ions/sulfate-high", "mash-ph/above-range"}
    assert "standard/wrong-type" not in first


def test_no_totals_notice_where_all_are_shown() -> None:
    warnings = [finding("ions/sulfate-high", f"w{n}", None) for n in range(10)]
    assert len(commands(Run((), tuple(warnings)))) == 10


def test_hostile_texts_form_no_command_of_their_own() -> None:
    run = hostile_run()
    text = github.render(run, CATALOGUE)
    assert_clean(text)
    found = commands(run)
    assert {item.name for item in found} == {"warning", "notice"}
    open_ones = [item for item in found if item.properties["title"] == "water/source-unknown"]
    assert len(open_ones) == len(HOSTILE_TEXTS)
    assert {item.data for item in open_ones} == {
        f"{printable(hostile)} is unknown.\nTo do: {REMEDY}" for hostile in HOSTILE_TEXTS
    }
    assert {item.properties["file"] for item in open_ones} == {
        printable(file.path) for file in run.files
    }
