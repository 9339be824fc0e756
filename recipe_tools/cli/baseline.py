"""``recipe-tools baseline``: accept what there is for now, and forget what is gone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import click

from recipe_tools import baseline as accepted
from recipe_tools.baseline import Baseline, Entry
from recipe_tools.cli.output import CLEAN, FOUND, INCOMPLETE, say, write_file
from recipe_tools.cli.running import run_paths
from recipe_tools.cli.settings import baseline_file
from recipe_tools.cli.shared import RunOptions, run_options
from recipe_tools.findings import Finding, Severity
from recipe_tools.limits import Limits
from recipe_tools.reports.terminal import visible
from recipe_tools.results import Run

DEFAULT_NAME = "recipe-tools-baseline.json"


@click.group("baseline")
def command() -> None:
    """Accept the findings there are, or forget those that are gone.

    `check --baseline FILE` then reports only what is new. The file lists path and
    fingerprint of each finding; it belongs under version control.
    """


@command.command("write")
@click.argument("paths", nargs=-1, required=True, metavar="PATH...")
@click.option("--accept", is_flag=True, help="Accept new errors as well.")
@run_options
def write(paths: tuple[str, ...], accept: bool, given: RunOptions) -> int:
    """Write the findings of PATH... to the baseline.

    A baseline that exists is brought up to date; errors it does not accept yet
    are left out and named, unless --accept is given.
    """
    file = Path(given.baseline or DEFAULT_NAME)
    known = baseline_file(str(file)) if file.exists() else None
    run = _everything(paths, replace(given, baseline=None))
    if run.incomplete:
        say("Something could not be checked; the baseline was not written. Run check first.")
        return INCOMPLETE
    found = [item for item in run.all_findings() if item.suppressed is None and item.path]
    new_errors = [] if known is None or accept else _new_errors(found, known)
    left_out = {id(item) for item in new_errors}
    kept = accepted.from_findings(item for item in found if id(item) not in left_out)
    elsewhere = _elsewhere(known, run)
    result = accepted.of([*kept.entries, *elsewhere])
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
@click.argument("paths", nargs=-1, required=True, metavar="PATH...")
@run_options
def prune(paths: tuple[str, ...], given: RunOptions) -> int:
    """Take entries out of the baseline whose findings no longer occur in PATH..."""
    file = Path(given.baseline or DEFAULT_NAME)
    known = baseline_file(str(file))
    run = _everything(paths, replace(given, baseline=str(file)))
    if run.incomplete:
        say("Something could not be checked; the baseline was left as it is. Run check first.")
        return INCOMPLETE
    gone: dict[tuple[str, str], int] = {}
    for item in run.findings:
        if item.rule == "baseline/stale":
            gone[item.values["file"], item.values["value"]] = item.values["count"]
    result = accepted.of(
        replace(entry, count=count)
        for entry in known.entries
        if (count := entry.count - gone.get((entry.path, entry.fingerprint), 0)) > 0
    )
    if not _written(file, result):
        return INCOMPLETE
    say(f"{visible(str(file))}: {_number(result)} accepted, {sum(gone.values())} forgotten.")
    return CLEAN


def _everything(paths: Sequence[str], given: RunOptions) -> Run:
    """Check without a limit on the findings listed: each one needs its entry."""
    limits: Limits = replace(given.limits, max_findings_per_rule=10**9)
    return run_paths(paths, replace(given, limits=limits))


def _new_errors(found: Sequence[Finding], known: Baseline) -> list[Finding]:
    left = {(entry.path, entry.fingerprint): entry.count for entry in known.entries}
    new = []
    for item in found:
        key = (item.path or "", item.fingerprint)
        if left.get(key, 0) > 0:
            left[key] -= 1
        elif item.severity is Severity.ERROR:
            new.append(item)
    return new


def _elsewhere(known: Baseline | None, run: Run) -> list[Entry]:
    """Return the entries about files that were not looked at; they stay as they are."""
    if known is None:
        return []
    looked_at = {file.path for file in run.files}
    return [entry for entry in known.entries if entry.path not in looked_at]


def _written(file: Path, result: Baseline) -> bool:
    try:
        write_file(file, accepted.write(result))
    except OSError as error:
        say(f"The baseline could not be written to {file}: {error.strerror}.")
        return False
    return True


def _number(result: Baseline) -> str:
    count = sum(entry.count for entry in result.entries)
    return "1 finding" if count == 1 else f"{count} findings"
