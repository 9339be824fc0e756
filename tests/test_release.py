"""What a release promises of itself: one version, its licence, its changes, a hook that exists."""

from __future__ import annotations

import re
import tomllib

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
