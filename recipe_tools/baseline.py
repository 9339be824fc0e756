"""Findings that are accepted for now: listed once, counted, and missed when they are gone.

The file is JSON, one entry a line, sorted, so that a change of it reads well in a review.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from recipe_tools.findings import Finding, Severity, number_value, severity_from_word

VERSION = 1
MAX_BYTES = 64 * 1024 * 1024
MAX_ENTRIES = 1_000_000
MAX_COUNT = 1_000_000_000

DRIFT = 0.03
"""Relative change of a number up to which a finding is the one accepted (derived_default).

Predictions move a little with everything in a recipe.
"""


_SEVERITIES = frozenset(level.word for level in Severity)


class BaselineError(Exception):
    """A baseline that cannot be used; the message says what is wrong with it."""


class Acceptance(NamedTuple):
    """What is accepted under a fingerprint: so many findings, no more severe and no worse.

    value: the number behind the finding, None where there was none.
    """

    count: int  # type: ignore[assignment]  # in place of the method of tuples
    severity: Severity
    value: float | None

    def covers(self, finding: Finding) -> bool:
        """Tell whether a finding of that fingerprint is still what was accepted."""
        value = number_value(finding.values)
        if (finding.severity or Severity.ERROR) > self.severity:
            return False
        return self.value is None or value is None or not _worse(finding.rule, self.value, value)


def _worse(rule: str, accepted: float, found: float) -> bool:
    """Tell whether a number went on in the direction the rule minds; either where none is said."""
    words = set(rule.replace("/", "-").split("-"))
    change, room = found - accepted, DRIFT * abs(accepted)
    if words & {"high", "above"}:
        return change > room
    return (-change if words & {"low", "below"} else abs(change)) > room


class Entry(NamedTuple):
    """Accepted findings of one kind in one file. rule: for the reader and for `prune`."""

    path: str
    fingerprint: str
    count: int  # type: ignore[assignment]  # in place of the method of tuples
    rule: str
    severity: str
    value: float | None = None


class FileMarks(NamedTuple):
    """What tells a file that was renamed or moved: digests, empty where there is nothing to digest.

    content: of its bytes. names: of the names of its recipes. brews: of their malts and amounts.
    """

    path: str
    content: str
    names: str
    brews: str


class Baseline(NamedTuple):
    """Accepted findings.

    files: marks of all that were checked. by_path: path -> fingerprint -> what is accepted.
    """

    entries: tuple[Entry, ...] = ()
    files: tuple[FileMarks, ...] = ()
    by_path: Mapping[str, Mapping[str, Acceptance]] = MappingProxyType({})

    def accepted(self, path: str) -> Mapping[str, Acceptance]:
        """Return what is accepted of each fingerprint in a file."""
        return self.by_path.get(path, {})


def of(entries: Iterable[Entry], files: Iterable[FileMarks] = ()) -> Baseline:
    """Return the baseline of some entries; equal ones are counted together.

    files: marks of all that were there, also of those without a finding.
    """
    merged: dict[tuple[str, str], Entry] = {}
    for entry in entries:
        key = (entry.path, entry.fingerprint)
        count = entry.count + (merged[key].count if key in merged else 0)
        merged[key] = entry._replace(count=count)
    by_path: dict[str, dict[str, Acceptance]] = {}
    for entry in merged.values():
        what = Acceptance(entry.count, severity_from_word(entry.severity), entry.value)
        by_path.setdefault(entry.path, {})[entry.fingerprint] = what
    marks = {item.path: item for item in files}
    return Baseline(
        tuple(merged[key] for key in sorted(merged)),
        tuple(marks[path] for path in sorted(marks)),
        by_path,
    )


def entries_of(findings: Iterable[Finding]) -> list[Entry]:
    """Return the entries that accept all given findings of files."""
    return [
        Entry(
            item.path,
            item.fingerprint,
            1,
            item.rule,
            (item.severity or Severity.ERROR).word,
            number_value(item.values),
        )
        for item in findings
        if item.path is not None
    ]


def read(text: bytes) -> Baseline:
    """Read a baseline file. Raises BaselineError."""
    if len(text) > MAX_BYTES:
        raise BaselineError(f"is larger than {MAX_BYTES} bytes")
    try:
        content = json.loads(text)
    except (ValueError, RecursionError):
        raise BaselineError("is not JSON") from None
    if not isinstance(content, dict) or content.get("version") != VERSION:
        raise BaselineError(f"is not a baseline of version {VERSION}")
    listed = content.get("accepted")
    if not isinstance(listed, list) or len(listed) > MAX_ENTRIES:
        raise BaselineError("has no list of accepted findings")
    files = content.get("files", [])
    if not isinstance(files, list) or len(files) > MAX_ENTRIES:
        raise BaselineError("has no list of files")
    return of(
        [_entry(item, number) for number, item in enumerate(listed, start=1)],
        [_marks(item, number) for number, item in enumerate(files, start=1)],
    )


def _marks(item: Any, number: int) -> FileMarks:
    values = [item.get(name) for name in FileMarks._fields] if isinstance(item, dict) else [None]
    if all(isinstance(value, str) for value in values):
        return FileMarks(*values)
    raise BaselineError(f"has a file {number} without {', '.join(FileMarks._fields)}")


def write(baseline: Baseline) -> str:
    """Return the text of a baseline file: the same entries always give the same text."""
    entries: list[dict[str, Any]] = []
    for entry in baseline.entries:
        entries.append(
            {
                "path": entry.path,
                "rule": entry.rule,
                "severity": entry.severity,
                "fingerprint": entry.fingerprint,
                "count": entry.count,
            }
        )
        if entry.value is not None:
            entries[-1]["value"] = entry.value
    files = [item._asdict() for item in baseline.files]
    body = f' "accepted": {_lines(entries)},\n "files": {_lines(files)}'
    return f'{{\n "version": {VERSION},\n{body}\n}}\n'


def _lines(items: Iterable[Mapping[str, Any]]) -> str:
    """Return a list with an item on each line."""
    body = ",\n".join(f"  {json.dumps(item)}" for item in items)
    return f"[\n{body}\n ]" if body else "[]"


def _entry(item: Any, number: int) -> Entry:
    if not isinstance(item, dict):
        raise BaselineError(f"has an entry {number} that is not an object")
    path, fingerprint, rule, severity = (
        item.get(name) for name in ("path", "fingerprint", "rule", "severity")
    )
    count, value = item.get("count", 1), item.get("value")
    if (
        isinstance(path, str)
        and isinstance(fingerprint, str)
        and isinstance(rule, str)
        and severity in _SEVERITIES
        and (value is None or (isinstance(value, (int, float)) and not isinstance(value, bool)))
        and isinstance(count, int)
        and not isinstance(count, bool)
        and 0 < count <= MAX_COUNT
    ):
        return Entry(path, fingerprint, count, rule, severity, value)
    raise BaselineError(
        f"has an entry {number} without path, fingerprint, rule, severity or a count above 0"
    )
