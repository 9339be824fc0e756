"""``recipe-tools baseline``: accept what there is for now, and forget what is gone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import click

from recipe_tools import baseline as accepted
from recipe_tools.archive.renames import marks_of
from recipe_tools.archive.run_request import FileSettings
from recipe_tools.archive.walk import Discovery
from recipe_tools.baseline import Baseline, Entry, FileMarks
from recipe_tools.checking.checklist import checklist
from recipe_tools.cli.baseline_paths import BaselinePaths
from recipe_tools.cli.manual import ManualGroup
from recipe_tools.cli.output import CLEAN, FOUND, INCOMPLETE, say, write_file
from recipe_tools.cli.running import baseline_paths, found, run_found, settings_of
from recipe_tools.cli.settings import Settings, baseline_file
from recipe_tools.cli.shared import RunOptions, acceptance_options
from recipe_tools.findings import Finding, Severity
from recipe_tools.limits import Limits
from recipe_tools.reports.terminal import visible
from recipe_tools.results import Run

DEFAULT_NAME = "recipe-tools-baseline.json"


@click.group("baseline", cls=ManualGroup)
def command() -> None:
    """Accept the findings there are, or forget those that are gone.

    `check --baseline FILE` then reports only what is new. The file lists path and
    fingerprint of each finding; it belongs under version control.
    """


@command.command("write")
@click.argument("paths", nargs=-1, required=True, type=click.Path(), metavar="PATH...")
@click.option("--accept", is_flag=True, help="Accept new errors as well.")
@acceptance_options
def write(paths: tuple[str, ...], accept: bool, given: RunOptions) -> int:
    """Accept the findings there are in PATH...

    A baseline that exists is brought up to date; errors it does not accept yet
    are left out and named, unless --accept is given. It goes to --baseline, or
    to recipe-tools-baseline.json; its paths start at its own folder.
    """
    file = Path(given.baseline or DEFAULT_NAME)
    known = baseline_file(str(file)) if file.exists() else None
    given = _everything(given)
    settings = settings_of(given)
    discovery = found(paths, given, settings)
    names = baseline_paths(str(file), discovery, known or Baseline(), given)
    run = run_found(discovery, given, settings, Baseline())
    if run.incomplete:
        say("Something could not be checked; the baseline was not written. Run check first.")
        return INCOMPLETE
    open_ones = [item for item in run.all_findings() if item.suppressed is None and item.path]
    new_errors = [] if known is None or accept else _new_errors(open_ones, names.for_run(known))
    left_out = {id(item) for item in new_errors}
    kept = accepted.entries_of(item for item in open_ones if id(item) not in left_out)
    result = accepted.of(
        [
            *(entry._replace(path=names.kept(entry.path)) for entry in kept),
            *_not_judged(known, discovery, settings, names),
        ],
        _marks(known, run, names),
    )
    if not _written(file, result):
        return INCOMPLETE
    say(f"{visible(str(file))}: {_number(result)} accepted.")
    for item in new_errors:
        place = "" if item.line is None else f":{item.line}:{item.column}"
        say(f"Not accepted: {item.path}{place} {item.rule}: {item.message}")
    if new_errors:
        say(f"{len(new_errors)} new errors are not accepted; --accept would accept them.")
        return FOUND
    return CLEAN


@command.command("prune")
@click.argument("paths", nargs=-1, required=True, type=click.Path(), metavar="PATH...")
@acceptance_options
def prune(paths: tuple[str, ...], given: RunOptions) -> int:
    """Forget accepted findings that no longer occur.

    Entries about files outside PATH... stay as they are.
    """
    file = Path(given.baseline or DEFAULT_NAME)
    known = baseline_file(str(file))
    given = _everything(given)
    settings = settings_of(given)
    discovery = found(paths, given, settings)
    names = baseline_paths(str(file), discovery, known, given)
    run = run_found(discovery, given, settings, names.for_run(known))
    if run.incomplete:
        say("Something could not be checked; the baseline was left as it is. Run check first.")
        return INCOMPLETE
    gone: dict[tuple[str | None, str], int] = {}
    for item in run.findings:
        if item.rule == "baseline/stale":
            for mark, count in item.values["fingerprints"].items():
                gone[item.values["file"], mark] = count
    result = accepted.of(
        [
            entry._replace(path=names.now(entry.path), count=count)
            for entry in known.entries
            if (count := entry.count - gone.get((names.shown(entry.path), entry.fingerprint), 0))
            > 0
        ],
        _marks(known, run, names),
    )
    if not _written(file, result):
        return INCOMPLETE
    say(f"{visible(str(file))}: {_number(result)} accepted, {sum(gone.values())} forgotten.")
    return CLEAN


def _everything(given: RunOptions) -> RunOptions:
    """Ask for findings without a limit on the number listed: each one needs its entry."""
    limits: Limits = replace(given.limits, max_findings_per_rule=10**9)
    return given._replace(limits=limits)


def _new_errors(open_ones: Sequence[Finding], known: Baseline) -> list[Finding]:
    """Return the errors nobody has accepted; accepting a warning accepts no error it became."""
    left = {
        (entry.path, entry.fingerprint): entry.count
        for entry in known.entries
        if entry.severity == Severity.ERROR.word
    }
    new = []
    for item in open_ones:
        if item.severity is not Severity.ERROR:
            continue
        key = (item.path or "", item.fingerprint)
        if left.get(key, 0) > 0:
            left[key] -= 1
        else:
            new.append(item)
    return new


def _not_judged(
    known: Baseline | None, discovery: Discovery, settings: Settings, names: BaselinePaths
) -> list[Entry]:
    """Return the entries this run says nothing about: of other files, and of rules left out."""
    if known is None:
        return []
    paths = {file.shown: Path(file.path) for file in discovery.files}
    kept = []
    for entry in known.entries:
        name = names.shown(entry.path)
        path = paths.get(name or "")
        if name is None or (path is not None and not _applied(entry.rule, settings(path))):
            kept.append(entry._replace(path=names.now(entry.path)))
    return kept


def _marks(known: Baseline | None, run: Run, names: BaselinePaths) -> Iterator[FileMarks]:
    """Yield what tells the files of a run, and those it did not look at, when they are renamed."""
    if known is not None:
        yield from (item for item in known.files if names.shown(item.path) is None)
    for file in run.files:
        recipes = [item.recipe for item in file.recipes]
        yield marks_of(names.kept(file.path), file.data_digest, recipes)


def _applied(rule: str, in_force: FileSettings) -> bool:
    rules = checklist(in_force.options.for_path(in_force.path))
    return rules.severities.get(rule, True) is not None


def _written(file: Path, result: Baseline) -> bool:
    try:
        write_file(file, accepted.write(result), machine=True)
    except OSError as error:
        say(f"The baseline could not be written to {file}: {error.strerror}.")
        return False
    return True


def _number(result: Baseline) -> str:
    count = sum(entry.count for entry in result.entries)
    return "1 finding" if count == 1 else f"{count} findings"
