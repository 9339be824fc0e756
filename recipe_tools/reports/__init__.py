"""Reports: each module turns the result of a run into one text and computes nothing anew."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from recipe_tools.findings import Rule
    from recipe_tools.results import Run

REPORTS: Mapping[str, str] = {
    "text": "text",
    "json": "json_report",
    "sarif": "sarif",
    "junit": "junit",
    "github": "github",
    "markdown": "markdown",
    "html": "html",
    "csv": "csv_report",
}
"""Name of a format -> module of this package with ``render(run, catalogue) -> str``."""


def render(name: str, run: Run, catalogue: Mapping[str, Rule]) -> str:
    """Return the report of a run in a format. Raises KeyError for a name not in `REPORTS`."""
    module = importlib.import_module(f"recipe_tools.reports.{REPORTS[name]}")
    text: str = module.render(run, catalogue)
    return text
