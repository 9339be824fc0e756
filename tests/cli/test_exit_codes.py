"""The exit codes are a contract: 0 clean, 1 findings, 2 wrong use, 3 something was not checked."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from recipe_tools.reports import REPORTS
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    xml_misc,
)
from tests.cli.conftest import Run, xml_recipe

_ACID = more_additions(dose("Lactic acid 80 %", 0.5, "ml", step=1))
ACIDIFIED = (
    ("blonde.json", document(merge_patch(PLAIN_RECIPE, _ACID))),
    ("blonde.xml", xml_recipe(xml_misc("Lactic acid 80 %", "0.0005", "FALSE"))),
)
"""Nothing is wrong with it, but its acid needs goggles and gloves."""

needs_permissions = pytest.mark.skipif(
    os.name != "posix" or os.geteuid() == 0, reason="the superuser may read everything"
)


def test_a_clean_recipe_is_0(run: Run, clean: Path) -> None:
    result = run("check", "clean.json")
    assert (result.code, result.err) == (0, "")


def test_an_error_is_1(run: Run, faulty: Path) -> None:
    assert run("check", "faulty.json").code == 1


@pytest.mark.parametrize("name", REPORTS)
def test_the_code_does_not_depend_on_the_format(
    run: Run, clean: Path, faulty: Path, name: str
) -> None:
    assert run("check", "clean.json", "--format", name).code == 0
    assert run("check", "faulty.json", "--format", name).code == 1
    assert run("check", "faulty.json", "missing.json", "--format", name).code == 3


def test_fail_on_moves_the_threshold(run: Run, faulty: Path) -> None:
    assert run("check", "faulty.json", "--fail-on", "never").code == 0
    assert run("check", "faulty.json", "--fail-on", "error").code == 1


@pytest.mark.parametrize("command", ["check", "audit"])
@pytest.mark.parametrize("written", ACIDIFIED, ids=["beerjson", "beerxml"])
def test_how_to_handle_a_product_never_decides_the_code(
    run: Run, here: Path, command: str, written: tuple[str, bytes]
) -> None:
    name, content = written
    (here / "ales").mkdir()
    (here / "ales" / name).write_bytes(content)
    told = run("check", "ales", "--no-config", "--format", "json", "--fail-on", "note")
    assert {rule.partition("/")[0] for rule in told.rules} == {"safety"}
    assert told.code == 0
    assert run(command, "ales", "--no-config", "--fail-on", "note").code == 0


def test_a_missing_file_is_3_and_listed(run: Run, here: Path) -> None:
    result = run("check", "nothing.xml", "--format", "json")
    assert result.code == 3
    assert result.json["files"][0] == {
        "path": "nothing.xml",
        "format": None,
        "status": "not_checked",
        "recipes": [],
    }
    assert result.rules == ["file/not-opened"]


def test_3_wins_over_1(run: Run, faulty: Path) -> None:
    assert run("check", "faulty.json", "nothing.xml").code == 3


def test_a_folder_without_a_recipe_is_3(run: Run, here: Path) -> None:
    (here / "empty").mkdir()
    result = run("check", "empty", "--format", "json")
    assert result.code == 3
    assert result.rules == ["file/no-recipes"]
    assert result.json["files"][0]["status"] == "not_checked"


@needs_permissions
def test_an_unreadable_file_is_3(run: Run, clean: Path) -> None:
    clean.chmod(0)
    try:
        assert run("check", "clean.json").code == 3
    finally:
        clean.chmod(stat.S_IRUSR | stat.S_IWUSR)


def test_a_file_over_the_limit_is_3(run: Run, clean: Path) -> None:
    result = run("check", "clean.json", "--max-bytes", "100", "--format", "json")
    assert (result.code, result.rules) == (3, ["file/too-large"])


@pytest.mark.parametrize(
    "content", [b"", b"\x1f\x8b\x08\x00", b"PK\x03\x04", b"just words", b"\x00\x01\x02"]
)
def test_a_named_file_that_is_no_recipe_is_3(run: Run, here: Path, content: bytes) -> None:
    (here / "odd.xml").write_bytes(content)
    result = run("check", "odd.xml", "--format", "json")
    assert (result.code, result.rules) == (3, ["file/not-a-recipe"])


@pytest.mark.parametrize("content", [b"<svg/>", b'{"a": 1}', b"[1, 2]"])
def test_a_named_file_with_a_foreign_root_is_3(run: Run, here: Path, content: bytes) -> None:
    (here / "odd.data").write_bytes(content)
    result = run("check", "odd.data", "--format", "json")
    assert (result.code, result.rules) == (3, ["file/not-a-recipe"])
    assert result.json["files"][0]["status"] == "not_checked"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--only", "mash-ph/above-rang"), "mash-ph/above-range"),
        (("--without", "ions/calcium-hihg"), "ions/calcium-high"),
        (("--format", "pdf"), "'json'"),
        (("--output", "pdf=x"), "json"),
        (("--output", "json"), "NAME=FILE"),
        (("--baseline", "nothing.json"), "nothing.json"),
        (("--config", "nothing.toml"), "nothing.toml"),
        (("--water", "nothing.toml"), "nothing.toml"),
        (("--config", "x.toml", "--no-config"), "--no-config"),
        (("--today", "yesterday"), "--today"),
        (("--jobs", "0"), "--jobs"),
        (("--no-such-option",), "--no-such-option"),
    ],
)
def test_wrong_use_is_2_with_nothing_on_standard_output(
    run: Run, clean: Path, arguments: tuple[str, ...], said: str
) -> None:
    result = run("check", "clean.json", *arguments)
    assert (result.code, result.out) == (2, b"")
    assert said in result.err


def test_a_wrong_configuration_is_2(run: Run, clean: Path, here: Path) -> None:
    (here / "recipe-tools.toml").write_text('[water]\nrecord = "source"\n')
    result = run("check", "clean.json")
    assert (result.code, result.out) == (2, b"")
    assert "recipe-tools.toml" in result.err
    assert "records" in result.err


def test_a_report_that_cannot_be_written_is_3_and_the_others_are_written(
    run: Run, clean: Path, here: Path
) -> None:
    result = run("check", "clean.json", "--output", "json=no/folder/x", "--output", "csv=y.csv")
    assert result.code == 3
    assert (here / "y.csv").exists()
    assert "json" in result.err
    assert result.text.startswith("clean.json")


def test_nothing_named_is_2(run: Run) -> None:
    assert run("check").code == 2
    assert run("check", "").code == 2
    assert run("chek").code == 2
