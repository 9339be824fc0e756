"""Reports: each module turns the result of a run into one text and computes nothing anew."""

from __future__ import annotations

import importlib
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from recipe_tools.archive.report import Archive
    from recipe_tools.findings import Rule
    from recipe_tools.results import Run

REPORTS: Mapping[str, str] = {
    "text": "text",
    "json": "json_report",
    "sarif": "sarif",
    "junit": "junit",
    "github": "github",
    "gitlab": "gitlab",
    "rdjson": "rdjson",
    "markdown": "markdown",
    "html": "html",
    "csv": "csv_report",
}
"""Name of a format -> module of this package with ``render(run, catalogue) -> str``."""


ARCHIVE_REPORTS: Mapping[str, str] = {
    "text": "archive_text",
    "json": "archive_json",
    "csv": "archive_csv",
    "html": "archive_html",
}
"""Name of a format -> module of this package with ``render(archive) -> Iterator[str]``."""


def render(name: str, run: Run, catalogue: Mapping[str, Rule]) -> str:
    """Return the report of a run in a format. Raises KeyError for a name not in `REPORTS`."""
    module = importlib.import_module(f"recipe_tools.reports.{REPORTS[name]}")
    text: str = module.render(run, catalogue)
    return text


def render_archive(name: str, archive: Archive) -> Iterator[str]:
    """Return the report of an archive piece by piece. Raises KeyError for an unknown format."""
    module = importlib.import_module(f"recipe_tools.reports.{ARCHIVE_REPORTS[name]}")
    pieces: Iterator[str] = module.render(archive)
    return pieces
