"""Findings that are accepted for now: listed once, counted, and missed when they are gone.

The file is JSON, one entry a line, sorted, so that a change of it reads well in a review.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from recipe_tools.findings import Finding, Severity

VERSION = 1
MAX_BYTES = 64 * 1024 * 1024
MAX_ENTRIES = 1_000_000
MAX_COUNT = 1_000_000_000


class BaselineError(Exception):
    """A baseline that cannot be used; the message says what is wrong with it."""


class Entry(NamedTuple):
    """Accepted findings of one kind in one file. rule, severity: for the reader and for `prune`."""

    path: str
    fingerprint: str
    count: int  # type: ignore[assignment]  # in place of the method of tuples
    rule: str
    severity: str


class Baseline(NamedTuple):
    """Accepted findings. by_path: path -> fingerprint -> number accepted."""

    entries: tuple[Entry, ...] = ()
    by_path: Mapping[str, Mapping[str, int]] = MappingProxyType({})

    def accepted(self, path: str) -> Mapping[str, int]:
        """Return how many findings of each fingerprint are accepted in a file."""
        return self.by_path.get(path, {})


def of(entries: Iterable[Entry]) -> Baseline:
    """Return the baseline of some entries; equal ones are counted together."""
    merged: dict[tuple[str, str], Entry] = {}
    for entry in entries:
        key = (entry.path, entry.fingerprint)
        count = entry.count + (merged[key].count if key in merged else 0)
        merged[key] = Entry(entry.path, entry.fingerprint, count, entry.rule, entry.severity)
    by_path: dict[str, dict[str, int]] = {}
    for entry in merged.values():
        by_path.setdefault(entry.path, {})[entry.fingerprint] = entry.count
    return Baseline(tuple(merged[key] for key in sorted(merged)), by_path)


def from_findings(findings: Iterable[Finding]) -> Baseline:
    """Return the baseline that accepts all given findings of files."""
    return of(
        Entry(item.path, item.fingerprint, 1, item.rule, (item.severity or Severity.ERROR).word)
        for item in findings
        if item.path is not None
    )


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
    return of(_entry(item, number) for number, item in enumerate(listed, start=1))


def write(baseline: Baseline) -> str:
    """Return the text of a baseline file: the same entries always give the same text."""
    lines = [
        "  "
        + json.dumps(
            {
                "path": entry.path,
                "rule": entry.rule,
                "severity": entry.severity,
                "fingerprint": entry.fingerprint,
                "count": entry.count,
            }
        )
        for entry in baseline.entries
    ]
    body = ",\n".join(lines)
    accepted = f"[\n{body}\n ]" if lines else "[]"
    return f'{{\n "version": {VERSION},\n "accepted": {accepted}\n}}\n'


def _entry(item: Any, number: int) -> Entry:
    if not isinstance(item, dict):
        raise BaselineError(f"has an entry {number} that is not an object")
    path, fingerprint, rule, severity = (
        item.get(name) for name in ("path", "fingerprint", "rule", "severity")
    )
    count = item.get("count", 1)
    if (
        isinstance(path, str)
        and isinstance(fingerprint, str)
        and isinstance(rule, str)
        and isinstance(severity, str)
        and isinstance(count, int)
        and not isinstance(count, bool)
        and 0 < count <= MAX_COUNT
    ):
        return Entry(path, fingerprint, count, rule, severity)
    raise BaselineError(
        f"has an entry {number} without path, fingerprint, rule, severity or a count above 0"
    )
