"""Workflow commands: annotations on the lines of a change, for runners that read them in the log.

A service shows about ten annotations of a level for a step. Those that change the brew day stand
first, and of what one rule finds over and over the first; where the number is exceeded the exact
totals are stated.
"""

from __future__ import annotations

from collections.abc import Mapping

from recipe_tools.findings import Finding, Rule, Severity
from recipe_tools.reports.escaping import printable, workflow_data, workflow_property
from recipe_tools.reports.places import Place, Places
from recipe_tools.reports.ranking import (
    counted,
    most_telling,
    open_findings,
    plural,
    severity_of,
    tally,
)
from recipe_tools.results import Run

SHOWN_PER_LEVEL = 10
LINE_BREAK = "%0A"
_COMMANDS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "notice"}


def render(run: Run, catalogue: Mapping[str, Rule]) -> str:
    """Return one workflow command a line, worst first, and a last line with the totals."""
    findings, places = most_telling(open_findings(run)), Places(run)
    lines = [_command(item, places.of(item), catalogue.get(item.rule)) for item in findings]
    if max(tally(findings).values()) > SHOWN_PER_LEVEL:
        # It is a notice itself, and would be among those not shown if it came after the others.
        place = sum(severity_of(item) > Severity.NOTE for item in findings)
        lines.insert(place, _totals(run))
    lines.append(_summary(run))
    return "\n".join(lines) + "\n"


def _command(finding: Finding, place: Place | None, rule: Rule | None) -> str:
    properties = []
    if place is not None:
        properties.append(("file", place.path))
        properties += [(key, str(number)) for key, number in _position(place)]
    properties.append(("title", finding.rule))
    listed = ",".join(f"{key}={workflow_property(value)}" for key, value in properties)
    text = workflow_data(finding.message)
    if rule is not None and rule.remedy:
        text += f"{LINE_BREAK}{workflow_data(f'To do: {rule.remedy}')}"
    return f"::{_COMMANDS[severity_of(finding)]} {listed}::{text}"


def _position(place: Place) -> list[tuple[str, int]]:
    """Return the position; columns are counted in and belong to places within one line."""
    position = [("line", place.line), ("endLine", place.end_line)]
    if place.end_line == place.line:
        last = max(place.column, place.end_column - 1)
        position += [("col", place.column), ("endColumn", last)]
    return position


def _totals(run: Run) -> str:
    text = (
        f"{counted(run.counts())} in all. About {SHOWN_PER_LEVEL} of each level are shown for a "
        "step; the log of the step has every one."
    )
    return f"::notice title=recipe-tools::{workflow_data(text)}"


def _summary(run: Run) -> str:
    parts = [plural(len(run.files), "file"), plural(run.recipe_count, "recipe")]
    parts.append(counted(run.counts()))
    if run.not_checked:
        parts.append(f"{run.not_checked} not checked")
    if run.over_limit:
        parts.append(f"{sum(run.over_limit.values())} counted but not listed")
    if run.suppressed:
        parts.append(f"{run.suppressed} accepted")
    return printable(f"recipe-tools: {', '.join(parts)}")
