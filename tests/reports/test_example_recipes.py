"""Every report on the recipes of `examples/`, with the rules as they are declared."""

from __future__ import annotations

import csv
import functools
import io
import json
from typing import Any
from xml.etree import ElementTree

import pytest
from jsonschema import Draft7Validator
from lxml import html

from recipe_tools.checking import check_bytes
from recipe_tools.checking.checklist import catalogue
from recipe_tools.config import Options
from recipe_tools.findings import find
from recipe_tools.reports import REPORTS, render
from recipe_tools.results import Run
from tests.reports.cleanliness import assert_clean
from tests.reports.code_scanning import complaints
from tests.standards import REPOSITORY, require_standards

EXAMPLES = REPOSITORY / "examples"


@functools.cache
def example_run() -> Run:
    """Return the run over all example recipes."""
    paths = sorted(path for path in EXAMPLES.rglob("*") if path.suffix in (".xml", ".json"))
    assert paths
    options = Options()
    return Run(
        tuple(
            check_bytes(path.read_bytes(), path.relative_to(EXAMPLES).as_posix(), options)
            for path in paths
        )
    )


def report(name: str) -> str:
    """Return the report on the example recipes in a format."""
    return render(name, example_run(), catalogue())


@pytest.mark.parametrize("name", REPORTS)
def test_every_report_is_clean_and_the_same_each_time(name: str) -> None:
    text = report(name)
    assert_clean(text, allowed="\r\n" if name == "csv" else "\n")
    assert text.endswith("\n")
    assert text == report(name)


def test_the_sarif_log_with_all_declared_rules_is_valid() -> None:
    schema = json.loads(
        require_standards("sarif-2.1.0", "sarif-schema-2.1.0.json").read_text(encoding="utf-8")
    )
    every = [
        find(rule.id, rule.summary)._replace(severity=rule.severity)
        for rule in catalogue().values()
    ]
    text = render("sarif", example_run()._replace(findings=tuple(every)), catalogue())
    log = json.loads(text)
    assert [error.message for error in Draft7Validator(schema).iter_errors(log)] == []
    assert complaints(text) == []
    assert len(log["runs"][0]["tool"]["driver"]["rules"]) == len(catalogue())


def test_every_format_counts_the_same() -> None:
    run = example_run()
    counts = {level.word: count for level, count in run.counts().items()}
    assert sum(counts.values()) > 0
    properties = json.loads(report("sarif"))["runs"][0]["properties"]
    assert properties["findings"] == counts
    assert json.loads(report("json"))["summary"]["findings"] == counts
    rows = list(csv.DictReader(io.StringIO(report("csv"), newline="")))
    for word, total in counts.items():
        assert sum(int(row[f"{word}s"]) for row in rows) == total
    page: Any = html.document_fromstring(report("html"))
    totals = [
        int(item.text_content().split()[0]) for item in page.xpath("//ul[@class='totals']/li")
    ]
    assert totals == list(counts.values())
    listed = {
        word: len(page.xpath(f"//ul[@class='findings']/li[@class='{word}']")) for word in counts
    }
    assert listed == counts


def test_every_recipe_has_its_sheet_and_its_pictures() -> None:
    page: Any = html.document_fromstring(report("html"))
    articles = page.xpath("//article")
    assert len(articles) == example_run().recipe_count
    for file in example_run().files:
        for checked in file.recipes:
            (article,) = [
                item for item in articles if item[0].text_content() == checked.recipe.name
            ]
            assert checked.day is not None
            titles = {title.text for title in article.xpath(".//svg/title")}
            assert ("Predicted mash pH" in titles) == (checked.day.prediction is not None)
    ids = page.xpath("//@id")
    assert len(ids) == len(set(ids))
    assert {link[1:] for link in page.xpath("//@href")} <= set(ids)


def test_the_junit_document_reads_back() -> None:
    root = ElementTree.fromstring(report("junit"))
    assert len(root) == len(example_run().files)
    assert int(root.get("tests", "")) == len(root.findall(".//testcase"))
