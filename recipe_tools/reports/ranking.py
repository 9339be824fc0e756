"""Which findings come first where a format has room for some only, and exact counts of the rest."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from recipe_tools.findings import Finding, Severity
from recipe_tools.results import CheckedFile, Run

SEVERITIES = (Severity.ERROR, Severity.WARNING, Severity.NOTE)

ABOUT_FILES = frozenset({"baseline", "configuration", "file", "standard", "suppression"})
"""Topics of how something is written; those of the brew day weigh more."""


def severity_of(finding: Finding) -> Severity:
    """Return the severity; a finding nobody has judged counts as a note."""
    return finding.severity or Severity.NOTE


def by_severity(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings worst first, surest first among those; otherwise in the order given."""
    return sorted(findings, key=lambda item: (-severity_of(item), -item.confidence))


def most_telling(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings worst first, so that the first few say most.

    Of each severity what changes the brew day comes before how the file is written, and what a rule
    finds for the second time after what all others find once.
    """
    met: dict[str, int] = {}
    order = []
    for place, item in enumerate(by_severity(findings)):
        times = met[item.rule] = met.get(item.rule, 0) + 1
        about_file = item.rule.partition("/")[0] in ABOUT_FILES
        order.append(((-severity_of(item), about_file, times, place), item))
    return [item for _, item in sorted(order, key=lambda pair: pair[0])]


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
