"""A file's entry in the JSON report of an audit, and the short form in which it is kept.

The short form has no names of members: most of an entry would be those, and most runs never write
it out. `entry_of` puts them back.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from recipe_tools.archive.marks import AGAINST, OVER, RecipeMarks
from recipe_tools.findings import Confidence, Finding, Severity
from recipe_tools.recipe import IONS
from recipe_tools.results import CheckedFile

Json = dict[str, Any]

_TOLD = RecipeMarks._fields.index("whole")
"""Number of marks an entry tells; those behind them only say which recipes are alike."""

_FINDING = (
    "rule",
    "severity",
    "confidence",
    "message",
    "recipe",
    "pointer",
    "line",
    "column",
    "fingerprint",
    "suppressed",
)


def short_entry(
    file: CheckedFile, recipes: Sequence[RecipeMarks], amounts: Sequence[Sequence[Any]]
) -> list[Any]:
    """Return what `entry_of` makes an entry of.

    amounts: of each recipe litres of beer, kg of grist, and whether its water is known.
    """
    return [
        file.format,
        file.status,
        [(*marks[:_TOLD], *amount) for marks, amount in zip(recipes, amounts, strict=True)],
        [_short(item) for item in file.findings],
        [(item.rule, int(item.severity), item.count) for item in file.unlisted],
    ]


def _short(item: Finding) -> tuple[Any, ...]:
    return (
        item.rule,
        int(item.severity or Severity.NOTE),
        int(item.confidence),
        item.message,
        item.recipe,
        item.pointer,
        item.line,
        item.column,
        item.fingerprint,
        item.suppressed,
    )


def entry_of(text: str) -> Json:
    """Return the entry of a file, without its path. text: its short form as JSON."""
    format_name, status, recipes, findings, unlisted = json.loads(text)
    entry: Json = {
        "format": format_name,
        "status": status,
        "recipes": [_recipe(*item) for item in recipes],
        "findings": [_finding(item) for item in findings],
    }
    if unlisted:
        entry["unlisted"] = [
            {"rule": rule, "severity": Severity(severity).word, "count": count}
            for rule, severity, count in unlisted
        ]
    return entry


def _finding(values: Sequence[Any]) -> Json:
    entry = dict(zip(_FINDING, values, strict=True))
    entry["severity"] = Severity(entry["severity"]).word
    entry["confidence"] = Confidence(entry["confidence"]).word
    return entry


def _recipe(*values: Any) -> Json:
    *head, batch_l, grist_kg, water_known = values
    marks = RecipeMarks._make([*head, "", "", (), ""])
    return {
        "index": marks.place,
        "name": marks.name,
        "brewer": marks.brewer,
        "year": marks.year,
        "style": marks.style,
        "family": marks.family or None,
        "batch_l": batch_l,
        "grist_kg": grist_kg,
        "water_known": water_known,
        "mash_ph": (
            None
            if marks.ph is None
            else {"predicted": marks.ph, "low": marks.ph_low, "high": marks.ph_high}
        ),
        "ions_mg_l": dict(zip(IONS, marks.ions, strict=True)),
        "against_family": {
            ion: AGAINST[letter]
            for ion, letter in zip(IONS, marks.against, strict=True)
            if letter in AGAINST
        },
        "over_limit": [ion for ion, letter in zip(IONS, marks.over, strict=True) if letter == OVER],
        "residual_alkalinity_meq_l": marks.residual_alkalinity,
        "sulfate_to_chloride": marks.sulfate_to_chloride,
        "findings": {"error": marks.errors, "warning": marks.warnings, "note": marks.notes},
    }
