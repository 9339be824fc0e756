"""What a release promises of itself: one version, its licence, its changes, a hook that exists."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from collections.abc import Iterable
from importlib import metadata
from pathlib import Path

import pytest

from recipe_tools import __version__
from tests.standards import REPOSITORY

PACKAGE = REPOSITORY / "recipe_tools"
PYPROJECT = tomllib.loads((REPOSITORY / "pyproject.toml").read_text("utf-8"))


def test_the_version_stands_once() -> None:
    assert "version" not in PYPROJECT["project"]
    assert PYPROJECT["tool"]["hatch"]["version"]["path"] == "recipe_tools/__init__.py"
    assert re.fullmatch(r"\d+\.\d+\.\d+", __version__)


def test_the_version_has_its_changes_on_top() -> None:
    headings = re.findall(r"^## (\d.*)$", (PACKAGE / "CHANGES.md").read_text("utf-8"), re.M)
    assert headings[0] == __version__
    assert len(set(headings)) == len(headings)


def test_the_licence_is_in_the_package_and_named() -> None:
    (named,) = PYPROJECT["project"]["license-files"]
    text = (REPOSITORY / named).read_text("utf-8")
    # SPDX names the licence by its first words of grant.
    assert PYPROJECT["project"]["license"] == "MIT"
    assert "Permission is hereby granted, free of charge" in text
    assert "The recipe_tools developers" in text
    assert PYPROJECT["project"]["authors"] == [{"name": "The recipe_tools developers"}]


@pytest.mark.parametrize("name", ["examples/ci/README.md", "README.md"])
def test_a_hook_is_pinned_to_a_revision_that_a_release_makes(name: str) -> None:
    text = (REPOSITORY / name).read_text("utf-8")
    revisions = re.findall(r"^\s*rev: (\S+)$", text, re.M)
    assert set(revisions) <= {f"v{__version__}"}
    assert revisions or name == "README.md"


def test_the_hooks_named_in_the_examples_are_hooks() -> None:
    hooks = (REPOSITORY / ".pre-commit-hooks.yaml").read_text("utf-8")
    declared = set(re.findall(r"^- id: (\S+)$", hooks, re.M))
    named = re.findall(
        r"- id: (recipe-tools-\S+)", (REPOSITORY / "examples/ci/README.md").read_text("utf-8")
    )
    assert named and set(named) <= declared


def test_each_python_that_is_promised_is_tested() -> None:
    promised = re.findall(r":: (3\.\d+)'", str(PYPROJECT["project"]["classifiers"]))
    workflow = (REPOSITORY / ".github/workflows/check.yml").read_text("utf-8")
    matrices = re.findall(r"python: \[(.*)\]", workflow)
    assert matrices and all(re.findall(r'"(3\.\d+)"', matrix) == promised for matrix in matrices)
    assert PYPROJECT["project"]["requires-python"] == f">={promised[0]}"


FOR_DOSES = {"highspy", "numpy"}
MEGABYTE = 1_000_000


def requirements(names: Iterable[str]) -> set[str]:
    """Return distributions with all that they require in turn, without extras."""
    found: set[str] = set()
    waiting = [name.lower() for name in names]
    while waiting:
        name = waiting.pop()
        if name in found:
            continue
        found.add(name)
        always = (line for line in metadata.requires(name) or () if ";" not in line)
        waiting += (re.split(r"[^A-Za-z0-9._-]", line)[0].lower() for line in always)
    return found


def size(names: Iterable[str]) -> int:
    """Return the bytes of the files of distributions, as installed here."""
    files = (file for name in names for file in metadata.files(name) or ())
    places = {Path(str(file.locate())) for file in files}
    return sum(place.stat().st_size for place in places if place.is_file())


def test_the_install_is_small() -> None:
    """120 MB with everything, 60 MB of it without what only doses need."""
    declared = {re.split("[<>=]", line)[0] for line in PYPROJECT["project"]["dependencies"]}
    needed = requirements(declared)
    assert needed > FOR_DOSES, "the solver and what it brings along"
    own = sum(path.stat().st_size for path in PACKAGE.rglob("*") if path.suffix != ".pyc")
    assert own + size(needed) < 120 * MEGABYTE
    assert own + size(needed - FOR_DOSES) < 60 * MEGABYTE


def test_the_smaller_install_of_the_example_is_all_but_the_solver() -> None:
    text = (REPOSITORY / "examples/ci/README.md").read_text("utf-8")
    (listed,) = re.findall(r"^python -m pip install (click .*)$", text, re.M)
    declared = {re.split("[<>=]", line)[0] for line in PYPROJECT["project"]["dependencies"]}
    assert set(listed.split()) == declared - FOR_DOSES


def test_without_the_solver_everything_else_works_and_a_dose_says_what_it_lacks() -> None:
    program = (
        "import sys\n"
        "sys.modules.update(highspy=None, numpy=None)\n"
        "from recipe_tools.cli import run\n"
        "from recipe_tools.reports import ARCHIVE_REPORTS, REPORTS\n"
        "for name in REPORTS:\n"
        "    assert run(['check', 'examples', '--format', name]) == 1, name\n"
        "for name in ARCHIVE_REPORTS:\n"
        "    assert run(['audit', 'examples', '--no-cache', '--format', name]) == 1, name\n"
        "assert run(['annotate', 'examples/home']) == 0\n"
        "assert run(['reading', 'examples/home/reedbank-pils.xml', '--ph', '5.4']) == 0\n"
        "sys.exit(run(['dose', 'examples/inbox/toll-house-stout.json']))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, check=False, cwd=REPOSITORY
    )
    assert done.returncode == 3, done.stderr.decode()
    last = done.stderr.decode().splitlines()[-1]
    assert last == (
        "recipe-tools needs the package highspy for this, which is not installed: "
        "python -m pip install highspy"
    )
