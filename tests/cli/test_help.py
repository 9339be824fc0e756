"""Help: every command says what it does, shows examples that work, and fits a terminal."""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from recipe_tools.checking.checklist import catalogue
from recipe_tools.cli import cli
from recipe_tools.cli.manual import EXAMPLES, SECTIONS, Manual, ManualGroup
from tests.cli.conftest import Run
from tests.standards import REPOSITORY

LONGEST_LINE = 80


def commands(group: click.Group = cli, name: str = "") -> Iterator[tuple[str, click.Command]]:
    """Yield all commands with their names."""
    yield name, group
    context = click.Context(group)
    for part in group.list_commands(context):
        found = group.get_command(context, part)
        assert found is not None
        full = f"{name} {part}".strip()
        if isinstance(found, click.Group):
            yield from commands(found, full)
        else:
            yield full, found


COMMANDS = dict(commands())


@pytest.mark.parametrize("name", COMMANDS)
def test_help_has_a_summary_examples_and_lines_that_fit(name: str, run: Run) -> None:
    result = run(*name.split(), "--help")
    assert result.code == 0
    lines = result.text.splitlines()
    assert max(map(len, lines)) <= LONGEST_LINE
    assert "Examples:" in lines
    assert isinstance(COMMANDS[name], (Manual, ManualGroup))
    assert (COMMANDS[name].help or "").strip()


def test_examples_belong_to_commands() -> None:
    assert set(EXAMPLES) == set(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_says_what_it_is_for(name: str) -> None:
    for param in COMMANDS[name].params:
        if isinstance(param, click.Option):
            assert param.help and param.help.endswith("."), param.name


def test_options_below_a_heading_exist() -> None:
    there = {param.name for command in COMMANDS.values() for param in command.params}
    assert {name for names in SECTIONS.values() for name in names} <= there


@pytest.mark.parametrize("line", [line for examples in EXAMPLES.values() for line, _ in examples])
def test_every_example_is_a_line_the_program_understands(line: str, here: Path) -> None:
    """The examples are parsed by the program itself; the README shows what they print."""
    for name in ("before.json", "tap.toml", "new-tap.toml", "recipe-tools-baseline.json"):
        (here / name).touch()
    words = shlex.split(line.partition(" > ")[0].partition(" < ")[0])
    assert words == shlex.split(line) or " > " in line or " < " in line
    command: click.Command = cli
    while isinstance(command, click.Group):
        found = command.get_command(click.Context(command), words.pop(0))
        assert found is not None
        command = found
    with command.make_context("recipe-tools", words, resilient_parsing="--example" in words):
        pass


def completed(*words: str, shell: str = "bash") -> list[str]:
    """Return what the program offers for the last of some words, as a shell asks for it."""
    environment = {
        **os.environ,
        "PYTHONPATH": str(REPOSITORY),
        "_RECIPE_TOOLS_COMPLETE": f"{shell}_complete",
        "COMP_WORDS": shlex.join(["recipe-tools", *words]),
        "COMP_CWORD": str(len(words)) if shell != "fish" else words[-1],
    }
    done = subprocess.run(
        [sys.executable, "-m", "recipe_tools"],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.splitlines()


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_completion_script_is_one_the_shell_accepts(shell: str, tmp_path: Path) -> None:
    environment = {
        **os.environ,
        "PYTHONPATH": str(REPOSITORY),
        "_RECIPE_TOOLS_COMPLETE": f"{shell}_source",
    }
    done = subprocess.run(
        [sys.executable, "-m", "recipe_tools"],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    assert "recipe-tools" in done.stdout
    script = tmp_path / "completion"
    script.write_text(done.stdout)
    if shutil.which(shell) is None:
        pytest.skip(f"no {shell} on this machine: the script was made, not read by it")
    subprocess.run([shell, "-n", str(script)], check=True)


def test_commands_are_completed() -> None:
    assert completed("ch") == ["plain,check"]
    assert completed("baseline", "") == ["plain,prune", "plain,write"]


def test_rules_and_subjects_are_completed_for_explain() -> None:
    assert completed("explain", "mo") == ["plain,model"]
    found = completed("explain", "mash-ph/a")
    rules = [rule for rule in catalogue() if rule.startswith("mash-ph/a")]
    assert found == [f"plain,{rule}" for rule in rules]


def test_lists_of_rules_are_completed_behind_the_comma() -> None:
    found = completed("check", "--only", "ions,water/source-u")
    assert found == ["plain,ions,water/source-unknown"]


def test_formats_and_files_are_completed() -> None:
    assert completed("check", "--format", "js") == ["plain,json"]
    assert completed("check", "--output", "sa") == ["plain,sarif="]
    assert completed("check", "--output", "sarif=re") == ["file,re"]
    assert completed("check", "re") == ["file,re"]


def test_zsh_and_fish_are_told_what_a_rule_is() -> None:
    summary = catalogue()["mash-ph/above-range"].summary
    assert summary in completed("explain", "mash-ph/ab", shell="zsh")
    assert any(summary in line for line in completed("explain", "mash-ph/ab", shell="fish"))
