"""A run as a command makes it: files found, checked, with progress where somebody watches."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.archive.discovery import shown
from recipe_tools.archive.many_files import check_content, check_files
from recipe_tools.archive.pipeline import worth_jobs
from recipe_tools.archive.run_request import RunRequest
from recipe_tools.archive.walk import Discovery, Found, discover
from recipe_tools.cli.settings import (
    Overrides,
    Settings,
    baseline_file,
    rule_names,
    water_report,
)
from recipe_tools.cli.shared import RunOptions
from recipe_tools.reports.terminal import visible
from recipe_tools.results import Run

if TYPE_CHECKING:
    from recipe_tools.baseline import Baseline
    from recipe_tools.cli.baseline_paths import BaselinePaths

STANDARD_INPUT = "-"
_PROGRESS_FROM = 50

FEWEST_PROCESSORS = 3
"""With fewer, taking in whole recipes costs this process what the workers save."""


def run_paths(paths: Sequence[str], given: RunOptions, *, progress: bool = True) -> Run:
    """Check files and folders. Raises click.UsageError for wrong use before anything is checked."""
    settings = settings_of(given)
    known = baseline_file(given.baseline)
    discovery = found(paths, given, settings)
    if given.baseline is not None:
        known = baseline_paths(given.baseline, discovery, known, given).for_run(known)
    return run_found(discovery, given, settings, known, progress=progress)


def settings_of(given: RunOptions) -> Settings:
    """Return what the command line and the configurations settle. Raises click.UsageError."""
    current = Path.cwd()
    return Settings(overrides(given, current), current)


def found(paths: Sequence[str], given: RunOptions, settings: Settings) -> Discovery:
    """Return the files to look at. Raises click.UsageError."""
    current = Path.cwd()
    discovery = discover(paths, current)
    if given.changed_since is None:
        return discovery
    return _changed(discovery, given, current, settings)


def run_found(
    discovery: Discovery,
    given: RunOptions,
    settings: Settings,
    baseline: Baseline,
    *,
    progress: bool = True,
) -> Run:
    """Check the files found. baseline: accepted findings, under the paths of the reports."""
    request = RunRequest(
        confidence=given.confidence,
        baseline=baseline,
        baseline_shown=baseline_shown(given),
        jobs=given.jobs or worth_jobs(len(discovery.files), processors(), FEWEST_PROCESSORS),
        list_skipped=given.verbose,
        partial=given.changed_since is not None,
    )
    files = len(discovery.files)
    with watched(lambda: files, "Checking", wanted=progress and files >= _PROGRESS_FROM) as advance:
        return check_files(discovery, settings, request, advance)


def baseline_shown(given: RunOptions) -> str:
    """Return the name of the baseline in reports, an empty one without."""
    if given.baseline is None:
        return ""
    path, current = Path(given.baseline), Path.cwd()
    return shown(os.path.normpath(current / path), current, absolute=path.is_absolute())


def baseline_paths(
    file: str,
    discovery: Discovery,
    known: Baseline,
    given: RunOptions,
    walked: Iterable[Found] | None = None,
) -> BaselinePaths:
    """Return how the paths of a baseline file and those of the reports belong together.

    walked: the files of the run where discovery has not all of them.
    """
    from recipe_tools.cli.baseline_paths import BaselinePaths

    folder = Path(os.path.abspath(file)).parent  # noqa: PTH100
    return BaselinePaths(folder, discovery, known, given.limits, walked)


def run_standard_input(given: RunOptions, name: str) -> Run:
    """Check what comes on standard input, shown under a name."""
    current = Path.cwd()
    place, shown = current / name, Path(name).as_posix()
    in_force = settings_of(given)(place)
    known = baseline_file(given.baseline)
    if given.baseline is not None:
        here = Found(shown, place.as_posix(), "", named=True)
        known = baseline_paths(given.baseline, Discovery((here,)), known, given).for_run(known)
    request = RunRequest(
        confidence=given.confidence, baseline=known, baseline_shown=baseline_shown(given)
    )
    data = _standard_input(in_force.options.limits.max_bytes + 1)
    return check_content(data, place, shown, in_force, request)


def _standard_input(most: int) -> bytes:
    """Return at most so many bytes; asked for all at once, Python would first make room for all."""
    parts = []
    while most > 0 and (part := sys.stdin.buffer.read(min(most, 1 << 20))):
        parts.append(part)
        most -= len(part)
    return b"".join(parts)


def overrides(given: RunOptions, current: Path) -> Overrides:
    """Return what the command line settles. Raises click.UsageError."""
    if given.config is not None and given.no_config:
        raise click.UsageError("--config and --no-config exclude each other.")
    return Overrides(
        config=None if given.config is None else Path(given.config),
        no_config=given.no_config,
        no_readings=given.no_readings,
        remembers=not given.no_cache,
        water=water_report(given.water),
        only=rule_names(given.only),
        without=rule_names(given.without),
        limits=given.limits,
        today=given.today,
    )


def _changed(
    discovery: Discovery, given: RunOptions, current: Path, settings: Settings
) -> Discovery:
    """Keep the files that differ from a revision, or whose water or configuration does."""
    from recipe_tools.archive.revisions import RevisionError, changed_files, place

    try:
        changed = changed_files(current, given.changed_since or "")
    except RevisionError as error:
        raise click.UsageError(visible(str(error))) from None
    if given.water is not None and place(current / given.water) in changed:
        return discovery
    kept = tuple(
        file
        for file in discovery.files
        if file.refused is not None
        or place(Path(file.path)) in changed
        or settings.governed_by(Path(file.path), changed)
    )
    return Discovery(kept)


def processors() -> int:
    """Return the number of processors this process may use."""
    usable = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 0
    return usable or os.cpu_count() or 1


@contextmanager
def watched(
    files: Callable[[], int], doing: str, *, wanted: bool = True
) -> Iterator[Callable[[int], None]]:
    """Give a function that shows progress on standard error, if that is a terminal.

    files: counts them, where they are to be shown. doing: what the bar is called.
    """
    if not wanted or not sys.stderr.isatty():
        yield lambda count: None
        return
    started = time.monotonic()
    done = 0
    with click.progressbar(
        length=files(), label=doing, file=sys.stderr, show_pos=True, show_eta=True
    ) as bar:

        def advance(count: int) -> None:
            nonlocal done
            done += count
            passed = time.monotonic() - started
            if passed > 0:
                rate = done / passed
                bar.label = f"{doing} {rate:6.{0 if rate >= 10 else 1}f} files/s"
            bar.update(count)

        yield advance
