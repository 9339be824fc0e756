"""The diagnostic format that runners of code reviews read, as one object (rdjson).

Columns are counted in bytes of UTF-8, as that format wants it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from recipe_tools.findings import Finding, Rule, Severity
from recipe_tools.reports.escaping import printable
from recipe_tools.reports.places import Place, Places, numbered, stretch
from recipe_tools.reports.ranking import open_findings, severity_of
from recipe_tools.results import Run

_SEVERITIES = {Severity.ERROR: "ERROR", Severity.WARNING: "WARNING", Severity.NOTE: "INFO"}


def render(run: Run, catalogue: Mapping[str, Rule]) -> str:
    """Return the open findings as one JSON object, worst first; ends with a line feed."""
    places = Places(run)
    document = {
        "source": {"name": "recipe-tools"},
        "diagnostics": [
            _diagnostic(finding, place, places, catalogue.get(finding.rule))
            for finding, place, _ in numbered(open_findings(run), places)
        ],
    }
    return json.dumps(document, separators=(",", ":")) + "\n"


def _diagnostic(
    finding: Finding, place: Place, places: Places, rule: Rule | None
) -> dict[str, object]:
    to_do = f"\nTo do: {printable(rule.remedy)}" if rule is not None and rule.remedy else ""
    diagnostic: dict[str, object] = {
        "message": printable(finding.message) + to_do,
        "location": {"path": printable(place.path), "range": _range(place, places)},
        "severity": _SEVERITIES[severity_of(finding)],
        "code": {"value": finding.rule},
    }
    if suggestions := _suggestions(finding, places):
        diagnostic["suggestions"] = suggestions
    return diagnostic


def _range(place: Place, places: Places) -> dict[str, Any]:
    ends = {
        "start": (place.line, place.column),
        "end": (place.end_line, place.end_column),
    }
    return {
        name: {"line": line, "column": places.utf8_column(place.path, line, column)}
        for name, (line, column) in ends.items()
    }


def _suggestions(finding: Finding, places: Places) -> list[dict[str, Any]]:
    """Return a replacement for each place that shows the fault, where JSON can carry it."""
    if finding.path is None:
        return []
    return [
        {"range": _range(place, places), "text": edit.replacement}
        for edit in finding.edits
        if (place := stretch(finding.path, edit)) is not None
        and printable(edit.replacement) == edit.replacement
    ]
