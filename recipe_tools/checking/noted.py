"""What a recipe accepts by lines of its own notes (see `noted_ignores`)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from recipe_tools.checking.checklist import Checklist, UnknownRule, covers, resolve
from recipe_tools.findings import Finding, find
from recipe_tools.noted_ignores import NotedIgnore, noted_ignores
from recipe_tools.results import IN_NOTES


class _Line(NamedTuple):
    """A line as it counts. rule: an id or topic. fault: why it counts for nothing."""

    said: NotedIgnore
    rule: str
    fault: str


class Noted:
    """The lines of one recipe, and which of them were of use."""

    def __init__(self, lines: Sequence[NotedIgnore], rules: Checklist) -> None:
        self._lines = [_read(line) for line in lines]
        self._rules = rules
        self._used: set[str] = set()
        self._failed = False

    def reason(self, finding: Finding) -> str | None:
        """Return why a finding is accepted; None where no line accepts it."""
        self._failed = self._failed or finding.rule.startswith("internal/")
        for line in self._lines:
            if not line.fault and covers((line.rule,), finding.rule):
                self._used.add(line.rule)
                return f"{line.said.reason}{IN_NOTES}"
        return None

    def complaints(self, at: str) -> Iterator[Finding]:
        """Yield what is wrong with the lines. at: the notes."""
        for line in self._lines:
            if line.fault:
                message = "The notes ask to ignore a finding, which counts for nothing: {fault}."
                yield find("suppression/unclear", message, at, fault=line.fault, value=line.rule)
            elif line.rule not in self._used and not self._failed and self._applied(line.rule):
                message = "The line of the notes to ignore {value} matches no finding."
                yield find("suppression/unused", message, at, value=line.rule)

    def _applied(self, name: str) -> bool:
        levels = self._rules.severities.items()
        return any(level is not None for rule, level in levels if covers((name,), rule))


def noted_in(notes: str, rules: Checklist) -> Noted | None:
    """Return what the notes of a recipe accept; None for nothing. rules: as they are applied."""
    lines = noted_ignores(notes)
    return Noted(lines, rules) if lines else None


def _read(line: NotedIgnore) -> _Line:
    if not line.rule:
        return _Line(line, "", "the line names no rule")
    try:
        rule = resolve(line.rule)
    except UnknownRule as error:
        hint = f"; the nearest is {error.nearest[0]}" if error.nearest else ""
        return _Line(line, line.rule, f"{line.rule} is not the name of a rule{hint}")
    fault = "" if line.reason else f"behind {rule} stands no `because` with a reason"
    return _Line(line, rule, fault)
