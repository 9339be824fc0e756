"""The sums over an archive, worked out a second time from the report of `check` and the files."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from pathlib import Path
from statistics import median
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from recipe_tools.recipe import IONS
from recipe_tools.schema_files import schema_text
from tests.archive.conftest import renamed
from tests.benchmarks import generated_archive
from tests.cli.conftest import Run

COUNT = 160


@pytest.fixture
def archive(here: Path) -> Path:
    """Generated recipes, varied enough for every sum."""
    generated_archive.write(here / "club", COUNT, seed=2)
    return here / "club"


@pytest.fixture
def checked(run: Run, archive: Path) -> Any:
    return run("check", "club", "--format", "json").json


@pytest.fixture
def audited(run: Run, archive: Path) -> Any:
    return run("audit", "club", "--format", "json").json


def test_the_report_follows_its_schema(audited: Any, run: Run) -> None:
    validator = Draft202012Validator(json.loads(schema_text("archive.schema.json")))
    Draft202012Validator.check_schema(validator.schema)
    assert [error.message for error in validator.iter_errors(audited)] == []
    Path("old.json").write_text(json.dumps(audited))
    Path("club/new.json").write_bytes(renamed("Reedbank Wheat"))
    again = run("audit", "club", "--format", "json", "--verbose", "--against", "old.json").json
    assert [error.message for error in validator.iter_errors(again)] == []


def test_counts_are_those_of_check(checked: Any, audited: Any) -> None:
    for name in ("files", "recipes", "not_checked", "skipped", "findings"):
        assert audited["summary"][name] == checked["summary"][name], name
    by_rule = Counter(
        (item["rule"], item["severity"]) for item in checked["findings"] if item["path"]
    )
    assert {
        (item["rule"], item["severity"]): item["findings"] for item in audited["rules"]
    } == by_rule


def test_findings_are_those_of_check(checked: Any, audited: Any) -> None:
    def named(path: str, item: Any) -> tuple[Any, ...]:
        keys = ("rule", "severity", "confidence", "message", "recipe", "pointer", "line")
        return (path, *(item[key] for key in keys), item["column"], item["fingerprint"])

    listed = [named(file["path"], item) for file in audited["files"] for item in file["findings"]]
    expected = [named(item["path"], item) for item in checked["findings"] if item["path"]]
    assert sorted(map(str, listed)) == sorted(map(str, expected))
    run_wide = [(item["rule"], item["message"]) for item in checked["findings"] if not item["path"]]
    assert [(item["rule"], item["message"]) for item in audited["findings"]] == run_wide


def test_groups_add_up(archive: Path, audited: Any) -> None:
    brewers: Counter[str | None] = Counter()
    years: Counter[int | None] = Counter()
    for path in archive.rglob("recipe-*.json"):
        recipe = json.loads(path.read_bytes())["beerjson"]["recipes"][0]
        brewers[recipe["author"]] += 1
        years[int(recipe["created"][:4])] += 1
    for path in archive.rglob("recipe-*.xml"):
        text = path.read_text("utf-8")
        brewers[text.split("<BREWER>")[1].split("<")[0]] += 1
        years[int(text.split("<DATE>")[1][:4])] += 1
    assert {item["name"]: item["recipes"] for item in audited["brewers"]} == brewers
    assert {item["name"]: item["recipes"] for item in audited["years"]} == years
    in_recipes = Counter(
        item["severity"]
        for file in audited["files"]
        for item in file["findings"]
        if item["recipe"] is not None
    )
    for level in ("error", "warning", "note"):
        for name in ("families", "brewers", "years"):
            assert sum(item["findings"][level] for item in audited[name]) == in_recipes[level]


def test_distributions_are_those_of_the_recipes(audited: Any) -> None:
    recipes = [recipe for file in audited["files"] for recipe in file["recipes"]]
    by_quantity = {item["quantity"]: item for item in audited["distributions"]}
    mashed = [item for item in recipes if item["mash_ph"]]
    judged = [item for item in mashed if item["water_known"]]
    assert 0 < len(judged) < len(mashed)
    assert by_quantity["mash_ph"]["water_unknown"] == len(mashed) - len(judged)
    values = {"mash_ph": [item["mash_ph"]["predicted"] for item in judged]}
    for ion in IONS:
        levels = (
            item["ions_mg_l"][ion]
            for item in recipes
            if item["water_known"] and item["against_family"].get(ion) != "exempt"
        )
        values[ion] = [level for level in levels if level is not None]
    for quantity, found in values.items():
        spread = by_quantity[quantity]
        histogram = spread["histogram"]
        assert spread["count"] == len(found)
        assert sum(histogram["counts"]) + histogram["under"] + histogram["beyond"] == len(found)
        if found:
            step = histogram["step"] / 2
            assert spread["quartiles"][1] == pytest.approx(median(found), abs=step)
            third = histogram["start"] + 3 * histogram["step"]
            below = sum(value < third - 1e-6 for value in found)
            assert histogram["under"] + sum(histogram["counts"][:3]) == below
    for ion in IONS:
        verdicts = Counter(
            item["against_family"].get(ion) for item in recipes if item["water_known"]
        )
        spread = by_quantity[ion]
        assert [spread[side] for side in ("below", "within", "above")] == [
            verdicts[side] for side in ("below", "within", "above")
        ]


FORM = ("file/", "standard/", "water/source-unknown", "water/source-all-zero")
"""What is said of the form of a file, and of water nobody knows, makes no recipe a bad one."""


def test_the_worst_come_first(audited: Any) -> None:
    listed = [(item["trouble"]["error"], item["trouble"]["warning"]) for item in audited["worst"]]
    every = []
    for file in audited["files"]:
        for recipe in file["recipes"]:
            counts = Counter(
                item["severity"]
                for item in file["findings"]
                if item["recipe"] == recipe["index"] and not item["rule"].startswith(FORM)
            )
            every.append((counts["error"], counts["warning"]))
    troubled = sorted((item for item in every if any(item)), reverse=True)
    assert audited["summary"]["troubled"] == len(troubled)
    # A beer is listed by its worst version.
    assert listed == sorted(listed, reverse=True)
    left = Counter(troubled)
    left.subtract(listed)
    assert min(left.values()) == 0
    assert sum(left.values()) <= sum(item["versions"] - 1 for item in audited["worst"])


def test_the_table_has_a_row_for_each_recipe_and_adds_up(run: Run, audited: Any) -> None:
    text = run("audit", "club", "--format", "csv").text
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert sum(row["recipe_index"] != "" for row in rows) == audited["summary"]["recipes"]
    for column, level in (("errors", "error"), ("warnings", "warning"), ("notes", "note")):
        assert sum(int(row[column]) for row in rows) == audited["summary"]["findings"][level]
    *of_files, of_run = rows
    assert of_run["path"] == ""
    assert {row["path"] for row in of_files} == {file["path"] for file in audited["files"]}
    assert {row["status"] for row in of_files} == {"checked", "not_checked"}


@pytest.mark.parametrize(
    ("written", "year"),
    [
        ("2019-03-02", 2019),
        ("12 Mar 2021", 2021),
        ("03/12/1998", 1998),
        ("brewed in 20191", None),
        ("", None),
    ],
)
def test_the_year_is_the_one_written(run: Run, here: Path, written: str, year: int | None) -> None:
    Path("one.json").write_bytes(renamed("Heron", created=written))
    (file,) = run("audit", "one.json", "--format", "json").json["files"]
    assert file["recipes"][0]["year"] == year
