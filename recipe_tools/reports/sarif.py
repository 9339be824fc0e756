"""SARIF 2.1.0 (OASIS Standard): findings for code-scanning services and editors.

Services take 25,000 results and 10 MB of compressed text for a run and show 5,000 results. The
results therefore stand by severity; what is over is left out from the end, and the properties of
the run hold the exact counts of all findings and of those left out. Each result has a file and a
line; only the rules that found something are listed.
"""

from __future__ import annotations

import gzip
import json
import re
import sys
from collections.abc import Mapping, Sequence
from typing import Any

from recipe_tools import __version__
from recipe_tools.findings import Finding, Related, Rule, Severity
from recipe_tools.recipe import FormatName
from recipe_tools.reports.escaping import printable, sarif_text, uri_path
from recipe_tools.reports.places import Place, Places, identity, stretch
from recipe_tools.reports.ranking import (
    ABOUT_FILES,
    most_harmful_first,
    plural,
    recipe_names,
    tally,
)
from recipe_tools.results import IN_NOTES, CheckedFile, Run

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"
ROOT = "%SRCROOT%"
FINGERPRINTS = ("recipeToolsFinding/v1", "primaryLocationLineHash")
"""Ours, and the one by which code scanning knows an alert again, where it would hash the line."""

MAX_RESULTS = 25_000
MAX_COMPRESSED_BYTES = 10_000_000
MAX_RELATED = 100
MAX_DESCRIPTION = 1024

_PROBLEM_SEVERITIES = {
    Severity.ERROR: "error",
    Severity.WARNING: "warning",
    Severity.NOTE: "recommendation",
}

_KIND_OF_PLACE: Mapping[FormatName | None, str] = {"beerxml": "element", "beerjson": "value"}


def render(run: Run, catalogue: Mapping[str, Rule]) -> str:
    """Return the run as one SARIF log with one run; ends with a line feed."""
    findings = most_harmful_first(run.all_findings())
    log = _Log(run, catalogue)
    shown = findings[:MAX_RESULTS]
    text = log.text(shown, findings)
    while shown and _too_large(text):
        shown = shown[: len(shown) // 2]
        text = log.text(shown, findings)
    return text


def _too_large(text: str) -> bool:
    data = text.encode("ascii")
    if len(data) <= MAX_COMPRESSED_BYTES:
        return False
    return len(gzip.compress(data, mtime=0)) > MAX_COMPRESSED_BYTES


class _Log:
    """The parts of the log that stay the same however many results are shown."""

    def __init__(self, run: Run, catalogue: Mapping[str, Rule]) -> None:
        self.run = run
        self.places = Places(run)
        used = {item.rule for item in run.all_findings()}
        self.rules = [rule for name, rule in catalogue.items() if name in used]
        self.rule_index = {item.id: place for place, item in enumerate(self.rules)}
        self.files = {file.path: file for file in run.files}
        self.file_index = {file.path: place for place, file in enumerate(run.files)}
        self.names = {file.path: recipe_names(file) for file in run.files}

    def text(self, shown: Sequence[Finding], findings: Sequence[Finding]) -> str:
        document = {
            "$schema": SCHEMA,
            "version": "2.1.0",
            "runs": [self._run(shown, findings)],
        }
        return json.dumps(document, separators=(",", ":"), allow_nan=False) + "\n"

    def _run(self, shown: Sequence[Finding], findings: Sequence[Finding]) -> dict[str, Any]:
        return {
            "tool": {
                "driver": {
                    "name": "recipe-tools",
                    "version": __version__,
                    "semanticVersion": __version__,
                    "language": "en",
                    "rules": [_rule(item) for item in self.rules],
                }
            },
            "language": "en",
            "columnKind": "unicodeCodePoints",
            "originalUriBaseIds": {
                ROOT: {"description": {"text": "The folder the paths of this report start from."}}
            },
            "invocations": [self._invocation()],
            "artifacts": [_artifact(file) for file in self.run.files],
            "results": [self._result(item) for item in shown if self.places.of(item) is not None],
            "properties": self._counts(findings, findings[len(shown) :]),
        }

    def _counts(self, findings: Sequence[Finding], left_out: Sequence[Finding]) -> dict[str, Any]:
        run = self.run
        omitted = tally(left_out)
        return {
            "files": len(run.files),
            "recipes": run.recipe_count,
            "notChecked": run.not_checked,
            "skipped": run.skipped,
            "findings": {level.word: count for level, count in run.counts().items()},
            "suppressed": run.suppressed,
            "hiddenByConfidence": dict(run.hidden),
            "countedButNotListed": dict(run.over_limit),
            "resultsLeftOut": {level.word: count for level, count in omitted.items()},
            "resultsInTotal": len(findings),
        }

    def _invocation(self) -> dict[str, Any]:
        notifications = [
            note for file in self.run.files if file.incomplete for note in self._notifications(file)
        ]
        notifications += [
            self._notification(item) for item in self.run.findings if self._stops(item)
        ]
        invocation: dict[str, Any] = {"executionSuccessful": not self.run.incomplete}
        if notifications:
            invocation["toolExecutionNotifications"] = notifications
        return invocation

    def _stops(self, finding: Finding) -> bool:
        index = self.rule_index.get(finding.rule)
        declared = index is not None and self.rules[index].not_checked
        return declared or finding.rule.startswith("internal/")

    def _notifications(self, file: CheckedFile) -> list[dict[str, Any]]:
        reasons = [item for item in file.findings if self._stops(item)]
        if reasons:
            return [self._notification(item) for item in reasons]
        text = f"{file.path}: this file, or a part of its check, did not come to an end."
        place = {"physicalLocation": {"artifactLocation": self._artifact_location(file.path)}}
        return [{"level": "error", "message": {"text": sarif_text(text)}, "locations": [place]}]

    def _notification(self, finding: Finding) -> dict[str, Any]:
        note: dict[str, Any] = {
            "level": "error",
            "message": {"text": sarif_text(finding.message)},
            "locations": [self._location(finding)],
        }
        if finding.rule in self.rule_index:
            note["associatedRule"] = self._rule_reference(finding.rule)
        return note

    def _rule_reference(self, rule: str) -> dict[str, Any]:
        return {"id": rule, "index": self.rule_index[rule]}

    def _result(self, finding: Finding) -> dict[str, Any]:
        result: dict[str, Any] = {"ruleId": finding.rule}
        if finding.rule in self.rule_index:
            result["ruleIndex"] = self.rule_index[finding.rule]
        if finding.severity is not None:
            result["level"] = finding.severity.word
        result["message"] = {"text": sarif_text(finding.message)}
        result["locations"] = [self._location(finding)]
        if finding.related:
            result["relatedLocations"] = self._related(finding)
        result["partialFingerprints"] = dict.fromkeys(FINGERPRINTS, identity(finding))
        if edits := self._edits(finding):
            result["fixes"] = edits
        if finding.suppressed is not None:
            kind = "inSource" if finding.suppressed.endswith(IN_NOTES) else "external"
            result["suppressions"] = [
                {"kind": kind, "justification": printable(finding.suppressed)}
            ]
        result["properties"] = self._properties(finding)
        return result

    def _properties(self, finding: Finding) -> dict[str, Any]:
        properties: dict[str, Any] = {"confidence": finding.confidence.word}
        if finding.recipe is not None:
            properties["recipe"] = finding.recipe
            name = self.names.get(finding.path or "", {}).get(finding.recipe)
            if name is not None:
                properties["recipeName"] = printable(name)
        if finding.values:
            properties["values"] = _plain(finding.values)
        return properties

    def _location(self, finding: Finding) -> dict[str, Any]:
        place = self.places.of(finding) or Place(finding.path or ".")
        location: dict[str, Any] = {
            "physicalLocation": {
                "artifactLocation": self._artifact_location(place.path),
                "region": _region(place),
            }
        }
        if finding.path is not None and finding.pointer:
            location["logicalLocations"] = [self._logical(finding.path, finding.pointer)]
        return location

    def _logical(self, path: str, pointer: str) -> dict[str, Any]:
        file = self.files.get(path)
        kind = _KIND_OF_PLACE.get(file.format if file else None)
        place: dict[str, Any] = {"fullyQualifiedName": printable(pointer)}
        if kind:
            place["kind"] = kind
        return place

    def _artifact_location(self, path: str) -> dict[str, Any]:
        location = _file_location(path)
        if path in self.file_index:
            location["index"] = self.file_index[path]
        return location

    def _related(self, finding: Finding) -> list[dict[str, Any]]:
        return [
            self._related_location(finding, place, item)
            for place, item in enumerate(finding.related[:MAX_RELATED])
        ]

    def _related_location(self, finding: Finding, place: int, item: Related) -> dict[str, Any]:
        location: dict[str, Any] = {"id": place, "message": {"text": sarif_text(item.message)}}
        if finding.path is not None:
            physical: dict[str, Any] = {"artifactLocation": self._artifact_location(finding.path)}
            if item.line is not None:
                physical["region"] = {"startLine": item.line, "startColumn": item.column or 1}
            location["physicalLocation"] = physical
            if item.pointer:
                location["logicalLocations"] = [self._logical(finding.path, item.pointer)]
        return location

    def _edits(self, finding: Finding) -> list[dict[str, Any]]:
        """Return the edits as one proposal with a replacement for each place, or nothing.

        Several ``fixes`` would be alternatives. An edit whose value does not stand in the file, or
        that JSON could not carry as it is, is left out.
        """
        usable = [
            edit
            for edit in finding.edits
            if edit.line is not None and printable(edit.replacement) == edit.replacement
        ]
        if finding.path is None or not usable:
            return []
        change = {
            "artifactLocation": self._artifact_location(finding.path),
            "replacements": [
                {"deletedRegion": _region(place), "insertedContent": {"text": edit.replacement}}
                for edit in usable
                if (place := stretch(finding.path, edit)) is not None
            ],
        }
        text = usable[0].description
        if len(usable) > 1:
            text += f", and the like in {plural(len(usable) - 1, 'more place')}"
        if not usable[0].keeps_meaning:
            text += f" ({usable[0].kind})"
        return [{"description": {"text": sarif_text(text)}, "artifactChanges": [change]}]


def _region(place: Place) -> dict[str, int]:
    keys = ("startLine", "startColumn", "endLine", "endColumn")
    return dict(zip(keys, place[1:], strict=True))


def _file_location(path: str) -> dict[str, Any]:
    """Return the place of a file; an absolute path is a URI of its own and starts from no folder.

    SARIF 2.1.0, 3.4.4: with a `uriBaseId` the URI is a relative reference.
    """
    if path.startswith("/"):
        # Of two slashes the second stands before the name of a server.
        return {"uri": f"file:{'' if path.startswith('//') else '//'}{uri_path(path)}"}
    if sys.platform == "win32" and path[1:3] == ":/":
        return {"uri": f"file:///{path[:2]}{uri_path(path[2:])}"}
    return {"uri": uri_path(path), "uriBaseId": ROOT}


def _artifact(file: CheckedFile) -> dict[str, Any]:
    artifact: dict[str, Any] = {
        "location": _file_location(file.path),
        "roles": ["analysisTarget"],
    }
    if file.format:
        artifact["mimeType"] = "application/xml" if file.format == "beerxml" else "application/json"
    if file.data_digest:
        artifact["hashes"] = {"sha-256": file.data_digest}
    artifact["properties"] = {"status": file.status, "recipes": len(file.recipes)}
    return artifact


def _rule(rule: Rule) -> dict[str, Any]:
    declared: dict[str, Any] = {
        "id": rule.id,
        "name": "".join(part.capitalize() for part in re.split("[/-]", rule.id)),
        "shortDescription": {"text": sarif_text(rule.summary)[:MAX_DESCRIPTION]},
        "fullDescription": {"text": sarif_text(rule.why)[:MAX_DESCRIPTION]},
        "help": {"text": _help_text(rule), "markdown": _help_markdown(rule)},
        "defaultConfiguration": {"level": rule.severity.word},
        "properties": {
            "tags": [rule.topic],
            "precision": "very-high" if rule.topic in ABOUT_FILES else "high",
            "problem.severity": _PROBLEM_SEVERITIES[rule.severity],
            "source": printable(rule.source),
        },
    }
    if rule.aliases:
        declared["deprecatedIds"] = list(rule.aliases)
    return declared


def _help_text(rule: Rule) -> str:
    lines = [rule.why, f"What to do: {rule.remedy}", f"Source: {rule.source}"]
    lines += [
        f"Option {name}: {option.default} {option.unit}. {option.text}"
        for name, option in rule.options.items()
    ]
    return "\n".join(sarif_text(line) for line in lines)


def _help_markdown(rule: Rule) -> str:
    lines = [
        sarif_text(rule.why),
        "",
        f"**What to do:** {sarif_text(rule.remedy)}",
        "",
        f"**Source:** {sarif_text(rule.source)}",
    ]
    if rule.options:
        lines += ["", "| option | default | unit | meaning |", "|---|---|---|---|"]
        lines += [
            f"| `{name}` | {_cell(option.default)} | {_cell(option.unit)} | {_cell(option.text)} |"
            for name, option in rule.options.items()
        ]
    return "\n".join(lines)


def _cell(value: Any) -> str:
    return sarif_text(str(value)).replace("|", "\\|")


def _plain(value: Any) -> Any:
    """Return a value as JSON holds it: numbers finite, texts printable, keys texts."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, Mapping):
        return {printable(str(key)): _plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        items = sorted(value, key=str) if isinstance(value, (set, frozenset)) else value
        return [_plain(item) for item in items]
    if isinstance(value, float) and value - value != 0:
        return str(value)
    if value is None or isinstance(value, (bool, int, float)):
        return value
    return printable(str(value))
