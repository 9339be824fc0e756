"""``[tool.recipe-tools]`` in pyproject.toml, where no recipe-tools.toml is nearer."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from recipe_tools.config import ConfigError, find_config, load_config
from recipe_tools.rules.examples import PLAIN_RECIPE, document, dose, merge_patch, more_additions
from tests.cli.conftest import Run

OURS = '[tool.recipe-tools.rules."addition/unit-slip"]\nseverity = "off"\n'
OTHERS = '[project]\nname = "recipe-tools"\n[tool.lint]\nlines = 100\n'
SLIP = document(
    merge_patch(PLAIN_RECIPE, more_additions(dose("Gypsum (calcium sulfate dihydrate)", 4, "kg")))
)


@pytest.fixture
def club(tmp_path: Path) -> Path:
    """Return a repository with a folder of recipes in it."""
    (tmp_path / ".git").mkdir()
    (tmp_path / "ales").mkdir()
    (tmp_path / "ales" / "pale.json").write_bytes(SLIP)
    return tmp_path


def test_it_counts_for_files_below(club: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(club)
    before = run("check", "ales", "--format", "json")
    assert "addition/unit-slip" in before.rules
    (club / "pyproject.toml").write_text(OTHERS + OURS, "utf-8")
    after = run("check", "ales", "--format", "json")
    assert "addition/unit-slip" not in after.rules


def test_a_file_of_our_own_beside_it_or_nearer_counts_instead(club: Path) -> None:
    shared = club / "pyproject.toml"
    shared.write_text(OURS, "utf-8")
    assert find_config(club / "ales") == shared
    for folder in (club, club / "ales"):
        (folder / "recipe-tools.toml").touch()
        assert find_config(club / "ales") == folder / "recipe-tools.toml"


def test_one_that_is_nearer_counts_instead_of_ours_further_up(club: Path) -> None:
    (club / "recipe-tools.toml").touch()
    (club / "ales" / "pyproject.toml").write_text(OURS, "utf-8")
    assert find_config(club / "ales") == club / "ales" / "pyproject.toml"


@pytest.mark.parametrize(
    "content", ["", OTHERS, "[tool]\n", "tool = 3\n# recipe-tools\n", "not TOML at all ]["]
)
def test_one_without_our_table_is_passed_over(club: Path, content: str) -> None:
    (club / "pyproject.toml").write_text(content, "utf-8")
    (club / "recipe-tools.toml").touch()
    (club / "ales" / "pyproject.toml").write_text(content, "utf-8")
    assert find_config(club / "ales") == club / "recipe-tools.toml"


def test_a_pipe_and_a_folder_of_that_name_are_passed_over(club: Path) -> None:
    os.mkfifo(club / "pyproject.toml")
    (club / "ales" / "pyproject.toml").mkdir()
    assert find_config(club / "ales") is None


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("[tool.recipe-tools]\nwatr = {}\n", "tool.recipe-tools.watr is not known here"),
        ('[tool.recipe-tools.water]\nrecords = "tap"\n', "tool.recipe-tools.water.records is not"),
        ("[tool]\nrecipe-tools = 3\n", "tool.recipe-tools is not a table"),
        ("[tool.recipe-tools\n", "is not valid TOML (line 1"),
        (f"[tool.recipe-tools]\n# {'x' * 300_000}", "is larger than 262144 bytes"),
        (f"[tool.recipe-tools]\n{'.'.join('a' * 40)} = 1\n", "is nested more than 16 deep"),
        (
            '[tool.recipe-tools.water]\nreport = "../../tap.toml"\n',
            "tool.recipe-tools.water.report lies outside the repository",
        ),
    ],
)
def test_what_is_wrong_with_it_names_file_and_key(
    club: Path, run: Run, monkeypatch: pytest.MonkeyPatch, content: str, said: str
) -> None:
    monkeypatch.chdir(club)
    (club / "pyproject.toml").write_text(content, "utf-8")
    result = run("check", "ales")
    assert (result.code, result.text) == (2, "")
    assert f"pyproject.toml: {said}" in " ".join(result.err.split())


def test_named_as_the_configuration_it_has_to_have_our_table(club: Path) -> None:
    (club / "pyproject.toml").write_text(OTHERS, "utf-8")
    with pytest.raises(ConfigError, match=r"has no table \[tool\.recipe-tools\]"):
        load_config(club / "pyproject.toml")
