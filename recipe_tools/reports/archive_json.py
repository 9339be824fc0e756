"""The audit of an archive as JSON, described by schemas/archive.schema.json.

Written piece by piece, a line for each file, so that size costs no memory and `audit --against`
can read it the same way. The same archive always gives the same bytes.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from recipe_tools import __version__
from recipe_tools.archive.compare import changes, recipe_changes
from recipe_tools.archive.distributions import Distribution
from recipe_tools.archive.recipe_changes import Kind
from recipe_tools.archive.records import LEVELS
from recipe_tools.archive.report import Archive
from recipe_tools.archive.totals import FileLine, GroupTotal, RecipeLine
from recipe_tools.findings import Finding, Severity
from recipe_tools.reports.escaping import json_visible
from recipe_tools.reports.json_report import number
from recipe_tools.results import SCHEMA_VERSION

WORST = 100
"""Recipes listed under ``worst`` (derived_default); ``files`` has them all."""

Json = dict[str, Any]

_GROUPS = (
    ("families", "family"),
    ("brewers", "brewer"),
    ("years", "year"),
    ("waters", "water"),
)


def render(archive: Archive) -> Iterator[str]:
    """Yield the report, ending with a line feed."""
    yield "{\n"
    yield f'"schema_version": "{SCHEMA_VERSION}",\n"kind": "archive",\n'
    yield from _member("tool", {"name": "recipe-tools", "version": __version__})
    yield from _member("summary", _summary(archive))
    yield from _list(
        "rules", (item._asdict() | {"severity": item.severity.word} for item in archive.rules)
    )
    for name, column in _GROUPS:
        yield from _list(name, (_group(item) for item in archive.totals.groups(column)))
    yield from _list("distributions", (_distribution(item) for item in archive.distributions))
    worst = archive.totals.worst(WORST)
    yield from _list("worst", (_line(item) for item in worst))
    yield from _list("alike", _alike(archive))
    yield from _list("not_checked", (item._asdict() for item in archive.totals.failures()))
    yield from _member("comparison", _comparison(archive))
    yield from _list("findings", (_finding(item) for item in archive.findings))
    yield '"files": [\n'
    first = True
    for file in archive.totals.files():
        yield ("" if first else ",\n") + _text(_file(file))
        first = False
    yield "\n]\n}\n" if not first else "]\n}\n"


def _text(value: Any) -> str:
    return json_visible(json.dumps(value, ensure_ascii=False, allow_nan=False))


def _member(name: str, value: Any) -> Iterator[str]:
    yield f'"{name}": {_text(value)},\n'


def _list(name: str, items: Iterable[Any]) -> Iterator[str]:
    first = True
    for item in items:
        yield (f'"{name}": [\n' if first else ",\n") + _text(item)
        first = False
    yield f'"{name}": [],\n' if first else "\n],\n"


def _summary(archive: Archive) -> Json:
    summary = archive.totals.summary
    return {
        "files": summary.files,
        "recipes": summary.recipes,
        "troubled": archive.troubled,
        "water_unknown": archive.water_unknown,
        "beers": archive.totals.count("beers"),
        "not_checked": summary.not_checked,
        "skipped": summary.skipped,
        "other": summary.other,
        "ignored": summary.ignored,
        "interrupted": summary.interrupted,
        "not_reached": summary.not_reached,
        "findings": _counts(summary.findings),
        "accepted": summary.accepted,
        "hidden": dict(sorted(summary.hidden.items())),
    }


def _counts(counts: Iterable[int]) -> Json:
    return {level.word: count for level, count in zip(LEVELS, counts, strict=True)}


def _group(item: GroupTotal) -> Json:
    return {
        "name": None if item.name == "" else item.name,
        "recipes": item.recipes,
        "troubled": item.troubled,
        "water_unknown": item.water_unknown,
        "findings": _counts((item.errors, item.warnings, item.notes)),
        "mash_ph": {"predicted": item.ph_predicted, "within": item.ph_within},
    }


def _distribution(item: Distribution) -> Json:
    histogram = item.histogram
    quartiles = item.quartiles
    return {
        "quantity": item.quantity,
        "unit": "pH" if item.quantity == "mash_ph" else "mg/L",
        "count": item.count,
        "quartiles": None if quartiles is None else [number(value) for value in quartiles],
        "below": item.below,
        "within": item.within,
        "above": item.above,
        "limit": number(item.limit),
        "over_limit": item.over_limit,
        "histogram": {
            "start": histogram.start,
            "step": histogram.step,
            "counts": list(histogram.counts),
            "under": histogram.under,
            "beyond": histogram.beyond,
        },
        "exempt": item.not_judged("exempt"),
        "water_unknown": item.not_judged("water unknown"),
    }


def _line(line: RecipeLine) -> Json:
    item = line.recipe
    return {
        "path": line.path,
        "versions": line.versions,
        "recipe": item.place,
        "name": item.name,
        "brewer": item.brewer,
        "year": item.year,
        "family": item.family or None,
        "mash_ph": item.ph,
        "findings": _counts((item.errors, item.warnings, item.notes)),
        "trouble": {"error": item.bad_errors, "warning": item.bad_warnings},
        "doses": item.doses or None,
    }


def _alike(archive: Archive) -> Iterator[Json]:
    for group in archive.alike:
        members = archive.members(group)
        yield {
            "kind": group.kind,
            "recipes": [
                {"path": item.path, "recipe": item.recipe.place, "name": item.recipe.name}
                for item in members
            ],
        }


def _file(item: FileLine) -> Json:
    return {
        "path": item.path,
        "format": item.format,
        "status": item.status,
        "recipes": [recipe.entry() for recipe in item.recipes],
        **item.findings(),
    }


def _comparison(archive: Archive) -> Json | None:
    if archive.comparison is None:
        return None
    kinds: tuple[Kind, ...] = ("newly out", "worse", "new", "better", "gone")
    found = recipe_changes(archive.totals, kinds)
    return {
        **archive.comparison._asdict(),
        "recipe_changes": [item.entry() for item in found],
        "changes": [item._asdict() for item in changes(archive.totals)],
    }


def _finding(item: Finding) -> Json:
    return {
        "rule": item.rule,
        "severity": (item.severity or Severity.NOTE).word,
        "confidence": item.confidence.word,
        "message": item.message,
    }
