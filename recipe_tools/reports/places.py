"""Where a finding stands for services that know nothing but files and lines.

They take neither a folder nor a finding of the whole run: that stands at the first line of the
first file it is about.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from recipe_tools.findings import Finding, ProposedEdit, fingerprint
from recipe_tools.results import Run


class Place(NamedTuple):
    """A stretch of a file: 1-based, columns in code points, end exclusive."""

    path: str
    line: int = 1
    column: int = 1
    end_line: int = 1
    end_column: int = 2


class Places:
    """The places of the findings of one run."""

    def __init__(self, run: Run) -> None:
        folders = {item.path for item in run.all_findings() if is_of_folder(item)}
        paths = (file.path for file in run.files if file.path not in folders)
        self._first = next(paths, None)
        self._utf8 = {file.path: file.utf8_columns for file in run.files}

    def of(self, finding: Finding) -> Place | None:
        """Return where a finding stands; None for a folder where the run met no file at all."""
        if is_of_folder(finding):
            return None if self._first is None else Place(self._first)
        path = finding.path or finding.about or self._first
        if path is None:
            return None
        place = None if finding.path is None else stretch(path, finding)
        if place is None:
            return Place(path)
        if place[3:] <= place[1:3]:
            # What is missing stands where it should be; there has to be something to mark.
            return place._replace(end_line=place.line, end_column=place.column + 1)
        return place

    def utf8_column(self, path: str, line: int, column: int) -> int:
        """Return a column counted in bytes of UTF-8 instead of code points."""
        return self._utf8.get(path, {}).get((line, column), column)


def stretch(path: str, item: Finding | ProposedEdit) -> Place | None:
    """Return the stretch of a finding or an edit, with all four numbers; None without a line."""
    if item.line is None:
        return None
    column = item.column or 1
    end_line = item.end_line or item.line
    return Place(path, item.line, column, end_line, item.end_column or column + 1)


def is_of_folder(finding: Finding) -> bool:
    """Tell whether a finding is about a folder."""
    return finding.rule == "file/no-recipes" or finding.values.get("value") == "folder"


def identity(finding: Finding) -> str:
    """Return the fingerprint, also of a finding of the whole run."""
    return finding.fingerprint or fingerprint(finding.rule, "", finding.values, 0)


def numbered(findings: list[Finding], places: Places) -> Iterator[tuple[Finding, Place, int]]:
    """Yield each finding with its place, and how many like it have stood in that file before.

    Where there is no file, the folder stands for it.
    """
    met: dict[tuple[str, str], int] = {}
    for finding in findings:
        place = places.of(finding) or Place(finding.path or ".")
        key = (place.path, identity(finding))
        met[key] = met.get(key, -1) + 1
        yield finding, place, met[key]
