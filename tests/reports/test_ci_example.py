"""The worked example for build servers, run on a small repository of recipes."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.standards import REPOSITORY

EXAMPLE = REPOSITORY / "examples" / "ci"

RECIPE = """<?xml version="1.0" encoding="UTF-8"?>
<RECIPES><RECIPE><NAME>{name}</NAME><VERSION>1</VERSION><TYPE>All Grain</TYPE>
<BREWER>Odalric Fenn</BREWER><BATCH_SIZE>20</BATCH_SIZE><BOIL_SIZE>25</BOIL_SIZE>
<BOIL_TIME>60</BOIL_TIME><EFFICIENCY>72</EFFICIENCY><HOPS/><MISCS/><YEASTS/><WATERS/>
<FERMENTABLES><FERMENTABLE><NAME>Pale malt</NAME><VERSION>1</VERSION><TYPE>Grain</TYPE>
<AMOUNT>4.5</AMOUNT><YIELD>80</YIELD><COLOR>3</COLOR></FERMENTABLE></FERMENTABLES>
<MASH><NAME>Single step</NAME><VERSION>1</VERSION><GRAIN_TEMP>20</GRAIN_TEMP><MASH_STEPS>
<MASH_STEP><NAME>Rest</NAME><VERSION>1</VERSION><TYPE>Infusion</TYPE>
<INFUSE_AMOUNT>14</INFUSE_AMOUNT><STEP_TEMP>66</STEP_TEMP><STEP_TIME>60</STEP_TIME></MASH_STEP>
</MASH_STEPS></MASH></RECIPE></RECIPES>
"""


def git(folder: Path, *arguments: str) -> str:
    """Run Git in a folder, cut off from the configuration of whoever runs the tests."""
    environment = {
        **os.environ,
        "GIT_CONFIG_GLOBAL": os.devnull,
        "GIT_CONFIG_SYSTEM": os.devnull,
        **{f"GIT_{role}_NAME": "Odalric Fenn" for role in ("AUTHOR", "COMMITTER")},
        **{f"GIT_{role}_EMAIL": "fenn@aldermoor.invalid" for role in ("AUTHOR", "COMMITTER")},
    }
    done = subprocess.run(
        ["git", *arguments], cwd=folder, env=environment, check=True, capture_output=True, text=True
    )
    return done.stdout.strip()


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    """Return a repository in which a second recipe was added after the first commit."""
    if shutil.which("git") is None:
        pytest.skip("git is not on this machine; --changed-since needs it")
    recipes = tmp_path / "recipes"
    recipes.mkdir()
    git(tmp_path, "init", "-q")
    (recipes / "old.xml").write_text(RECIPE.format(name="Old ale"), encoding="utf-8")
    git(tmp_path, "add", ".")
    git(tmp_path, "commit", "-q", "-m", "Old ale")
    (recipes / "new.xml").write_text(RECIPE.format(name="New ale"), encoding="utf-8")
    git(tmp_path, "add", ".")
    git(tmp_path, "commit", "-q", "-m", "New ale")
    return tmp_path


def test_the_script_checks_what_changed_and_leaves_every_report(repository: Path) -> None:
    environment = {
        **os.environ,
        "RECIPE_TOOLS": f"{sys.executable} -m recipe_tools",
        "PYTHONPATH": str(REPOSITORY),
        "FORMAT": "github",
    }
    done = subprocess.run(
        ["sh", str(EXAMPLE / "check-recipes.sh"), "HEAD~1", "recipes"],
        cwd=repository,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    # Its water is unknown, which is a warning at least.
    assert done.returncode == 1, done.stderr
    assert "::" in done.stdout
    reports = repository / "reports"
    log = json.loads((reports / "recipes.sarif").read_text(encoding="utf-8"))
    uris = [item["location"]["uri"] for item in log["runs"][0]["artifacts"]]
    assert uris == ["recipes/new.xml"]
    entries = json.loads((reports / "recipes.codequality.json").read_text(encoding="utf-8"))
    review = json.loads((reports / "recipes.rdjson").read_text(encoding="utf-8"))
    paths = {entry["location"]["path"] for entry in (*entries, *review["diagnostics"])}
    assert paths == {"recipes/new.xml"}
    suites = ElementTree.parse(reports / "recipes.junit.xml").getroot()
    assert int(suites.get("failures", "")) >= 1
    for name in ("recipes.md", "recipes.html"):
        text = (reports / name).read_text(encoding="utf-8")
        assert "New ale" in text and "Old ale" not in text


def test_the_other_pipeline_names_reports_that_the_script_leaves() -> None:
    script = (EXAMPLE / "check-recipes.sh").read_text(encoding="utf-8")
    pipeline = (EXAMPLE / "merge-request.yml").read_text(encoding="utf-8")
    named = set(re.findall(r"reports/(\S+)", pipeline))
    assert named and named <= set(re.findall(r"\$reports/([^\"]+)", script))


def test_the_script_refuses_to_run_without_a_revision(tmp_path: Path) -> None:
    done = subprocess.run(
        ["sh", str(EXAMPLE / "check-recipes.sh")],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode != 0
    assert "name the revision" in done.stderr
    assert not (tmp_path / "reports").exists()


def test_the_workflow_puts_nothing_from_outside_into_a_script() -> None:
    # An expression inside a run line is pasted into the shell before it is parsed.
    text = (EXAMPLE / "pull-request.yml").read_text(encoding="utf-8")
    lines = re.findall(r"run:\s*(?:>-\n(?:\s{10,}.*\n)+|.*\n)", text)
    assert len(lines) == 4
    assert not any("${{" in line for line in lines)


def test_the_hook_before_the_commit_accepts_what_the_baseline_does(repository: Path) -> None:
    """Run as pre-commit runs it: entry, arguments of the example, names of the staged files."""
    text = (EXAMPLE / "README.md").read_text(encoding="utf-8")
    arguments = re.search(r"- id: recipe-tools-check\n(?: .*\n)*? +args: \[(.*)\]", text)
    assert arguments is not None
    command = [sys.executable, "-m"]
    command += (
        hooks()["recipe-tools-check"]["entry"].replace("recipe-tools", "recipe_tools").split()
    )
    command += arguments[1].split(", ")
    environment = {**os.environ, "PYTHONPATH": str(REPOSITORY)}

    def run(*words: str) -> int:
        done = subprocess.run(words, cwd=repository, env=environment, check=False, timeout=60)
        return done.returncode

    # Their water is unknown, which is a warning.
    assert run(*command[:4], "recipes/old.xml", "recipes/new.xml") == 1
    run(*command[:3], "baseline", "write", "recipes")
    assert run(*command, "recipes/old.xml", "recipes/new.xml") == 0
    (repository / "recipes" / "other.xml").write_text(RECIPE.format(name="A"), encoding="utf-8")
    assert run(*command, "recipes/old.xml", "recipes/other.xml") == 1


def hooks() -> dict[str, dict[str, str]]:
    """Return the members of each hook by its id."""
    text = (REPOSITORY / ".pre-commit-hooks.yaml").read_text(encoding="utf-8")
    blocks = re.split(r"^- ", text, flags=re.MULTILINE)[1:]
    found = [dict(re.findall(r"^ *(\w+): (.+)$", block, re.MULTILINE)) for block in blocks]
    return {members["id"]: members for members in found}


@pytest.mark.parametrize("hook", ["recipe-tools-check", "recipe-tools-annotate"])
def test_a_hook_runs_a_command_that_exists_on_xml_and_json(hook: str) -> None:
    members = hooks()[hook]
    assert members["language"] == "python"
    assert members["types_or"] == "[xml, json]"
    program, *arguments = members["entry"].split()
    assert program == "recipe-tools"
    path = str(REPOSITORY / "examples" / "home" / "reedbank-pils.xml")
    done = subprocess.run(
        [sys.executable, "-m", "recipe_tools", *arguments, path],
        cwd=REPOSITORY,
        capture_output=True,
        check=False,
        timeout=60,
    )
    # The example is clean, and carries no results in its notes, which is no fault.
    assert done.returncode == 0, done.stderr
