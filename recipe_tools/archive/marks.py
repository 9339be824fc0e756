"""What is summed up of each file of an archive, and how it travels as JSON text."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from recipe_tools.findings import Severity

LEVELS = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
"""Severities in the order of all counts here."""

BELOW, WITHIN, ABOVE, NO_RANGE = "<", "=", ">", "-"
"""How an ion lies to the range of the style family, one letter per ion in the order of `IONS`."""

AGAINST = {BELOW: "below", WITHIN: "within", ABOVE: "above"}
OVER, NOT_OVER = "!", "-"


class Failure(NamedTuple):
    """Why a file, or a part of it, was not checked."""

    rule: str
    message: str
    line: int | None


class RuleCount(NamedTuple):
    """How often a rule found something in a file, and in how many of its recipes."""

    rule: str
    severity: int
    findings: int
    recipes: int


class RecipeMarks(NamedTuple):
    """What is summed up of one recipe.

    place: 0-based, in the file. whole: digest of everything that makes the beer, or empty without
    a grist. grist: digest of the names of the malts; amounts: kg of each per litre of beer.
    water: the source water, empty where unknown. against, over: a letter for each of `IONS` (see
    `BELOW`, `OVER`).
    """

    place: int
    name: str
    brewer: str
    year: int | None
    style: str
    family: str
    errors: int
    warnings: int
    notes: int
    ph: float | None
    ph_low: float | None
    ph_high: float | None
    ions: Sequence[float | None]
    against: str
    over: str
    residual_alkalinity: float | None
    sulfate_to_chloride: float | None
    whole: str
    grist: str
    amounts: Sequence[float]
    water: str


class Marks(NamedTuple):
    """What is summed up of one file.

    counts: open findings, errors first. accepted, hidden: findings that are not counted. safety:
    handling notes as (rule, message, severity, confidence). used: keys of entries of the
    configuration that matched. left: fingerprint -> accepted findings that did not occur.
    """

    status: str
    format: str | None
    digest: str
    incomplete: bool
    counts: Sequence[int]
    accepted: int
    hidden: Mapping[str, int]
    rules: Sequence[RuleCount]
    failures: Sequence[Failure]
    safety: Sequence[Sequence[Any]]
    used: Sequence[str]
    left: Mapping[str, int]
    recipes: Sequence[RecipeMarks]


def marks_of(text: str) -> Marks:
    """Return the marks of a row. Raises ValueError, TypeError for a text that is no marks."""
    status, format_name, digest, incomplete, counts, accepted, hidden, *rest = json.loads(text)
    rules, failures, safety, used, left, recipes = rest
    return Marks(
        status,
        format_name,
        digest,
        incomplete,
        counts,
        accepted,
        hidden,
        [RuleCount(*item) for item in rules],
        [Failure(*item) for item in failures],
        safety,
        used,
        left,
        [RecipeMarks(*item) for item in recipes],
    )
