"""What is kept of each file of an archive: a record of the file, and one of each of its recipes.

A record is a tuple in the program, JSON on its way from a worker or a cache, a row in the tables of
an audit, and an entry in its JSON report. The findings of a file travel as a text beside it, so
that a run over thousands of files need not take apart what it only passes on.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from operator import attrgetter
from typing import Any, Literal, NamedTuple

from recipe_tools.findings import Confidence, Finding, Severity
from recipe_tools.recipe import IONS
from recipe_tools.results import CheckedFile, Status

LEVELS = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
"""Severities in the order of all counts here."""

Against = Literal["below", "within", "above", "exempt"]
Json = dict[str, Any]
Values = Sequence[Any]
"""A record whose fields have no names: as JSON or SQL hold it."""


class IonLevel(NamedTuple):
    """An ion in all water of a recipe.

    against: how it lies to the range of the style family, None without one; ``exempt`` where the
    beer is judged by none. over: it is above the
    level that is warned of.
    """

    mg_l: float | None = None
    against: Against | None = None
    over: bool = False


class RecipeRecord(NamedTuple):
    """What is kept of one recipe.

    place: 0-based, in the file. water_name, water_origin: of the source water, as in
    `brewday.SourceWater`. ph_window: lower and upper edge with a blank between. ph_against: how the
    predicted pH lies to it; ``exempt`` is a beer soured on purpose. errors, warnings, notes: its
    open findings; bad_errors, bad_warnings: those of them that make the recipe a bad one, which
    remarks on the form of the file and water nobody knows do not. doses: what would repair it, in
    words. whole: digest of everything that makes the beer, or empty without a grist. grist: digest
    of the names of the malts; amounts: kg of each per litre of beer, with blanks between them.
    water: the source water, empty where unknown. ions: in the order of `IONS`.
    """

    place: int
    name: str
    brewer: str
    year: int | None
    style: str
    family: str
    batch_l: float | None
    grist_kg: float | None
    water_known: bool
    water_name: str
    water_origin: str
    ph: float | None
    ph_low: float | None
    ph_high: float | None
    ph_window: str
    ph_against: Against | None
    residual_alkalinity: float | None
    sulfate_to_chloride: float | None
    errors: int
    warnings: int
    notes: int
    bad_errors: int
    bad_warnings: int
    doses: str
    whole: str
    grist: str
    amounts: str
    water: str
    ions: Sequence[IonLevel]

    def values(self) -> tuple[Any, ...]:
        """Return the values of `COLUMNS`."""
        return (*self[:-1], *(value for level in self.ions for value in level))

    @classmethod
    def of_values(cls, values: Values) -> RecipeRecord:
        """Return the record that has these values in `COLUMNS`."""
        plain, levels = values[: -len(_ION_COLUMNS)], values[-len(_ION_COLUMNS) :]
        width = len(IonLevel._fields)
        ions = [IonLevel(*levels[at : at + width]) for at in range(0, len(levels), width)]
        return cls._make([*plain, ions])

    def by_ion(self) -> Mapping[str, IonLevel]:
        """Return the levels by name of the ion."""
        return dict(zip(IONS, self.ions, strict=True))

    def entry(self) -> Json:
        """Return the recipe as the JSON report of an audit has it."""
        ions = self.by_ion()
        return {
            "index": self.place,
            "name": self.name,
            "brewer": self.brewer,
            "year": self.year,
            "style": self.style,
            "family": self.family or None,
            "batch_l": self.batch_l,
            "grist_kg": self.grist_kg,
            "water_known": bool(self.water_known),
            "water": {"name": self.water_name, "origin": self.water_origin},
            "mash_ph": (
                None
                if self.ph is None
                else {
                    "predicted": self.ph,
                    "low": self.ph_low,
                    "high": self.ph_high,
                    "window": [float(edge) for edge in self.ph_window.split()],
                    "against": self.ph_against,
                }
            ),
            "ions_mg_l": {ion: level.mg_l for ion, level in ions.items()},
            "against_family": {
                ion: level.against for ion, level in ions.items() if level.against is not None
            },
            "over_limit": [ion for ion, level in ions.items() if level.over],
            "residual_alkalinity_meq_l": self.residual_alkalinity,
            "sulfate_to_chloride": self.sulfate_to_chloride,
            "findings": {"error": self.errors, "warning": self.warnings, "note": self.notes},
            "trouble": {"error": self.bad_errors, "warning": self.bad_warnings},
            "doses": self.doses or None,
        }


_ION_COLUMNS = tuple(f"{ion}_{field}" for ion in IONS for field in IonLevel._fields)
COLUMNS = (*RecipeRecord._fields[:-1], *_ION_COLUMNS)
"""What a recipe has in a table: the fields of its record, then those of each ion."""


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


class FileRecord(NamedTuple):
    """What is kept of one file.

    counts: open findings, errors first; own_counts: those of them that belong to no recipe.
    accepted, hidden: findings that are not counted. safety: handling notes, of which only what a
    run says of them is kept. used_settings, unused_acceptance: as in `CheckedFile`. recipes: the
    values of each.
    """

    status: Status
    format: str | None
    digest: str
    incomplete: bool
    counts: Sequence[int]
    own_counts: Sequence[int]
    accepted: int
    hidden: Mapping[str, int]
    rules: Sequence[RuleCount]
    failures: Sequence[Failure]
    safety: Sequence[Finding]
    used_settings: Sequence[str]
    unused_acceptance: Mapping[str, int]
    recipes: Sequence[Values]

    def values(self) -> tuple[Any, ...]:
        """Return the record as JSON holds it."""
        safety = [(item.rule, item.message, item.severity, item.confidence) for item in self.safety]
        return tuple((self._asdict() | {"safety": safety}).values())


class Packed(NamedTuple):
    """A file as workers and cache hand it on: record and findings, both as JSON text."""

    record: str
    findings: str


def unpacked(text: str) -> FileRecord:
    """Return the record of a file. Raises ValueError, TypeError for a text that is none."""
    values = dict(zip(FileRecord._fields, json.loads(text), strict=True))
    values["rules"] = [RuleCount(*item) for item in values["rules"]]
    values["failures"] = [Failure(*item) for item in values["failures"]]
    values["safety"] = [_note(*item) for item in values["safety"]]
    return FileRecord(**values)


def _note(rule: str, message: str, severity: int | None, confidence: int) -> Finding:
    return Finding(
        rule,
        message,
        severity=Severity(severity or Severity.NOTE),
        confidence=Confidence(confidence),
    )


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
_values = attrgetter(*_FINDING)


def findings_of(file: CheckedFile) -> list[Any]:
    """Return what `findings_entry` makes an entry of: most of that would be names of members."""
    return [[_values(item) for item in file.findings], file.over_limit]


def findings_entry(text: str) -> Json:
    """Return the findings of a file as the JSON report of an audit has them."""
    found, over_limit = json.loads(text)
    entry: Json = {"findings": [_finding(values) for values in found]}
    if over_limit:
        entry["unlisted"] = [
            {"rule": rule, "severity": Severity(severity).word, "count": count}
            for rule, severity, count in over_limit
        ]
    return entry


def _finding(values: Values) -> Json:
    entry = dict(zip(_FINDING, values, strict=True))
    entry["severity"] = Severity(entry["severity"] or Severity.NOTE).word
    entry["confidence"] = Confidence(entry["confidence"]).word
    return entry
