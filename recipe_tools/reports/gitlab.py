"""Code quality as GitLab reads it: a subset of the Code Climate specification.

A list of what is open, worst first; what is accepted is left out. An empty list is a clean run.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

from recipe_tools.findings import Finding, Rule, Severity
from recipe_tools.reports.escaping import printable
from recipe_tools.reports.places import Place, Places, identity, numbered
from recipe_tools.reports.ranking import open_findings, severity_of
from recipe_tools.results import Run

_SEVERITIES = {Severity.ERROR: "critical", Severity.WARNING: "major", Severity.NOTE: "info"}


def render(run: Run, catalogue: Mapping[str, Rule]) -> str:
    """Return one JSON array; ends with a line feed."""
    entries = [
        _entry(finding, place, number, catalogue.get(finding.rule))
        for finding, place, number in numbered(open_findings(run), Places(run))
    ]
    return json.dumps(entries, separators=(",", ":")) + "\n"


def _entry(finding: Finding, place: Place, number: int, rule: Rule | None) -> dict[str, object]:
    text = finding.message
    if rule is not None and rule.remedy:
        text = f"{text.removesuffix('.')}. To do: {rule.remedy}"
    # One entry alone is shown of those with the same fingerprint, wherever they stand.
    told_apart = f"{place.path}\0{finding.rule}\0{identity(finding)}\0{number}"
    return {
        "description": printable(text),
        "check_name": finding.rule,
        "fingerprint": hashlib.sha256(told_apart.encode("utf-8", "surrogatepass")).hexdigest()[:32],
        "severity": _SEVERITIES[severity_of(finding)],
        "location": {
            "path": printable(place.path),
            "lines": {"begin": place.line, "end": place.end_line},
        },
    }
