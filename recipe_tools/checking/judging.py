"""From what rules found to what reports show: severity, acceptance, place, number."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from recipe_tools.checking.checklist import checklist
from recipe_tools.checking.named_paths import named, record_paths
from recipe_tools.config import Options, Suppression
from recipe_tools.findings import Confidence, Finding, ProposedEdit, Severity, fingerprint
from recipe_tools.path_globs import path_matches
from recipe_tools.results import DEFAULT_CONFIDENCE, Unlisted

if TYPE_CHECKING:
    from recipe_tools.formats.regions import Region, Written
    from recipe_tools.recipe import FormatName, Recipe


NOTHING_ACCEPTED: Mapping[str, int] = MappingProxyType({})


class FileRequest(NamedTuple):
    """How one file is to be checked, beyond its options.

    confidence: findings below it are counted, not listed. accepted: fingerprint -> number of
    findings the baseline accepts in this file. config_path: path of the file relative to the folder
    of its configuration, for suppressions. named: the user named this very file, so that one that
    is no recipe is a finding. root: folder the file must not lead out of through a link.
    """

    confidence: Confidence = DEFAULT_CONFIDENCE
    accepted: Mapping[str, int] = NOTHING_ACCEPTED
    config_path: str = ""
    named: bool = True
    root: Path | None = None


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
        self.left = dict(request.accepted)
        self.alone = True
        self._accepting = bool(options.suppressions or request.accepted)
        self._seen: dict[tuple[str, str, str], int] = {}
        self._paths: dict[int, Mapping[str, str]] = {}

    def take(self, found: Iterable[Finding], recipe: Recipe | None = None) -> None:
        """Keep the findings to show; what is hidden, used up or for the run is kept aside.

        recipe: the one they are about, where they do not say so themselves.
        """
        for item in found:
            severity = self.rules.severity(item)
            if severity is None:
                continue
            item = item._replace(
                severity=severity,
                path=self.path,
                recipe=recipe.index if item.recipe is None and recipe is not None else item.recipe,
                fingerprint=self._fingerprint(item, recipe),
            )
            if item.rule.startswith("safety/"):
                self.safety.append(item._replace(path=None, recipe=None))
                continue
            if self._accepting:
                reason = self._reason(item, recipe.name if recipe is not None else None)
                item = item._replace(suppressed=reason)
            if item.confidence < self.request.confidence and item.suppressed is None:
                word = item.confidence.word
                self.hidden[word] = self.hidden.get(word, 0) + 1
                continue
            self.kept.append(item)

    def _fingerprint(self, item: Finding, recipe: Recipe | None) -> str:
        """Return the fingerprint; findings that are otherwise equal are told apart by order."""
        path = item.pointer
        if recipe is not None:
            paths = self._paths.get(recipe.index)
            if paths is None:
                paths = self._paths[recipe.index] = record_paths(recipe, alone=self.alone)
            path = named(path, paths)
        key = (item.rule, path, str(item.values.get("value", "")))
        ordinal = self._seen.get(key, 0)
        self._seen[key] = ordinal + 1
        return fingerprint(item.rule, path, item.values, ordinal)

    def _reason(self, item: Finding, name: str | None) -> str | None:
        for suppression in self.options.suppressions:
            if self._matches(suppression, item, name):
                self.used.add(f"suppress[{suppression.index}]")
                return suppression.reason
        if self.left.get(item.fingerprint, 0) > 0:
            self.left[item.fingerprint] -= 1
            return "accepted in the baseline"
        return None

    def _matches(self, suppression: Suppression, item: Finding, name: str | None) -> bool:
        if suppression.rule not in (item.rule, item.rule.partition("/")[0]):
            return False
        if suppression.recipe is not None and suppression.recipe not in (item.recipe, name):
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


def located(found: list[Finding], data: bytes, format_name: FormatName | None) -> list[Finding]:
    """Fill in line and column, in one pass over the bytes for all findings of the file.

    What is said of the file as a whole stands at its first character.
    """
    from recipe_tools.formats import positions
    from recipe_tools.formats.regions import Region

    wanted = {item.pointer for item in found if item.line is None and item.pointer}
    wanted.update(place.pointer for item in found for place in item.related if place.pointer)
    fixed = {edit.pointer for item in found for edit in item.edits}
    regions: Mapping[str, Region] = {}
    texts: Mapping[str, Written] = {}
    if format_name is not None and wanted:
        # With the edits, so that their texts come from the same scan.
        regions = positions.locate(data, format_name, wanted | fixed)
    if format_name is not None and fixed:
        texts = positions.written(data, format_name, fixed)
    start = Region(1, 1, 1, 2)
    return [
        _placed(_with_edits(item, texts) if item.edits else item, regions, start) for item in found
    ]


def _with_edits(item: Finding, texts: Mapping[str, Written]) -> Finding:
    """Say of each edit what it takes the place of; one that changes nothing is none."""
    edits = (_edit(edit, texts.get(edit.pointer)) for edit in item.edits)
    return item._replace(edits=tuple(edit for edit in edits if edit.current != edit.replacement))


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


def _placed(item: Finding, regions: Mapping[str, Region], start: Region) -> Finding:
    related = item.related
    if related:
        related = tuple(
            place._replace(line=spot.line, column=spot.column)
            if (spot := regions.get(place.pointer)) is not None
            else place
            for place in related
        )
        item = item._replace(related=related)
    if item.line is not None:
        return item
    line, column, end_line, end_column = regions.get(item.pointer, start)
    return item._replace(line=line, column=column, end_line=end_line, end_column=end_column)


def capped(found: list[Finding], limit: int) -> tuple[list[Finding], tuple[Unlisted, ...]]:
    """List at most ``limit`` open findings of a rule and count the others exactly."""
    if len(found) <= limit:
        return found, ()
    listed: list[Finding] = []
    number: dict[str, int] = {}
    beyond: dict[tuple[str, Severity], int] = {}
    for item in found:
        severity = item.severity or Severity.ERROR
        if item.suppressed is None:
            number[item.rule] = number.get(item.rule, 0) + 1
            if number[item.rule] > limit:
                key = (item.rule, severity)
                beyond[key] = beyond.get(key, 0) + 1
                continue
        listed.append(item)
    unlisted = tuple(
        Unlisted(rule, level, count) for (rule, level), count in sorted(beyond.items())
    )
    return listed, unlisted
