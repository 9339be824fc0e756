"""One run over good, broken and hostile files, all reports at once, each read back by a parser.

The parsers are those of the standard library, lxml, cmark-gfm, and the published schemas; none is
ours.
"""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import jsonschema
import pytest
from lxml import etree, html

from recipe_tools import cli
from recipe_tools.reports import REPORTS
from recipe_tools.reports.escaping import printable
from recipe_tools.rules.examples import PLAIN_RECIPE, document, dose, merge_patch, more_additions
from recipe_tools.schema_files import schema_text
from tests.reports.cleanliness import assert_clean, texts_in
from tests.reports.code_scanning import complaints
from tests.reports.sample_run import HOSTILE_TEXTS
from tests.reports.test_github import decoded
from tests.standards import REPOSITORY, require_standards

FOLDERS = ("examples", "files", "hostile")
LONGEST_FILE_NAME = 80
SHAPES = REPOSITORY / "tests" / "reports" / "shapes"
CONFIGURATIONS = {f"examples/{name}/recipe-tools.toml" for name in ("club", "brew-days")}
GYPSUM = "Gypsum (calcium sulfate dihydrate)"


def recipe_named(name: str) -> bytes:
    """Return a recipe with an error in which every free text is the same hostile one."""
    recipe = merge_patch(PLAIN_RECIPE, {"name": name, "author": name, "notes": name})
    recipe["style"] = {**recipe["style"], "name": name}
    recipe = merge_patch(recipe, more_additions(dose(name, 4, "kg"), dose(GYPSUM, 4, "kg")))
    # Escapes, as nothing else brings lone surrogates and controls into a file.
    return json.dumps({"beerjson": {"version": 1.0, "recipes": [recipe]}}).encode("ascii")


def hostile_files(folder: Path) -> None:
    """Write recipes with hostile names into files with hostile names."""
    folder.mkdir()
    for place, text in enumerate(HOSTILE_TEXTS):
        name = f"{text[:LONGEST_FILE_NAME]}.{place}.json".replace("/", "_").replace("\0", "")
        (folder / os.fsdecode(name.encode("utf-8", "replace"))).write_bytes(recipe_named(text))
    (folder / os.fsdecode(b"caf\xe9.json")).write_bytes(document(PLAIN_RECIPE))
    (folder / "torn.xml").write_text("<RECIPES><RECIPE>", "utf-8")
    (folder / "empty.json").touch()
    os.mkfifo(folder / "pipe.json")
    (folder / "link.json").symlink_to(REPOSITORY / "pyproject.toml")


@pytest.fixture(scope="module")
def reports(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, str]]:
    """Return the report of one run in every format, as written with ``--output``."""
    here = tmp_path_factory.mktemp("here")
    shutil.copytree(REPOSITORY / "examples", here / "examples")
    shutil.copytree(REPOSITORY / "tests" / "files", here / "files")
    hostile_files(here / "hostile")
    before = Path.cwd()
    os.chdir(here)
    try:
        outputs = [f"--output={name}={name}.out" for name in REPORTS]
        code = cli.run(["check", *FOLDERS, "--verbose", "--today=2026-01-01", *outputs])
    finally:
        os.chdir(before)
    assert code == 3
    yield {name: (here / f"{name}.out").read_bytes().decode("utf-8") for name in REPORTS}


@pytest.fixture(scope="module")
def report(reports: dict[str, str]) -> Any:
    """Return the JSON report: what the others are compared with."""
    return json.loads(reports["json"])


@pytest.mark.parametrize("name", REPORTS)
def test_no_report_carries_what_hides_or_reorders_text(name: str, reports: dict[str, str]) -> None:
    assert_clean(reports[name], allowed="\r\n" if name == "csv" else "\n")


def test_the_json_report_keeps_to_its_schema(report: Any) -> None:
    validator = jsonschema.Draft202012Validator(json.loads(schema_text("report.schema.json")))
    assert [error.message for error in validator.iter_errors(report)] == []
    assert report["summary"]["not_checked"] > 2
    folders = {file["path"].partition("/")[0] for file in report["files"]}
    assert folders == set(FOLDERS)
    assert not any(file["path"].startswith("/") for file in report["files"])


def test_the_sarif_log_is_valid_and_holds_every_finding(
    reports: dict[str, str], report: Any
) -> None:
    schema = json.loads(
        require_standards("sarif-2.1.0", "sarif-schema-2.1.0.json").read_text("utf-8")
    )
    log = json.loads(reports["sarif"])
    validator = jsonschema.Draft7Validator(schema, format_checker=jsonschema.FormatChecker())
    assert [error.message for error in validator.iter_errors(log)] == []
    (run,) = log["runs"]
    marks = [item.get("partialFingerprints") for item in run["results"]]
    assert len(marks) == len(report["findings"])
    unread = {item["path"] for item in report["files"] if item["status"] == "not_checked"}
    notes = run["invocations"][0]["toolExecutionNotifications"]
    assert len(notes) >= len(unread)
    for text in texts_in(log):
        assert_clean(text, allowed="\n")


def test_code_scanning_takes_the_log(reports: dict[str, str]) -> None:
    assert complaints(reports["sarif"]) == []


def test_the_code_quality_report_lists_what_is_open_once(
    reports: dict[str, str], report: Any
) -> None:
    entries = json.loads(reports["gitlab"])
    shape = json.loads((SHAPES / "gitlab.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator(shape).validate(entries)
    # Entries with one fingerprint would be shown once.
    assert len({entry["fingerprint"] for entry in entries}) == len(entries)
    still_open = [item for item in report["findings"] if item["suppressed"] is None]
    assert len(entries) == len(still_open)
    assert Counter(entry["check_name"] for entry in entries) == Counter(
        item["rule"] for item in still_open
    )
    paths = {printable(file["path"]) for file in report["files"]}
    # What a configuration holds in vain stands there.
    own = {path for path in paths | CONFIGURATIONS if not path.endswith("/")}
    assert {entry["location"]["path"] for entry in entries} <= own
    for text in texts_in(entries):
        assert_clean(text)


def test_the_review_report_keeps_to_its_shape(reports: dict[str, str], report: Any) -> None:
    document = json.loads(reports["rdjson"])
    shape = json.loads((SHAPES / "rdjson.schema.json").read_text("utf-8"))
    jsonschema.Draft4Validator(shape).validate(document)
    assert Counter(item["code"]["value"] for item in document["diagnostics"]) == Counter(
        item["rule"] for item in report["findings"] if item["suppressed"] is None
    )
    for text in texts_in(document):
        assert_clean(text, allowed="\n")


def test_the_junit_document_is_valid(reports: dict[str, str]) -> None:
    schema = etree.XMLSchema(file=str(SHAPES / "junit.xsd"))
    schema.assertValid(etree.fromstring(reports["junit"].encode("utf-8")))


def test_the_junit_document_counts_what_it_holds(reports: dict[str, str], report: Any) -> None:
    root = ElementTree.fromstring(reports["junit"])
    for kind, tag in (("tests", "testcase"), ("failures", "failure"), ("errors", "error")):
        assert int(root.get(kind, "")) == len(root.findall(f".//{tag}"))
    assert len(root.findall("testsuite")) == len(report["files"]) + 1


def test_every_line_for_a_runner_is_a_command_or_the_summary(
    reports: dict[str, str], report: Any
) -> None:
    *lines, summary = reports["github"].splitlines()
    commands = [decoded(line) for line in lines]
    assert {command.name for command in commands} == {"error", "warning", "notice"}
    places = {command.properties["file"] for command in commands if "file" in command.properties}
    assert places <= {printable(file["path"]) for file in report["files"]}
    assert not summary.startswith("::")


def test_the_comment_fits_and_renders_as_tables(reports: dict[str, str]) -> None:
    reason = "cmarkgfm is not installed; it belongs to the test extra"
    cmark = pytest.importorskip("cmarkgfm", reason=reason)
    assert len(reports["markdown"].encode("utf-16-le")) // 2 <= 65_536
    page = html.fragment_fromstring(
        cmark.github_flavored_markdown_to_html(reports["markdown"]), create_parent=True
    )
    assert len(page.findall(".//table")) >= 2
    tags = {str(element.tag) for element in page.iter() if isinstance(element.tag, str)}
    assert tags <= {"div", "h2", "p", "table", "thead", "tbody", "tr", "th", "td", "code", "strong"}


def test_the_page_holds_no_element_from_a_file(reports: dict[str, str], report: Any) -> None:
    page = html.document_fromstring(reports["html"])
    assert len(page.findall(".//script")) == 1
    assert page.xpath("//img | //iframe | //object | //embed | //base") == []
    assert page.xpath("//@*[starts-with(name(), 'on') or name() = 'style']") == []
    recipes = sum(len(file["recipes"]) for file in report["files"])
    assert len(page.findall(".//article")) == recipes


def test_the_table_has_a_row_for_every_recipe_and_no_formula(
    reports: dict[str, str], report: Any
) -> None:
    rows = list(csv.DictReader(io.StringIO(reports["csv"], newline=""), strict=True))
    assert sum(bool(row["recipe_index"]) for row in rows) == report["summary"]["recipes"]
    for word, column in (("error", "errors"), ("warning", "warnings"), ("note", "notes")):
        assert sum(int(row[column]) for row in rows) == report["summary"]["findings"][word]
    for row in rows:
        assert not [
            row[name]
            for name in ("path", "recipe", "style")
            if row[name].lstrip()[:1] in tuple("=+-@")
        ]


def test_the_text_names_every_file(reports: dict[str, str], report: Any) -> None:
    lines = set(reports["text"].splitlines())
    for file in report["files"]:
        assert any(line.startswith(printable(file["path"])) for line in lines)
