"""The report for programs, against its schema."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from syrupy.assertion import SnapshotAssertion

from recipe_tools import __version__
from recipe_tools.checking import check_bytes
from recipe_tools.recipe import IONS
from recipe_tools.reports import json_report
from recipe_tools.results import CheckedRecipe, Run
from recipe_tools.rules.examples import PLAIN_RECIPE, document, merge_patch, xml_file
from recipe_tools.schema_files import schema_text
from tests.reports.sample_run import CATALOGUE, hostile_run, plain_run

SCHEMA = json.loads(schema_text("report.schema.json"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)

WATERS_AWAY = {"ingredients": {"water_additions": None}}
MASH_AWAY = {"mash": None}


def written(run: Run) -> Any:
    content = json_report.render(run, CATALOGUE)
    content.encode("utf-8")
    return json.loads(content, parse_constant=lambda name: pytest.fail(f"{name} is no JSON"))


def errors(report: Any) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in VALIDATOR.iter_errors(report)]


def real_run(*contents: bytes) -> Run:
    return Run(tuple(check_bytes(content, f"{n}.x") for n, content in enumerate(contents)))


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_layout(snapshot: SnapshotAssertion) -> None:
    text = json_report.render(plain_run(), CATALOGUE)
    assert text.replace(f'"{__version__}"', '"VERSION"') == snapshot


@pytest.mark.parametrize("make", [plain_run, hostile_run, lambda: Run(())])
def test_reports_keep_to_the_schema(make: Callable[[], Run]) -> None:
    assert errors(written(make())) == []


def test_reports_of_real_files_keep_to_the_schema() -> None:
    run = real_run(
        document(PLAIN_RECIPE),
        document(merge_patch(PLAIN_RECIPE, WATERS_AWAY)),
        document(merge_patch(PLAIN_RECIPE, MASH_AWAY)),
        document({"name": "nothing else"}),
        xml_file(),
        b"no recipe",
    )
    assert errors(written(run)) == []


def test_reports_of_every_example_and_test_file_keep_to_the_schema() -> None:
    root = Path(__file__).resolve().parents[2]
    paths = [
        path
        for folder in ("examples", "tests/files")
        for path in sorted((root / folder).rglob("*"))
        if path.suffix in (".xml", ".json")
    ]
    assert len(paths) > 100
    for path in paths:
        run = Run((check_bytes(path.read_bytes(), path.relative_to(root).as_posix()),))
        assert errors(written(run)) == [], path


def test_the_schema_would_notice() -> None:
    report = written(plain_run())
    report["files"][0]["recipes"][0]["mash_ph"]["predicted"] = "5.4"
    del report["findings"][0]["fingerprint"]
    report["extra"] = 1
    assert len(errors(report)) == 3


def test_a_recipe_without_water_has_no_ions() -> None:
    run = real_run(document(merge_patch(PLAIN_RECIPE, WATERS_AWAY)))
    water = written(run)["files"][0]["recipes"][0]["water"]
    assert water["source"] == {
        "known": False,
        "ions_mg_l": {},
        "alkalinity_meq_l": None,
        "ph": None,
    }
    assert set(water["mash"]["ions_mg_l"]) == set(IONS)
    assert set(water["mash"]["ions_mg_l"].values()) == {None}
    assert water["total"]["sulfate_to_chloride"] is None


def test_potassium_nobody_states_is_null_and_not_zero() -> None:
    water = written(real_run(document(PLAIN_RECIPE)))["files"][0]["recipes"][0]["water"]
    assert water["mash"]["ions_mg_l"]["potassium"] is None
    assert water["mash"]["ions_mg_l"]["calcium"] > 0


def test_contributions_add_up_to_zero() -> None:
    recipe = written(real_run(document(PLAIN_RECIPE)))["files"][0]["recipes"][0]
    assert sum(recipe["mash_ph"]["contributions_meq_kg"].values()) == pytest.approx(0, abs=1e-3)


def test_an_addition_has_grams_or_millilitres() -> None:
    additions = [
        item
        for recipe in written(plain_run())["files"][0]["recipes"]
        for item in recipe["additions"]
    ]
    assert additions
    assert all(("grams" in item) != ("millilitres" in item) for item in additions)


def test_a_computation_that_failed_leaves_nulls() -> None:
    run = real_run(document(PLAIN_RECIPE))
    recipe = run.files[0].recipes[0].recipe
    run = Run((run.files[0]._replace(recipes=(CheckedRecipe(recipe, None),)),))
    report = written(run)
    assert errors(report) == []
    assert report["files"][0]["recipes"][0]["water"] is None


@pytest.mark.parametrize(
    ("value", "expected"),
    [(float("nan"), None), (float("inf"), None), (-0.0, 0.0), (0.123456, 0.1235), (True, True)],
)
def test_numbers_are_rounded_and_finite(value: object, expected: object) -> None:
    assert json.dumps(json_report.plain(value)) == json.dumps(expected)


def test_the_same_run_gives_the_same_bytes() -> None:
    assert json_report.render(plain_run(), CATALOGUE) == json_report.render(plain_run(), CATALOGUE)
