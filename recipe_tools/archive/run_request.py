"""What a run is asked for, and what that comes to for one file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from recipe_tools.baseline import Baseline
from recipe_tools.config import Options
from recipe_tools.findings import Confidence
from recipe_tools.results import DEFAULT_CONFIDENCE


class FileSettings(NamedTuple):
    """What holds for a file.

    path: of the file, relative to the folder of its configuration. folder: that folder, None where
    there is no configuration.
    """

    options: Options
    path: str = ""
    folder: Path | None = None


OptionsOf = Callable[[Path], FileSettings]
"""Gives what holds for a file; the same options object for files that share a configuration."""


class RunRequest(NamedTuple):
    """How a run is made.

    confidence: findings below it are counted only. baseline: accepted findings, and
    the file they come from as reports show it. jobs: number of
    processes, 1 for none beside this one. cache_folder: of kept results, None to keep none; for an
    audit. list_skipped: keep skipped files in the result. itemised: an audit keeps each finding
    with its place, for reports that list them; otherwise it counts. partial: files were left out on
    purpose, so that nothing can be said of suppressions and accepted findings that match nothing.
    doses: work out what would repair each recipe in trouble; for an audit.
    """

    confidence: Confidence = DEFAULT_CONFIDENCE
    baseline: Baseline = Baseline()
    baseline_shown: str = ""
    jobs: int = 1
    cache_folder: Path | None = None
    list_skipped: bool = False
    itemised: bool = True
    partial: bool = False
    doses: bool = False
