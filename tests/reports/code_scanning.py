"""What GitHub code scanning documents that it takes and needs of a SARIF log (read 2026-12)."""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterator
from typing import Any

LEVELS = ("error", "warning", "note", "none")
PRECISIONS = ("very-high", "high", "medium", "low")
SEVERITIES = ("error", "warning", "recommendation")
REGION = ("startLine", "startColumn", "endLine", "endColumn")


def complaints(text: str) -> list[str]:
    """Return what the service would refuse, cut or leave out of a log; nothing if all is well."""
    log = json.loads(text)
    found = list(_empty(log, ""))
    if len(gzip.compress(text.encode())) > 10_000_000:
        found.append("more than 10 MB compressed")
    if not 1 <= len(log["runs"]) <= 20:
        found.append("number of runs")
    for run in log["runs"]:
        rules = run["tool"]["driver"]["rules"]
        if len(run["results"]) > 25_000 or len(rules) > 25_000:
            found.append("number of results or rules")
        for rule in rules:
            found += [f"{rule['id']}: {fault}" for fault in _of_rule(rule)]
        for result in run["results"]:
            found += [f"{result['ruleId']}: {fault}" for fault in _of_result(result, rules)]
    return found


def _empty(value: Any, where: str) -> Iterator[str]:
    if value == "":
        yield f"empty string at {where}"
    items = value.items() if isinstance(value, dict) else ()
    items = enumerate(value) if isinstance(value, list) else items
    for key, item in items:
        # What we hand on of a recipe is ours to leave empty.
        if key != "properties" or "results" not in where:
            yield from _empty(item, f"{where}/{key}")


def _of_rule(rule: dict[str, Any]) -> Iterator[str]:
    if not 1 <= len(rule["name"]) <= 255:
        yield "name"
    for text in (rule["shortDescription"]["text"], rule["fullDescription"]["text"]):
        if not 1 <= len(text) <= 1024:
            yield "description"
    if not rule["help"]["text"]:
        yield "help"
    properties = rule["properties"]
    if len(properties["tags"]) > 20:
        yield "tags"
    if properties["precision"] not in PRECISIONS:
        yield "precision"
    if properties["problem.severity"] not in SEVERITIES:
        yield "problem.severity"


def _of_result(result: dict[str, Any], rules: list[dict[str, Any]]) -> Iterator[str]:
    if rules[result["ruleIndex"]]["id"] != result["ruleId"]:
        yield "ruleIndex"
    if result["level"] not in LEVELS:
        yield "level"
    if not result["message"]["text"]:
        yield "message"
    if not 1 <= len(result["locations"]) <= 1000 or len(result.get("relatedLocations", ())) > 1000:
        yield "number of locations"
    place = result["locations"][0]["physicalLocation"]
    if place["artifactLocation"]["uri"].endswith("/"):
        yield "a folder as place"
    region = place["region"]
    if set(region) != set(REGION) or not all(number >= 1 for number in region.values()):
        yield "region"
    if (region["startLine"], region["startColumn"]) >= (region["endLine"], region["endColumn"]):
        yield "an empty region"
    if not result["partialFingerprints"].get("primaryLocationLineHash"):
        yield "fingerprint"
    if result.get("fixes") == []:
        yield "empty fixes"
