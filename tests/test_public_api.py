"""What programs may use: the names, their types, and the examples of the manual."""

from __future__ import annotations

import inspect
import os
import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

import recipe_tools
from tests.standards import REPOSITORY

EXAMPLES = re.findall(
    r"^```python\n(.*?)^```$",
    (REPOSITORY / "recipe_tools" / "manual" / "python.md").read_text("utf-8"),
    re.MULTILINE | re.DOTALL,
)
HOME = REPOSITORY / "examples" / "home"


def test_the_manual_has_examples() -> None:
    assert len(EXAMPLES) == 3
    for name in ("check_file", "load_recipes", "plan", "predict", "render"):
        assert any(f"{name}(" in example for example in EXAMPLES)


@pytest.mark.parametrize("example", EXAMPLES)
def test_an_example_runs_and_prints_something(example: str) -> None:
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", example],
        cwd=REPOSITORY,
        env={**os.environ, "PYTHONPATH": str(REPOSITORY)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert len(done.stdout.split()) > 3


def test_the_examples_pass_a_strict_type_check(tmp_path: Path) -> None:
    if find_spec("mypy") is None:
        pytest.skip("mypy is not installed; it belongs to the dev extra")
    for place, example in enumerate(EXAMPLES):
        (tmp_path / f"example_{place}.py").write_text(example, encoding="utf-8")
    (tmp_path / "wrong.py").write_text(
        "from recipe_tools import check_file, predict\n"
        "check_file(17)\n"
        "predict(5.4)\n"
        "check_file('a.xml').findings[0].lines\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--config-file=", "--cache-dir", "cache", "."],
        cwd=tmp_path,
        env={**os.environ, "MYPYPATH": str(REPOSITORY)},
        capture_output=True,
        text=True,
        check=False,
    )
    own = [line for line in done.stdout.splitlines() if re.match(r"(example_\d|wrong)\.py:", line)]
    assert [line for line in own if line.startswith("example")] == []
    assert [int(line.split(":")[1]) for line in own if "error:" in line] == [2, 3, 4], done.stdout


@pytest.mark.parametrize("name", recipe_tools.__all__)
def test_every_public_name_is_there_and_says_what_it_is(name: str) -> None:
    thing = getattr(recipe_tools, name)
    assert name in dir(recipe_tools)
    assert (inspect.getdoc(thing) or "").strip()
    # A record without a docstring of its own would show its signature.
    assert not (inspect.getdoc(thing) or "").startswith(f"{name}(")


def test_a_name_that_is_not_public_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        recipe_tools.nothing  # noqa: B018


def test_importing_the_package_loads_none_of_its_modules() -> None:
    code = (
        "import sys, recipe_tools; print([n for n in sys.modules if n.startswith('recipe_tools.')])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONPATH": str(REPOSITORY)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "[]"


def test_paths_may_be_texts_or_paths() -> None:
    path = HOME / "reedbank-pils.xml"
    assert recipe_tools.check_file(str(path)) == recipe_tools.check_file(path)
    assert recipe_tools.load_recipes(str(path)) == recipe_tools.load_recipes(path)


def test_a_path_with_nothing_there_is_a_finding_and_not_an_exception(tmp_path: Path) -> None:
    checked = recipe_tools.check_file(tmp_path / "nothing.xml")
    assert checked.status == "not_checked"
    assert [item.rule for item in checked.findings] == ["file/not-opened"]


def test_the_command_line_gives_what_check_file_gives(
    tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    from recipe_tools import cli

    monkeypatch.chdir(REPOSITORY)
    cli.run(["check", "examples/inbox/heron-ipa.json", "--format", "csv", "--no-config"])
    printed = capfdbinary.readouterr().out.decode("utf-8").splitlines()
    run = recipe_tools.Run((recipe_tools.check_file("examples/inbox/heron-ipa.json"),))
    written = recipe_tools.render("csv", run, recipe_tools.catalogue()).splitlines()
    # The command adds a row of handling notes, which belong to the whole run.
    assert printed[:2] == written
