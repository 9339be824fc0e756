"""``--changed-since`` looks at what a change touches, and at nothing else."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from recipe_tools.rules.examples import PLAIN_RECIPE, document
from tests.cli.conftest import Run

pytestmark = pytest.mark.skipif(shutil.which("git") is None, reason="needs Git")


def git(folder: Path, *arguments: str) -> None:
    identity = ["-c", "user.name=Aldermoor", "-c", "user.email=club@example.invalid"]
    subprocess.run(["git", *identity, *arguments], cwd=folder, check=True, capture_output=True)


@pytest.fixture
def repository(here: Path) -> Path:
    for name in ("old.json", "sub/kept.json"):
        (here / name).parent.mkdir(exist_ok=True)
        (here / name).write_bytes(document(PLAIN_RECIPE))
    git(here, "init", "-q")
    git(here, "add", ".")
    git(here, "commit", "-q", "-m", "Recipes of the season")
    return here


def checked(run: Run, *arguments: str) -> list[str]:
    result = run("check", "--format", "json", "--fail-on", "never", *arguments)
    assert result.code == 0, result.err
    return [file["path"] for file in result.json["files"]]


def test_changed_and_new_files_are_checked(run: Run, repository: Path) -> None:
    (repository / "new.json").write_bytes(document(PLAIN_RECIPE))
    (repository / "old.json").write_bytes(document(PLAIN_RECIPE) + b"\n")
    assert checked(run, ".", "--changed-since", "HEAD") == ["new.json", "old.json"]


def test_nothing_changed_is_clean(run: Run, repository: Path) -> None:
    assert checked(run, ".", "--changed-since", "HEAD") == []


def test_a_changed_configuration_concerns_all_its_files(run: Run, repository: Path) -> None:
    (repository / "sub" / "recipe-tools.toml").write_text("[equipment]\ndead_space_l = 1.0\n")
    assert checked(run, ".", "--changed-since", "HEAD") == ["sub/kept.json"]


REPORT = """name = "Aldermoor, upper zone"
calcium = "60 mg/L"
magnesium = "9 mg/L"
sodium = "20 mg/L"
chloride = "34 mg/L"
sulfate = "52 mg/L"
alkalinity = "135 mg/L as CaCO3"
ph = 7.5
"""


@pytest.mark.parametrize(
    "config",
    [
        '[water]\nreport = "waters/tap.toml"\n',
        '[[paths]]\nglobs = ["*.json"]\nwater.report = "waters/tap.toml"\n',
    ],
)
def test_a_changed_water_report_concerns_all_files_that_are_brewed_with_it(
    run: Run, repository: Path, config: str
) -> None:
    (repository / "sub" / "waters").mkdir()
    report = repository / "sub" / "waters" / "tap.toml"
    report.write_text(REPORT)
    (repository / "sub" / "recipe-tools.toml").write_text(config)
    git(repository, "add", ".")
    git(repository, "commit", "-q", "-m", "Write the tap water down")
    assert checked(run, ".", "--changed-since", "HEAD") == []
    report.write_text(REPORT.replace("60", "61"))
    assert checked(run, ".", "--changed-since", "HEAD") == ["sub/kept.json"]


def test_a_changed_report_given_on_the_command_line_concerns_all_files(
    run: Run, repository: Path
) -> None:
    (repository / "tap.toml").write_text(REPORT)
    arguments = (".", "--water", "tap.toml", "--changed-since", "HEAD")
    assert checked(run, *arguments) == ["old.json", "sub/kept.json"]
    git(repository, "add", ".")
    git(repository, "commit", "-q", "-m", "Write the tap water down")
    assert checked(run, *arguments) == []


def test_it_works_from_a_subfolder(
    run: Run, repository: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(repository / "sub")
    Path("kept.json").write_bytes(document(PLAIN_RECIPE) + b"\n")
    assert checked(run, ".", "--changed-since", "HEAD") == ["kept.json"]


@pytest.mark.parametrize("revision", ["no-such-branch", "--output=x", ""])
def test_an_unknown_revision_is_wrong_use(run: Run, repository: Path, revision: str) -> None:
    result = run("check", ".", f"--changed-since={revision}")
    assert (result.code, result.out) == (2, b"")
    assert f'no Git revision "{revision}"' in result.err


def test_a_shallow_clone_is_told_to_fetch_more(
    run: Run, repository: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (repository / "old.json").write_bytes(document(PLAIN_RECIPE) + b"\n")
    git(repository, "tag", "last-season")
    git(repository, "commit", "-q", "-a", "-m", "End the file with a line feed")
    git(tmp_path, "clone", "-q", "--depth", "1", repository.as_uri(), "shallow")
    monkeypatch.chdir(tmp_path / "shallow")
    result = run("check", ".", "--changed-since", "last-season")
    assert (result.code, result.out) == (2, b"")
    for words in ('no Git revision "last-season"', "shallow", "fetch-depth: 0", "--unshallow"):
        assert words in result.err


def test_outside_a_repository_is_wrong_use(run: Run, clean: Path) -> None:
    result = run("check", ".", "--changed-since", "HEAD")
    assert (result.code, result.out) == (2, b"")
    assert "Git" in result.err
