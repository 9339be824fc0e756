"""From what rules found to what reports show: severity, acceptance, place, number."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from recipe_tools.baseline import Acceptance
from recipe_tools.checking.checklist import checklist
from recipe_tools.checking.named_paths import named, record_paths
from recipe_tools.checking.noted import noted_in
from recipe_tools.config import Options, Suppression
from recipe_tools.findings import (
    Confidence,
    Finding,
    ProposedEdit,
    Severity,
    fingerprint,
    text_value,
)
from recipe_tools.path_globs import path_matches
from recipe_tools.results import DEFAULT_CONFIDENCE, NO_COLUMNS, OverLimit

if TYPE_CHECKING:
    from recipe_tools.formats.regions import Region, Written
    from recipe_tools.recipe import FormatName, Recipe


NOTHING_ACCEPTED: Mapping[str, Acceptance] = MappingProxyType({})


class FileRequest(NamedTuple):
    """How one file is to be checked, beyond its options.

    confidence: findings below it are counted, not listed. accepted: fingerprint -> what the
    baseline accepts in this file. config_path: path of the file relative to the folder
    of its configuration, for suppressions. named: the user named this very file, so that one that
    is no recipe is a finding. root: folder the file must not lead out of through a link. placed:
    findings are wanted with line and column; a file that is not checked whole has them anyway.
    """

    confidence: Confidence = DEFAULT_CONFIDENCE
    accepted: Mapping[str, Acceptance] = NOTHING_ACCEPTED
    config_path: str = ""
    named: bool = True
    root: Path | None = None
    placed: bool = True


class Judging:
    """The findings of one file on their way through severity, suppression, baseline, confidence.

    alone: the file holds one recipe at most.
    """

    def __init__(self, path: str, options: Options, request: FileRequest) -> None:
        self.path = path
        self.options = options
        self.request = request
        self.rules = checklist(options)
        self.kept: list[Finding] = []
        self.safety: list[Finding] = []
        self.hidden: dict[str, int] = {}
        self.used: set[str] = set()
        self.left = {mark: item.count for mark, item in request.accepted.items()}
        self.alone = True
        self._accepting = bool(options.suppressions or request.accepted)
        self._seen: dict[tuple[str, str, str], int] = {}
        self._paths: dict[int, Mapping[str, str]] = {}

    def take(self, findings: Iterable[Finding], recipe: Recipe | None = None) -> None:
        """Keep the findings to show; what is hidden, used up or for the run is kept aside.

        recipe: the one they are about, where they do not say so themselves. It may accept some.
        """
        noted = None if recipe is None else noted_in(recipe.notes, self.rules)
        for finding in findings:
            severity = self.rules.severity(finding)
            if severity is None:
                continue
            finding = finding._replace(
                severity=severity,
                path=self.path,
                recipe=recipe.index
                if finding.recipe is None and recipe is not None
                else finding.recipe,
                fingerprint=self._fingerprint(finding, recipe),
            )
            if finding.is_handling:
                self.safety.append(finding._replace(path=None, recipe=None))
                continue
            reason = noted.reason(finding) if noted is not None else None
            if reason is None and self._accepting:
                reason = self._reason(finding, recipe.name if recipe is not None else None)
            finding = finding._replace(suppressed=reason)
            if finding.confidence < self.request.confidence and finding.suppressed is None:
                word = finding.confidence.word
                self.hidden[word] = self.hidden.get(word, 0) + 1
                continue
            self.kept.append(finding)
        if noted is not None and recipe is not None:
            self.take(noted.complaints(recipe.origin.at("notes")), recipe._replace(notes=""))

    def _fingerprint(self, finding: Finding, recipe: Recipe | None) -> str:
        """Return the fingerprint; findings that are otherwise equal are told apart by order."""
        path = finding.pointer
        if recipe is not None:
            paths = self._paths.get(recipe.index)
            if paths is None:
                paths = self._paths[recipe.index] = record_paths(recipe, alone=self.alone)
            path = named(path, paths)
        key = (finding.rule, path, text_value(finding.values))
        ordinal = self._seen.get(key, 0)
        self._seen[key] = ordinal + 1
        return fingerprint(finding.rule, path, finding.values, ordinal)

    def _reason(self, finding: Finding, name: str | None) -> str | None:
        for suppression in self.options.suppressions:
            if self._matches(suppression, finding, name):
                self.used.add(f"suppress[{suppression.index}]")
                return suppression.reason
        accepted = self.request.accepted.get(finding.fingerprint)
        if accepted is None or self.left[finding.fingerprint] == 0:
            return None
        if accepted.covers(finding):
            self.left[finding.fingerprint] -= 1
            return "accepted in the baseline"
        return None

    def _matches(self, suppression: Suppression, finding: Finding, name: str | None) -> bool:
        if suppression.rule not in (finding.rule, finding.rule.partition("/")[0]):
            return False
        if suppression.recipe is not None and suppression.recipe not in (finding.recipe, name):
            return False
        if expired(suppression, self.options):
            return False
        return not suppression.path or path_matches(suppression.path, self.request.config_path)

    def unused_acceptance(self) -> Mapping[str, int]:
        """Return how often each accepted fingerprint was not met."""
        return {accepted: count for accepted, count in self.left.items() if count > 0}


def expired(suppression: Suppression, options: Options) -> bool:
    """Tell whether a suppression is past its last day (never where no day is given)."""
    if suppression.until is None or options.today is None:
        return False
    return options.today > suppression.until


def located(findings: list[Finding], data: bytes, format_name: FormatName | None) -> list[Finding]:
    """Fill in line and column, in one pass over the bytes for all findings of the file.

    What is said of the file as a whole stands at its first character.
    """
    from recipe_tools.formats import positions
    from recipe_tools.formats.regions import Region

    wanted = {finding.pointer for finding in findings if finding.line is None and finding.pointer}
    wanted.update(
        place.pointer for finding in findings for place in finding.related if place.pointer
    )
    fixed = {edit.pointer for finding in findings for edit in finding.edits}
    regions: Mapping[str, Region] = {}
    texts: Mapping[str, Written] = {}
    if format_name is not None and wanted:
        # With the edits, so that their texts come from the same scan.
        regions = positions.locate(data, format_name, wanted | fixed)
    if format_name is not None and fixed:
        texts = positions.written(data, format_name, fixed)
    start = Region(1, 1, 1, 2)
    return [
        _placed(_with_edits(finding, texts) if finding.edits else finding, regions, start)
        for finding in findings
    ]


def _with_edits(finding: Finding, texts: Mapping[str, Written]) -> Finding:
    """Say of each edit what it takes the place of; one that changes nothing is none."""
    edits = (_edit(edit, texts.get(edit.pointer)) for edit in finding.edits)
    return finding._replace(edits=tuple(edit for edit in edits if edit.current != edit.replacement))


def _edit(edit: ProposedEdit, text: Written | None) -> ProposedEdit:
    if text is None:
        return edit
    return edit._replace(
        current=text.text,
        line=text.region.line,
        column=text.region.column,
        end_line=text.region.end_line,
        end_column=text.region.end_column,
    )


def _placed(finding: Finding, regions: Mapping[str, Region], start: Region) -> Finding:
    related = finding.related
    if related:
        related = tuple(
            place._replace(line=spot.line, column=spot.column)
            if (spot := regions.get(place.pointer)) is not None
            else place
            for place in related
        )
        finding = finding._replace(related=related)
    if finding.line is not None:
        return finding
    line, column, end_line, end_column = regions.get(finding.pointer, start)
    return finding._replace(line=line, column=column, end_line=end_line, end_column=end_column)


def utf8_columns(
    findings: Iterable[Finding], data: bytes, format_name: FormatName | None
) -> Mapping[tuple[int, int], int]:
    """Return the columns of findings and edits that are others when counted in bytes of UTF-8."""
    if data.isascii() or format_name is None:
        return NO_COLUMNS
    from recipe_tools.formats import positions

    known: set[tuple[int, int]] = set()
    for item in findings:
        placed: tuple[Finding | ProposedEdit, ...] = (item, *item.edits)
        for place in placed:
            ends = ((place.line, place.column), (place.end_line, place.end_column))
            known.update((line, column) for line, column in ends if line and column)
    return positions.utf8_columns(data, format_name, known)


def capped(findings: list[Finding], limit: int) -> tuple[list[Finding], tuple[OverLimit, ...]]:
    """List at most ``limit`` open findings of a rule and count the others exactly."""
    if len(findings) <= limit:
        return findings, ()
    listed: list[Finding] = []
    number: dict[str, int] = {}
    beyond: dict[tuple[str, Severity], int] = {}
    for finding in findings:
        severity = finding.severity or Severity.ERROR
        if finding.suppressed is None:
            number[finding.rule] = number.get(finding.rule, 0) + 1
            if number[finding.rule] > limit:
                key = (finding.rule, severity)
                beyond[key] = beyond.get(key, 0) + 1
                continue
        listed.append(finding)
    over_limit = tuple(
        OverLimit(rule, level, count) for (rule, level), count in sorted(beyond.items())
    )
    return listed, over_limit
