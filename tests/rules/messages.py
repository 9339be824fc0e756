"""Every message there is, with real values, to be read as a brewer reads them.

`python -m tests.rules.messages [WORD]` prints one message of each wording, sorted by rule.
They come from the examples of the rules, the files of the tests and examples, planted faults, and
commands used wrongly. Messages that differ in numbers or names only are the same wording.
"""

from __future__ import annotations

import io
import json
import os
import re
import sys
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from pathlib import Path
from typing import NamedTuple

from recipe_tools import cli
from recipe_tools.checking import check_bytes
from recipe_tools.checking.checklist import catalogue
from recipe_tools.config.load import options_from_table
from recipe_tools.config.options import ConfigError, Options, load_config
from recipe_tools.results import CheckedFile
from recipe_tools.rules.examples import PLAIN_RECIPE, document
from recipe_tools.water_report import ReportError, report_from_table
from tests.dosing.cases import case
from tests.planted.archive import archive
from tests.rules.brew import EVERYTHING, checked
from tests.standards import REPOSITORY

PLANTED = 400
DOSED = 60
_NAMED = re.compile(r'"[^"]*"|\[\[[^\]]*\]\]')
_NUMBER = re.compile(r"[-+]?[0-9][0-9.,]*(?:e-?[0-9]+)?")


class Said(NamedTuple):
    """Something a brewer reads. source: the rule, or what else says it."""

    source: str
    text: str

    @property
    def wording(self) -> tuple[str, str]:
        """The same for all that differs in numbers and names only."""
        return self.source, _NUMBER.sub("0", _NAMED.sub('""', self.text))


def of_file(file: CheckedFile) -> Iterator[Said]:
    """Yield all that the check of a file says."""
    for item in (*file.findings, *file.safety):
        yield Said(item.rule, item.message)
        yield from (Said(f"{item.rule} place", place.message) for place in item.related)
        yield from (Said(f"{item.rule} change", edit.description) for edit in item.edits)
    for recipe in file.recipes:
        if recipe.day is not None:
            yield from (Said("~supposed", item.text) for item in recipe.day.assumptions)
            yield from (Said("~not predictable", text) for text in recipe.day.not_predictable)
            if recipe.day.prediction is not None:
                yield from (Said("~outside", text) for text in recipe.day.prediction.warnings)


def of_examples() -> Iterator[Said]:
    """Yield what is said of the examples of all rules, and what every rule advises."""
    for rule in catalogue().values():
        yield Said(f"{rule.id} summary", rule.summary)
        yield Said(f"{rule.id} why", rule.why)
        yield Said(f"{rule.id} do", rule.remedy)
        for example in (rule.fails, rule.passes):
            yield from of_file(checked(example))


def of_corpus() -> Iterator[Said]:
    """Yield what is said of the files of the tests and of the examples."""
    for folder in (REPOSITORY / "tests" / "files", REPOSITORY / "examples"):
        for path in sorted(folder.rglob("*.*")):
            if path.is_file() and path.suffix != ".toml":
                yield from of_file(check_bytes(path.read_bytes(), path.name, Options(), EVERYTHING))


def of_planted(count: int = PLANTED) -> Iterator[Said]:
    """Yield what is said of recipes with planted faults."""
    for item in archive(count=count):
        options = options_from_table(dict(item.config))
        yield from of_file(check_bytes(item.data, item.name, options, EVERYTHING))


def of_doses(count: int = DOSED) -> Iterator[Said]:
    """Yield what plans say: reasons, remarks, steps and cautions."""
    from recipe_tools.dosing import propose
    from recipe_tools.dosing.brew_steps import brew_steps
    from recipe_tools.measuring.kettle_table import kettle_table
    from recipe_tools.reports.dose_words import caution_lines, step_lines, verdict

    for seed in range(count):
        one = case(seed)
        proposal = propose(one.recipe(), one.options, one.request)
        table = kettle_table(proposal)
        yield Said("~dose verdict", verdict(proposal))
        texts = (*proposal.reasons, *proposal.changes, *proposal.missing)
        yield from (Said("~dose", text) for text in (*texts, *proposal.remarks, *proposal.supposed))
        yield from (Said("~dose caution", text) for text in caution_lines(proposal, table))
        if proposal.planned is not None:
            for step in brew_steps(proposal):
                yield from (Said("~dose step", text) for text in step_lines(proposal, step))


def of_wrong_settings() -> Iterator[Said]:
    """Yield why configurations and water reports are refused."""
    from tests.config.test_loading import test_what_is_wrong_is_named
    from tests.water_report.test_report import test_what_is_refused_and_how

    with _folder():
        for text, _ in _parameters(test_what_is_wrong_is_named):
            Path("recipe-tools.toml").write_text(text)
            try:
                load_config(Path("recipe-tools.toml"), known_rules=catalogue())
            except ConfigError as error:
                yield Said("~configuration", str(error))
    for rows, _ in _parameters(test_what_is_refused_and_how):
        try:
            report_from_table(rows)
        except ReportError as error:
            yield Said("~water report", str(error))


COMMANDS = (
    "chekc .",
    "check",
    "check nothing.xml",
    "check a.jsn",
    "check empty",
    "check pipe",
    "check . --water tab.toml",
    "check . --water a.json",
    "check . --config a.json",
    "check . --config x.toml --no-config",
    "check . --only ions/calcium-lo",
    "check . --format txt",
    "check . --output json",
    "check . --output json=no/such/folder.json",
    "check . --baseline a.json",
    "check . --baseline b.json",
    "check . --changed-since HEAD",
    "check . --today soon",
    "check - .",
    "check . --stdin-name x",
    "check ''",
    "audit nothing",
    "audit . --against a.json",
    "audit . --against b.json",
    "audit torn.zip",
    "dose",
    "dose a.json --recipe 7",
    "dose a.json --apply",
    "dose a.json --in-place",
    "dose a.json --target-ph 9",
    "dose a.json --apply --output-file a.json",
    "dose torn.json",
    "dose empty",
    "annotate . --in-place --output-dir x",
    "annotate . --check --in-place",
    "annotate torn.json",
    "annotate a.json --in-place",
    "baseline write torn.json",
    "baseline write a.json",
    "baseline prune a.json",
    "cache clear",
    "explain nothing",
    "explain ions/calcium-lo",
    "water a.json",
    "water tap.toml --to-ph 12",
    "water tap.toml --volume soon",
    "water tap.toml --to-alkalinity x",
    "water",
)


def of_commands() -> Iterator[Said]:
    """Yield what commands say on standard error."""
    with _folder():
        Path("a.json").write_bytes(document(PLAIN_RECIPE))
        Path("torn.json").write_text("{")
        Path("torn.zip").write_bytes(b"PK\x03\x04")
        Path("tap.toml").write_text("calcium = 50\nalkalinity = 2\n")
        Path("empty").mkdir()
        for command in COMMANDS:
            words = [word.strip("'") for word in command.split(" ")]
            for line in _printed(words)[1].splitlines():
                if line and not line.startswith(("Usage: ", "Try ")):
                    yield Said(f"~{command}", line)


def of_whole_runs() -> Iterator[Said]:
    """Yield what belongs to no single file: paths that open nothing, entries that fit nothing."""
    with _folder():
        Path("club").mkdir()
        Path("club/Mill-race.json").write_bytes(document(PLAIN_RECIPE))
        Path("club/recipe-tools.toml").write_text(
            '[[malt]]\nname = "Pale aie malt"\ndi_ph = 5.7\n[style.portter]\ncalcium = [50, 100]\n'
            '[[paths]]\nglobs = ["clubs/**"]\n[[suppress]]\nrule = "ions"\nreason = "x"\n'
            '[[suppress]]\nrule = "water"\nreason = "x"\nuntil = 2001-01-01\n'
        )
        Path("empty").mkdir()
        Path("link.json").symlink_to("nothing")
        os.mkfifo("pipe.json")
        paths = ("club", "empty", "link.json", "pipe.json", "club/mill race.json", "clab/a.json")
        out, _ = _printed(["check", *paths, "--format", "json"])
        for item in json.loads(out)["findings"]:
            yield Said(item["rule"], item["message"])


def _printed(words: list[str]) -> tuple[str, str]:
    """Run a command; return what it wrote to standard output and standard error."""
    out, err = io.BytesIO(), io.BytesIO()
    with (
        redirect_stdout(io.TextIOWrapper(out, "utf-8", write_through=True)),
        redirect_stderr(io.TextIOWrapper(err, "utf-8", write_through=True)),
    ):
        cli.run(words)
        return out.getvalue().decode(), err.getvalue().decode()


@contextmanager
def _folder() -> Iterator[None]:
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as name:
        os.chdir(name)
        try:
            yield
        finally:
            os.chdir(before)


def _parameters(test: object) -> Iterable[tuple[object, str]]:
    """Return the cases of a test that has them as pairs."""
    (mark,) = test.pytestmark  # type: ignore[attr-defined]
    cases: Iterable[tuple[object, str]] = mark.args[1]
    return cases


def everything() -> list[Said]:
    """Return one message of each wording, sorted."""
    found: dict[tuple[str, str], Said] = {}
    sources = (of_examples, of_corpus, of_planted, of_doses)
    for source in (*sources, of_wrong_settings, of_whole_runs, of_commands):
        for item in source():
            found.setdefault(item.wording, item)
    return sorted(found.values())


if __name__ == "__main__":
    wanted = sys.argv[1] if len(sys.argv) > 1 else ""
    for item in everything():
        if wanted in item.source or wanted in item.text:
            print(f"{item.source} | {item.text}")
