"""Which findings come first where a format has room for some only, and exact counts of the rest."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from recipe_tools.findings import Finding, Severity
from recipe_tools.results import CheckedFile, Run

SEVERITIES = (Severity.ERROR, Severity.WARNING, Severity.NOTE)


def severity_of(finding: Finding) -> Severity:
    """Return the severity; a finding nobody has judged counts as a note."""
    return finding.severity or Severity.NOTE


def by_severity(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings worst first, surest first among those; otherwise in the order given."""
    return sorted(findings, key=lambda item: (-severity_of(item), -item.confidence))


def open_findings(run: Run) -> list[Finding]:
    """Return the findings nobody has accepted, by severity."""
    return by_severity(item for item in run.all_findings() if item.suppressed is None)


def tally(findings: Iterable[Finding]) -> dict[Severity, int]:
    """Return the number of findings by severity, worst first."""
    total = dict.fromkeys(SEVERITIES, 0)
    for item in findings:
        total[severity_of(item)] += 1
    return total


def counted(counts: Mapping[Severity, int]) -> str:
    """Return counts in words: ``2 errors, 1 warning, 0 notes``."""
    return ", ".join(plural(counts[level], level.word) for level in SEVERITIES)


def plural(count: int, noun: str) -> str:
    """Return a count with its noun: ``1 recipe``, ``2 recipes``."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def recipe_names(file: CheckedFile) -> Mapping[int, str]:
    """Return the names of a file's recipes by their place in the file."""
    return {item.recipe.index: item.recipe.name for item in file.recipes}
