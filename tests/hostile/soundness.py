"""What must hold for any bytes at all: the invariants that property tests and fuzzing share."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Mapping
from typing import Any
from xml.etree import ElementTree

from lxml import html

from recipe_tools.checking import CheckedFile, Run, catalogue, check_bytes
from recipe_tools.config import Options
from recipe_tools.findings import Finding, Severity
from recipe_tools.formats import positions
from recipe_tools.formats.members import members
from recipe_tools.limits import Limits
from recipe_tools.reports import REPORTS, render
from recipe_tools.reports.escaping import csv_cell
from tests.reports.cleanliness import assert_clean, texts_in
from tests.reports.code_scanning import complaints

MACHINE = tuple(name for name in REPORTS if name != "text")


def assert_sound(data: bytes, options: Options | None = None, *, reports: bool = True) -> Run:
    """Check the bytes twice and fail where anything that must always hold does not."""
    options = Options() if options is None else options
    first = check_bytes(data, "sent/recipe", options)
    assert_accounted_for(first, data, options)
    assert_placed(first, data)
    again = check_bytes(bytes(bytearray(data)), "sent/recipe", options)
    run = Run((first,))
    if reports:
        assert_reports(run, Run((again,)))
    else:
        assert render("json", run, catalogue()) == render("json", Run((again,)), catalogue())
        assert_json(render("json", run, catalogue()), run)
    return run


def assert_accounted_for(file: CheckedFile, data: bytes, options: Options) -> None:
    """Fail where a part of the program gave up, or where nothing says why a file has no recipe."""
    for item in file.findings:
        assert not item.rule.startswith("internal/"), item.message
        assert item.message.strip()
        assert item.severity is not None and item.rule in catalogue()
        assert_finite(item.values, item.rule)
    if file.status != "checked":
        assert file.findings, f"{file.status} without a finding"
    elif not file.recipes and not file.findings:
        # A list of hops or water profiles is a file in order; then the standard has looked at it.
        assert file.format is not None and members(data, file.format)
    if any(catalogue()[item.rule].not_checked for item in file.findings):
        assert file.incomplete


def assert_placed(file: CheckedFile, data: bytes) -> None:
    """Fail where a finding points outside the file, or the bytes of its place do."""
    pointers = {item.pointer for item in file.findings if item.pointer}
    for item in file.findings:
        if item.line is not None:
            assert item.line >= 1 and (item.column is None or item.column >= 1)
            assert item.line <= len(data) + 1
            if item.end_line is not None and item.column is not None:
                assert (item.end_line, item.end_column or 0) >= (item.line, item.column)
    if file.format is not None and pointers:
        for value in positions.written(data, file.format, pointers).values():
            assert value.text


def assert_reports(run: Run, again: Run) -> None:
    """Fail where a report is not the same for the same input, or its format does not parse it."""
    for name in REPORTS:
        text = render(name, run, catalogue())
        assert text == render(name, again, catalogue()), f"{name} differs between two runs"
        try:
            assert_clean(text, allowed="\n\r" if name == "csv" else "\n")
        except AssertionError:
            raise AssertionError(f"{name} is not clean") from None
        CHECKS[name](text, run)


def _refused(word: str) -> float:
    raise AssertionError(f"{word} in a report")


def strict_json(text: str) -> Any:
    """Parse JSON as RFC 8259 has it: neither NaN nor Infinity, no member twice."""

    def members(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        assert len(dict(pairs)) == len(pairs)
        return dict(pairs)

    return json.loads(text, parse_constant=_refused, object_pairs_hook=members)


def assert_json(text: str, run: Run) -> None:
    """Fail unless the report lists every file, recipe and finding with finite numbers."""
    report = strict_json(text)
    assert_finite(report)
    assert [file["path"] for file in report["files"]] == [file.path for file in run.files]
    assert [len(file["recipes"]) for file in report["files"]] == [
        len(file.recipes) for file in run.files
    ]
    assert len(report["findings"]) == len(list(run.all_findings()))


def assert_sarif(text: str, run: Run) -> None:
    """Fail unless the report is JSON with one result for each finding, each rule declared."""
    report = strict_json(text)
    (only,) = report["runs"]
    assert complaints(text) == []
    declared = {rule["id"] for rule in only["tool"]["driver"]["rules"]}
    results = only.get("results", [])
    assert len(results) == len(list(run.all_findings()))
    assert {result["ruleId"] for result in results} <= declared


def assert_gitlab(text: str, run: Run) -> None:
    """Fail unless there is one entry, known by itself, for each open finding."""
    entries = strict_json(text)
    assert len({entry["fingerprint"] for entry in entries}) == len(entries)
    assert len(entries) == sum(item.suppressed is None for item in run.all_findings())


def assert_rdjson(text: str, run: Run) -> None:
    """Fail unless there is one diagnostic for each open finding."""
    diagnostics = strict_json(text)["diagnostics"]
    assert len(diagnostics) == sum(item.suppressed is None for item in run.all_findings())


def assert_junit(text: str, run: Run) -> None:
    """Fail unless the report is well-formed XML."""
    assert ElementTree.fromstring(text).tag in ("testsuites", "testsuite")
    del run


def assert_csv(text: str, run: Run) -> None:
    """Fail unless every row fills the heading, starts no formula, and the counts add up."""
    rows = assert_csv_text(text)
    assert {row[0] for row in rows[1:]} >= {csv_cell(file.path) for file in run.files}
    for severity, column in ((3, "errors"), (2, "warnings"), (1, "notes")):
        place = rows[0].index(column)
        assert sum(int(row[place] or 0) for row in rows[1:]) == run.counts()[Severity(severity)]


def assert_csv_text(text: str) -> list[list[str]]:
    """Fail unless every row fills the heading and starts no formula; return the rows."""
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert len({len(row) for row in rows}) == 1
    for cell in (cell for row in rows[1:] for cell in row):
        if not _is_number(cell):
            assert cell.lstrip()[:1] not in ("=", "+", "-", "@", "\t", "\r"), cell
    return rows


def _is_number(cell: str) -> bool:
    try:
        return math.isfinite(float(cell))
    except ValueError:
        return False


def assert_github(text: str, run: Run | None = None) -> None:
    """Fail where a line that looks like a workflow command is not one of the three for findings."""
    for line in text.splitlines():
        if line.lstrip().startswith("::"):
            assert line.startswith(("::error ", "::warning ", "::notice ")), line
    del run


def assert_markdown(text: str, run: Run) -> None:
    """Fail where the text holds a tag a host would draw."""
    assert "<script" not in text.lower()
    del run


def assert_html(text: str, run: Run | None = None) -> None:
    """Fail where the page is not whole, runs something or leads out of itself."""
    page = html.document_fromstring(text)
    assert text.rstrip().endswith("</html>")
    assert not page.xpath("//script[@src] | //iframe | //object | //embed | //base | //link[@href]")
    for element in page.iter():
        if not isinstance(element.tag, str):
            continue
        for name, value in element.items():
            assert not name.lower().startswith("on"), f"{element.tag} {name}"
            if name in ("href", "src", "action", "xlink:href"):
                assert value.startswith(("#", "data:image/")), value
    del run


def assert_text(text: str, run: Run) -> None:
    """Fail where nothing is said."""
    assert text.strip()
    del run


CHECKS: Mapping[str, Any] = {
    "text": assert_text,
    "json": assert_json,
    "sarif": assert_sarif,
    "junit": assert_junit,
    "csv": assert_csv,
    "github": assert_github,
    "gitlab": assert_gitlab,
    "rdjson": assert_rdjson,
    "markdown": assert_markdown,
    "html": assert_html,
}


def assert_finite(value: Any, name: str = "value") -> None:
    """Fail where a number within a value is not finite, or a text is not fit for UTF-8."""
    if isinstance(value, float):
        assert math.isfinite(value), f"{name} is {value}"
    elif isinstance(value, str):
        value.encode("utf-8")
    elif isinstance(value, Mapping):
        for key, item in value.items():
            assert_finite(item, f"{name}.{key}")
    elif isinstance(value, list | tuple):
        for item in value:
            assert_finite(item, name)


SMALL = Options(
    limits=Limits(
        max_bytes=1 << 20,
        max_depth=50,
        max_recipes=50,
        max_additions=200,
        max_findings_per_rule=20,
    )
)
"""Limits that inputs of a few kilobytes can reach."""


def findings_of(run: Run) -> list[Finding]:
    """Return the findings of a run as a list."""
    return list(run.all_findings())


__all__ = [
    "CHECKS",
    "MACHINE",
    "SMALL",
    "assert_accounted_for",
    "assert_clean",
    "assert_csv_text",
    "assert_finite",
    "assert_reports",
    "assert_sound",
    "findings_of",
    "strict_json",
    "texts_in",
]
