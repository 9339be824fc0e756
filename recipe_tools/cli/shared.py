"""Options that several commands share, and what they come to."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

import click

from recipe_tools.findings import Confidence, Severity, severity_from_word
from recipe_tools.limits import DEFAULT_LIMITS, Limits
from recipe_tools.reports import ARCHIVE_REPORTS, REPORTS

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

Command = TypeVar("Command", bound=Callable[..., Any])

FAIL_ON = ("error", "warning", "note", "never")
CONFIDENCES = ("certain", "likely", "possible")
MOST_JOBS = 256
"""Each job is a process: a slip of the finger must not start a hundred thousand of them."""


class RunOptions(NamedTuple):
    """The shared options as given on the command line. jobs: None to choose by number of files."""

    config: str | None
    no_config: bool
    no_readings: bool
    water: str | None
    format_name: str
    outputs: tuple[tuple[str, Path], ...]
    fail_on: Severity | None
    confidence: Confidence
    only: tuple[str, ...]
    without: tuple[str, ...]
    color: str
    jobs: int | None
    no_cache: bool
    baseline: str | None
    changed_since: str | None
    today: date
    verbose: bool
    limits: Limits


Outputs = Callable[[click.Context, click.Parameter, tuple[str, ...]], tuple[tuple[str, Path], ...]]


def named_outputs(names: Sequence[str], example: str = "json=report.json") -> Outputs:
    """Return the reader of an option that names formats with the files they go to."""

    def read(
        ctx: click.Context, param: click.Parameter, values: tuple[str, ...]
    ) -> tuple[tuple[str, Path], ...]:
        del ctx
        result = []
        for value in values:
            name, equals, file = value.partition("=")
            if not equals or not file:
                raise click.BadParameter(f"write it as NAME=FILE, such as {example}", param=param)
            if name not in names:
                known = ", ".join(names)
                raise click.BadParameter(
                    f"there is no format {name!r}; there are {known}", param=param
                )
            result.append((name, Path(file)))
        return tuple(result)

    return read


def _day(ctx: click.Context, param: click.Parameter, value: datetime | None) -> date:
    del ctx, param
    return date.today() if value is None else value.date()


def _severity(ctx: click.Context, param: click.Parameter, value: str) -> Severity | None:
    del ctx, param
    return None if value == "never" else severity_from_word(value)


def _confidence(ctx: click.Context, param: click.Parameter, value: str) -> Confidence:
    del ctx, param
    return Confidence[value.upper()]


def _rules(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Complete a list of rules. Imported here, as only a shell that asks for it needs it."""
    from recipe_tools.cli.completion import rule_lists

    return rule_lists(ctx, param, incomplete)


def _reports(
    names: Sequence[str], ctx: click.Context, param: click.Parameter, incomplete: str
) -> list[CompletionItem]:
    from recipe_tools.cli.completion import reports

    del ctx, param
    return reports(names, incomplete)


_CONFIG = (
    click.option(
        "--water",
        type=click.Path(dir_okay=False),
        help="Water report (TOML) that stands for the brewing water, whatever recipes state.",
    ),
    click.option(
        "--config",
        type=click.Path(dir_okay=False),
        help="Use this configuration, not the nearest recipe-tools.toml above each file.",
    ),
    click.option("--no-config", is_flag=True, help="Use no configuration at all."),
    click.option("--no-readings", is_flag=True, help="Learn nothing from kept readings."),
    click.option(
        "--only",
        multiple=True,
        metavar="RULES",
        shell_complete=_rules,
        help="Apply only these rules and topics (a list with commas; may be repeated).",
    ),
    click.option(
        "--without",
        multiple=True,
        metavar="RULES",
        shell_complete=_rules,
        help="Leave these rules and topics out.",
    ),
    click.option(
        "--confidence",
        type=click.Choice(CONFIDENCES),
        default="likely",
        show_default=True,
        callback=_confidence,
        help="Least confidence of the findings that are listed; the others are counted.",
    ),
    click.option(
        "--baseline",
        type=click.Path(dir_okay=False),
        help="Accept the findings that stand in this file (see `recipe-tools baseline`).",
    ),
    click.option(
        "--today",
        type=click.DateTime(formats=["%Y-%m-%d"]),
        metavar="DATE",
        callback=_day,
        help="The day on which suppressions are judged, as 2025-03-31; else that of the clock.",
    ),
    click.option(
        "--max-bytes", type=click.IntRange(min=1), metavar="N", help="Largest file that is read."
    ),
    click.option(
        "--max-depth", type=click.IntRange(min=1), metavar="N", help="Deepest nesting in a file."
    ),
    click.option(
        "--max-recipes", type=click.IntRange(min=1), metavar="N", help="Most recipes in a file."
    ),
    click.option(
        "--max-additions",
        type=click.IntRange(min=1),
        metavar="N",
        help="Most additions in a recipe; `explain limits` lists all limits.",
    ),
)

_PROCESSES = (
    click.option(
        "--jobs",
        type=click.IntRange(min=1, max=MOST_JOBS),
        metavar="N",
        help="Processes to share the work out to; else as many as pay.",
    ),
    click.option("--no-cache", is_flag=True, help="Neither use nor keep results of earlier runs."),
)

_EXTENT = (
    click.option(
        "--changed-since",
        metavar="REV",
        help="Only files that differ from a Git revision, such as origin/main.",
    ),
    *_PROCESSES,
)


def _formats(names: Sequence[str]) -> tuple[Any, ...]:
    return (
        click.option(
            "--format",
            "format_name",
            type=click.Choice(names),
            default="text",
            show_default=True,
            help="Report on standard output.",
        ),
        click.option(
            "--output",
            "outputs",
            multiple=True,
            metavar="NAME=FILE",
            callback=named_outputs(names),
            shell_complete=functools.partial(_reports, names),
            help="Write a report to a file as well; may be repeated.",
        ),
    )


_VERDICT = (
    click.option(
        "--fail-on",
        type=click.Choice(FAIL_ON),
        default="warning",
        show_default=True,
        callback=_severity,
        help="Least severity of a finding that gives exit code 1.",
    ),
    click.option(
        "--color",
        type=click.Choice(("auto", "always", "never")),
        default="auto",
        show_default=True,
        help="Colour in the text report; auto: on a terminal, unless NO_COLOR is set.",
    ),
    click.option(
        "--verbose",
        "-v",
        is_flag=True,
        help="Say also what was supposed, accepted or skipped, and what can be changed.",
    ),
)

_REPORT = (*_formats(tuple(REPORTS)), *_VERDICT)

_ARCHIVE_REPORT = (*_formats(tuple(ARCHIVE_REPORTS)), *_VERDICT)


def run_options(command: Command) -> Command:
    """Give a command the shared options; it gets them as one `RunOptions` named ``given``."""
    return _with_options(command, (*_REPORT, *_CONFIG, *_EXTENT), {})


def checking_options(command: Command) -> Command:
    """Give a command the options on how a recipe is judged, as a `RunOptions` named ``given``.

    For commands that check on the way to something else: no reports, one process.
    """
    fixed = {
        "format_name": "text",
        "outputs": (),
        "fail_on": None,
        "color": "never",
        "jobs": 1,
        "no_cache": True,
        "changed_since": None,
        "verbose": False,
    }
    return _with_options(command, _CONFIG, fixed)


def acceptance_options(command: Command) -> Command:
    """Give a command the options of a run that has no report, as a `RunOptions`."""
    fixed = {
        "format_name": "text",
        "outputs": (),
        "fail_on": None,
        "color": "never",
        "verbose": False,
    }
    return _with_options(command, (*_CONFIG, *_EXTENT), fixed)


def archive_options(command: Command) -> Command:
    """Give a command the options of a run over an archive, as a `RunOptions` named ``given``.

    Its reports are those of `reports.ARCHIVE_REPORTS`.
    """
    fixed = {"changed_since": None}
    return _with_options(command, (*_ARCHIVE_REPORT, *_CONFIG, *_PROCESSES), fixed)


def _with_options(
    command: Command, options: Sequence[Callable[[Command], Command]], fixed: Mapping[str, Any]
) -> Command:
    """Give a command some options. fixed: fields of `RunOptions` that none of them sets."""

    @functools.wraps(command)
    def with_options(*args: Any, **values: Any) -> Any:
        own = {name: values.pop(name) for name in list(values) if name not in _SHARED}
        limits = _limits(values)
        given = RunOptions(**values, **fixed, limits=limits)
        return command(*args, given=given, **own)

    wrapped: Any = with_options
    for option in reversed(options):
        wrapped = option(wrapped)
    return wrapped  # type: ignore[no-any-return]


_LIMITS = ("max_bytes", "max_depth", "max_recipes", "max_additions")
_SHARED = {*RunOptions._fields, *_LIMITS} - {"limits"}


def _limits(values: dict[str, Any]) -> Limits:
    """Take the limits out of the values; those not given keep their defaults."""
    from dataclasses import replace

    given = {name: values.pop(name) for name in _LIMITS}
    return replace(
        DEFAULT_LIMITS, **{name: value for name, value in given.items() if value is not None}
    )
