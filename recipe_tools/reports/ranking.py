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


_BY_HARM = ("internal", "file", "addition", "water", "mash-ph", "sparge", "ions", "recipe")
"""Topics by what their findings do to brewer and beer where severities are the same: a wrong dose
and a wrong water come before what follows from them (derived_default)."""


def most_harmful_first(findings: Iterable[Finding]) -> list[Finding]:
    """Return findings by severity, then topic, then the surer ones; otherwise in the order given.

    What says how to handle a product, or how the file is written, comes last.
    """
    return sorted(findings, key=_harm)


def _harm(item: Finding) -> tuple[int, int, int]:
    topic = item.rule.partition("/")[0]
    rank = _BY_HARM.index(topic) if topic in _BY_HARM else len(_BY_HARM)
    return -severity_of(item), rank, -item.confidence


def most_telling(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings worst first, so that the first few say most.

    Of each severity what changes the brew day comes before how the file is written, and what a rule
    finds for the second time after what all others find once.
    """
    met: dict[str, int] = {}
    order = []
    for place, item in enumerate(most_harmful_first(findings)):
        times = met[item.rule] = met.get(item.rule, 0) + 1
        about_file = item.rule.partition("/")[0] in ABOUT_FILES
        order.append(((-severity_of(item), about_file, times, place), item))
    return [item for _, item in sorted(order, key=lambda pair: pair[0])]


def open_findings(run: Run) -> list[Finding]:
    """Return the findings nobody has accepted, most harmful first."""
    return most_harmful_first(item for item in run.all_findings() if item.suppressed is None)


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
