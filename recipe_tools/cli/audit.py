"""``recipe-tools audit``: a whole archive in one run."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from itertools import islice
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, NamedTuple

import click

from recipe_tools.archive.pipeline import WORTH_WORKERS, worth_jobs
from recipe_tools.archive.records import LEVELS
from recipe_tools.archive.run_request import RunRequest
from recipe_tools.archive.walk import Discovery, Walk
from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import (
    CLEAN,
    FOUND,
    INCOMPLETE,
    libraries_silenced,
    say,
    wants_colour,
    write_file_pieces,
    write_pieces,
)
from recipe_tools.cli.running import baseline_paths, baseline_shown, overrides, processors, watched
from recipe_tools.cli.settings import Settings, baseline_file
from recipe_tools.cli.shared import RunOptions, archive_options
from recipe_tools.findings import Severity
from recipe_tools.reports.terminal import Ink, visible

if TYPE_CHECKING:
    from recipe_tools.archive.report import Archive
    from recipe_tools.archive.totals import Totals
    from recipe_tools.archive.zip_archive import ZipLimits
    from recipe_tools.baseline import Baseline

INTERRUPTED = 130
_LISTING = {"json", "html"}
"""Formats that show findings one by one."""


class Asked(NamedTuple):
    """What the options of the audit itself ask for.

    doses: what would repair each recipe. compared: an earlier report was read. title: of the page.
    """

    doses: bool
    compared: bool
    title: str


@click.command("audit", cls=Manual)
@click.argument("paths", nargs=-1, required=True, type=click.Path(), metavar="DIR|ZIP...")
@click.option(
    "--exclude",
    multiple=True,
    metavar="PATTERN",
    help="Leave out what matches, as in a .recipe-tools-ignore file; may be repeated.",
)
@click.option(
    "--against", metavar="OLD.json", help="Say what is new, gone or changed since that report."
)
@click.option(
    "--doses", is_flag=True, help="Say what would repair each recipe with known water (slow)."
)
@click.option("--title", metavar="TEXT", default="", help="Heading of the HTML page.")
@click.option(
    "--zip-members",
    type=click.IntRange(min=1),
    metavar="N",
    help="Most files in a zip archive.",
)
@click.option(
    "--zip-bytes",
    type=click.IntRange(min=1),
    metavar="N",
    help="Most bytes of all files in a zip archive, unpacked.",
)
@click.option(
    "--zip-ratio",
    type=click.IntRange(min=1),
    metavar="N",
    help="Most bytes unpacked for each byte packed.",
)
@archive_options
def command(
    paths: tuple[str, ...],
    exclude: tuple[str, ...],
    against: str | None,
    doses: bool,
    title: str,
    zip_members: int | None,
    zip_bytes: int | None,
    zip_ratio: int | None,
    given: RunOptions,
) -> int:
    """Check a whole archive and sum it up.

    Goes through folders and zip archives: what to look at first, waters, totals
    by rule, style family and year, distributions of mash pH and ions, recipes
    that are alike, and files that could not be read. With --against and another
    --water, or after edits, the answer comes first: which recipes are newly out
    of their window or past a limit, which are worse and which are better.
    Patterns in the style of gitignore in a file named .recipe-tools-ignore leave
    files out.

    Ctrl-C ends the run and reports what is done so far.
    """
    from recipe_tools.archive.totals import Totals

    if "" in paths:
        raise click.UsageError("A path is empty; write . for the current folder.")
    with Totals() as totals:
        if against is not None:
            _take_earlier(totals, against)
        limits = _zip_limits(zip_members, zip_bytes, zip_ratio)
        asked = Asked(doses=doses, compared=against is not None, title=title)
        archive = _audited(paths, exclude, given, limits, totals, asked)
        return _deliver(archive, given)


def _audited(
    paths: Sequence[str],
    exclude: Sequence[str],
    given: RunOptions,
    zip_limits: ZipLimits,
    totals: Totals,
    asked: Asked,
) -> Archive:
    from recipe_tools.archive.audit import audit
    from recipe_tools.archive.ignore_rules import of_patterns
    from recipe_tools.archive.report import archive_of

    current = Path.cwd()
    settings = Settings(overrides(given, current), current)
    known = baseline_file(given.baseline)
    walk = Walk(
        paths,
        current,
        exclude=of_patterns(exclude),
        max_bytes=given.limits.max_bytes,
        zip_limits=zip_limits,
    )
    request = RunRequest(
        confidence=given.confidence,
        baseline=_for_run(known, given, walk),
        baseline_shown=baseline_shown(given),
        jobs=given.jobs or _jobs(walk),
        cache_folder=_cache_folder(given),
        list_skipped=given.verbose,
        itemised=asked.compared or not _LISTING.isdisjoint(_formats(given)),
        doses=asked.doses,
    )
    silence = libraries_silenced() if asked.doses else nullcontext()
    watch = watched(lambda: _count(walk), "Auditing")
    with silence, _stoppable() as stop, watch as advance:
        findings = audit(walk, settings, request, totals, stop, advance)
    if given.verbose and request.cache_folder is not None:
        say(f"{totals.summary.reused} results came from the cache.")
    return archive_of(
        totals,
        findings,
        compared=asked.compared and not totals.summary.interrupted,
        roots=tuple(folder.shown for folder in walk.folders()),
        title=asked.title,
    )


def _formats(given: RunOptions) -> set[str]:
    return {given.format_name, *(name for name, _ in given.outputs)}


def _zip_limits(members: int | None, size: int | None, ratio: int | None) -> ZipLimits:
    """Return the limits given, the default for each that is not."""
    from recipe_tools.archive.zip_archive import DEFAULT_ZIP_LIMITS as DEFAULT
    from recipe_tools.archive.zip_archive import ZipLimits

    return ZipLimits(
        max_members=members or DEFAULT.max_members,
        max_total_bytes=size or DEFAULT.max_total_bytes,
        max_ratio=ratio or DEFAULT.max_ratio,
    )


def _for_run(known: Baseline, given: RunOptions, walk: Walk) -> Baseline:
    """Return the entries of a baseline under the names of this run, wherever it starts."""
    if given.baseline is None:
        return known
    discovery = Discovery(walk.named(), walk.folders())
    names = baseline_paths(given.baseline, discovery, known, given, walk.again().found())
    return names.for_run(known)


def _take_earlier(totals: Totals, path: str) -> None:
    from recipe_tools.archive.compare import CompareError, take_earlier

    try:
        take_earlier(totals, Path(path))
    except CompareError as error:
        raise click.UsageError(f"The earlier report {visible(path)} {error}.") from None


def _count(walk: Walk) -> int:
    return sum(1 for _ in walk.again().found(contents=False))


def _jobs(walk: Walk) -> int:
    usable = processors()
    if usable == 1:
        return 1
    files = sum(1 for _ in islice(walk.again().found(contents=False), WORTH_WORKERS))
    return worth_jobs(files, usable)


def _cache_folder(given: RunOptions) -> Path | None:
    """Return the folder of the cache, None where there is none to be used."""
    from recipe_tools.archive.cache import CacheUnusable, ResultCache, cache_folder

    if given.no_cache:
        return None
    try:
        folder = cache_folder()
        ResultCache(folder).close()
    except CacheUnusable as reason:
        if given.verbose:
            say(f"Without a cache: {reason}.")
        return None
    return folder


@contextmanager
def _stoppable() -> Iterator[Callable[[], bool]]:
    """Give a function that tells whether Ctrl-C was pressed; pressed again, it ends at once."""
    pressed = False

    def press(number: int, frame: FrameType | None) -> None:
        nonlocal pressed
        if pressed:
            raise KeyboardInterrupt
        pressed = True

    try:
        before = signal.signal(signal.SIGINT, press)
    except ValueError:  # not the main thread, which alone hears of signals
        yield lambda: False
        return
    try:
        yield lambda: pressed
    finally:
        signal.signal(signal.SIGINT, before)


def _deliver(archive: Archive, given: RunOptions) -> int:
    """Write all reports that were asked for and return the exit code."""
    from recipe_tools.reports import render_archive

    summary = archive.totals.summary
    complete = not summary.incomplete
    for name, file in given.outputs:
        try:
            write_file_pieces(file, render_archive(name, archive), machine=name != "text")
        except OSError as error:
            say(f"The {name} report could not be written to {file}: {error.strerror}.")
            complete = False
    if given.format_name == "text":
        from recipe_tools.reports import archive_text

        ink = Ink(wants_colour(given.color))
        write_pieces(archive_text.render(archive, ink, everything=given.verbose), machine=False)
    else:
        write_pieces(render_archive(given.format_name, archive), machine=True)
    if summary.interrupted:
        return INTERRUPTED
    if not complete:
        return INCOMPLETE
    return FOUND if _reaches(archive, given.fail_on) else CLEAN


def _reaches(archive: Archive, threshold: Severity | None) -> bool:
    """Tell whether an open finding stands at or above a severity, beside those on handling."""
    if threshold is None:
        return False
    judged = dict(zip(LEVELS, archive.totals.summary.findings, strict=True))
    for item in archive.findings:
        judged[item.severity or Severity.NOTE] -= item.is_handling
    return any(count for level, count in judged.items() if level >= threshold)
