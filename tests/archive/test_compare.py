"""What is new, gone or changed since an earlier report."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.rules.examples import PLAIN_RECIPE, document, dose, merge_patch, more_additions
from tests.archive.conftest import FAULTY, PLAIN, renamed, write
from tests.cli.conftest import Run


def gypsum(kilograms: float) -> bytes:
    salt = dose("Gypsum (calcium sulfate dihydrate)", kilograms, "kg")
    return document(merge_patch(PLAIN_RECIPE, more_additions(salt)))


def audit_twice(run: Run, club: Path, before: dict[str, bytes], after: dict[str, bytes]) -> Any:
    """Return the comparison of two states of an archive."""
    write(club, before)
    Path("old.json").write_bytes(run("audit", "club", "--format", "json").out)
    for path in before:
        (club / path).unlink()
    write(club, after)
    return run("audit", "club", "--format", "json", "--against", "old.json").json["comparison"]


def test_nothing_changes_where_nothing_has_changed(run: Run, here: Path) -> None:
    files = {"a.json": FAULTY, "b.json": PLAIN}
    found = audit_twice(run, here / "club", files, files)
    assert {name: found[name] for name in ("new", "gone", "changed", "new_files")} == {
        "new": 0, "gone": 0, "changed": 0, "new_files": 0
    }  # fmt: skip
    assert found["changes"] == found["recipe_changes"] == []
    assert found["recipes"].pop("unchanged") == len(files)
    assert not any(found["recipes"].values())


def test_new_and_gone_findings_change_places_when_time_runs_backwards(run: Run, here: Path) -> None:
    there = audit_twice(run, here / "club", {"a.json": PLAIN}, {"a.json": FAULTY})
    back = audit_twice(run, here / "club", {"a.json": FAULTY}, {"a.json": PLAIN})
    assert there["new"] == back["gone"] > 0
    assert there["gone"] == back["new"]
    new = {item["rule"] for item in there["changes"] if item["change"] == "new"}
    assert "addition/unit-slip" in new
    assert new == {item["rule"] for item in back["changes"] if item["change"] == "gone"}


def test_a_finding_with_another_value_has_changed(run: Run, here: Path) -> None:
    found = audit_twice(run, here / "club", {"a.json": gypsum(4)}, {"a.json": gypsum(5)})
    slips = [item for item in found["changes"] if item["rule"] == "addition/unit-slip"]
    assert [item["change"] for item in slips] == ["changed"]
    assert slips[0]["was"].startswith("error: ")
    assert slips[0]["was"] != f"error: {slips[0]['message']}"


def test_a_severity_that_is_set_otherwise_is_a_change(run: Run, here: Path) -> None:
    write(here / "club", {"a.json": FAULTY})
    Path("old.json").write_bytes(run("audit", "club", "--format", "json").out)
    Path("recipe-tools.toml").write_text('[rules."addition/unit-slip"]\nseverity = "note"\n')
    found = run("audit", "club", "--format", "json", "--against", "old.json").json["comparison"]
    assert [(item["change"], item["severity"]) for item in found["changes"]] == [
        ("changed", "note")
    ]


def test_files_come_and_go(run: Run, here: Path) -> None:
    found = audit_twice(
        run, here / "club", {"a.json": FAULTY, "b.json": PLAIN}, {"b.json": PLAIN, "c.json": FAULTY}
    )
    assert (found["new_files"], found["gone_files"]) == (1, 1)
    assert found["new"] == found["gone"] > 0
    assert {item["path"] for item in found["changes"]} == {"club/a.json", "club/c.json"}


def test_of_a_file_that_is_torn_nothing_is_gone(run: Run, here: Path) -> None:
    found = audit_twice(run, here / "club", {"a.json": FAULTY}, {"a.json": FAULTY[:200]})
    assert [(item["change"], item["rule"]) for item in found["changes"]] == [
        ("new", "file/unreadable")
    ]


def test_a_report_laid_out_anew_is_read_as_well(run: Run, here: Path) -> None:
    write(here / "club", {"a.json": FAULTY, "b.json": renamed("Ferry")})
    report = run("audit", "club", "--format", "json").json
    Path("old.json").write_text(json.dumps(report, indent=3))
    (here / "club" / "b.json").unlink()
    found = run("audit", "club", "--format", "json", "--against", "old.json").json["comparison"]
    assert (found["new"], found["changed"], found["gone_files"]) == (0, 0, 1)


def test_the_text_report_says_what_has_changed(run: Run, here: Path) -> None:
    write(here / "club", {"a.json": PLAIN})
    Path("old.json").write_bytes(run("audit", "club", "--format", "json").out)
    write(here / "club", {"a.json": FAULTY})
    text = run("audit", "club", "--against", "old.json").text
    assert text.startswith("0 of 1 recipe newly out of the window or past a limit, 1 worse")
    assert "Findings since the earlier report" in text
    whole = run("audit", "club", "--against", "old.json", "--verbose").text
    assert "new      error    addition/unit-slip" in whole


@pytest.mark.parametrize(
    "content",
    [
        b"", b"{}", b"[1]", b"not json", b'{"kind": "other", "files": []}', b'"files": [\n{',
        b'"files": [\n{"path": 1}\n', b'{"kind": "archive", "files": [{"path": "\\ud800"}]}',
        b"\xff\xfe", b"[" * 100_000,
    ],
)  # fmt: skip
def test_what_is_no_report_is_wrong_use(run: Run, here: Path, content: bytes) -> None:
    write(here / "club", {"a.json": PLAIN})
    Path("old.json").write_bytes(content)
    done = run("audit", "club", "--format", "json", "--against", "old.json")
    assert (done.code, done.out) == (2, b"")
    assert "old.json is not the JSON report of an audit" in done.err


@pytest.mark.parametrize(
    "recipe", ["1e999", "NaN", "-1", "1.5", "true", '"0"', str(2**70), "[]", '{"a": 1}']
)
@pytest.mark.parametrize("indent", [None, 1])
def test_a_recipe_at_no_place_is_wrong_use(
    run: Run, here: Path, recipe: str, indent: int | None
) -> None:
    write(here / "club", {"a.json": FAULTY})
    report = run("audit", "club", "--format", "json")
    text = report.text if indent is None else json.dumps(report.json, indent=indent)
    spoilt = re.sub(r'"recipe": ?0\b', f'"recipe": {recipe}', text)
    assert spoilt != text
    Path("old.json").write_text(spoilt)
    done = run("audit", "club", "--format", "json", "--against", "old.json")
    assert (done.code, done.out) == (2, b"")


@pytest.mark.parametrize("path", ["1", "null", "[]", "NaN", '"\\ud800"'])
def test_a_path_that_is_no_text_is_wrong_use(run: Run, here: Path, path: str) -> None:
    write(here / "club", {"a.json": PLAIN})
    text = run("audit", "club", "--format", "json").text
    spoilt = text.replace('"path": "club/a.json"', f'"path": {path}')
    assert spoilt != text
    Path("old.json").write_text(spoilt)
    assert run("audit", "club", "--against", "old.json").code == 2


def test_a_missing_report_is_wrong_use(run: Run, here: Path) -> None:
    write(here / "club", {"a.json": PLAIN})
    done = run("audit", "club", "--against", "nowhere.json")
    assert (done.code, done.out) == (2, b"")
