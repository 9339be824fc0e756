"""From what rules found to what reports show: severity, acceptance, place, number."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from recipe_tools.checklist import checklist
from recipe_tools.config import Options, Suppression
from recipe_tools.findings import Confidence, Finding, Severity, fingerprint
from recipe_tools.path_globs import path_matches
from recipe_tools.results import DEFAULT_CONFIDENCE, Unlisted

if TYPE_CHECKING:
    from recipe_tools.formats.regions import Region
    from recipe_tools.recipe import FormatName


NOTHING_ACCEPTED: Mapping[str, int] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class FileRequest:
    """How one file is to be checked, beyond its options.

    confidence: findings below it are counted, not listed. accepted: fingerprint -> number of
    findings the baseline accepts in this file. config_path: path of the file relative to the folder
    of its configuration, for suppressions. named: the user named this very file, so that one that
    is no recipe is a finding. root: folder the file must not lead out of through a link.
    """

    confidence: Confidence = DEFAULT_CONFIDENCE
    accepted: Mapping[str, int] = field(default_factory=lambda: NOTHING_ACCEPTED)
    config_path: str = ""
    named: bool = True
    root: Path | None = None


class Judging:
    """The findings of one file on their way through severity, suppression, baseline, confidence."""

    def __init__(self, options: Options, request: FileRequest, names: Mapping[int, str]) -> None:
        self.options = options
        self.request = request
        self.names = names
        self.rules = checklist(options)
        self.safety: list[Finding] = []
        self.hidden: dict[str, int] = {}
        self.used: set[int] = set()
        self.left = dict(request.accepted)

    def apply(self, found: Iterable[Finding]) -> list[Finding]:
        """Return the findings to show; what is hidden, used up or for the run is kept aside."""
        kept = []
        seen: dict[tuple[str, str, str], int] = {}
        for item in found:
            severity = self.rules.severity(item)
            if severity is None:
                continue
            key = (item.rule, item.pointer, str(item.values.get("value", "")))
            ordinal = seen.get(key, 0)
            seen[key] = ordinal + 1
            mark = fingerprint(item.rule, item.pointer, item.values, ordinal)
            if item.rule.startswith("safety/"):
                self.safety.append(
                    replace(item, severity=severity, fingerprint=mark, path=None, recipe=None)
                )
                continue
            reason = self._reason(item, mark)
            if item.confidence < self.request.confidence and reason is None:
                word = item.confidence.word
                self.hidden[word] = self.hidden.get(word, 0) + 1
                continue
            kept.append(replace(item, severity=severity, fingerprint=mark, suppressed=reason))
        return kept

    def _reason(self, item: Finding, mark: str) -> str | None:
        for suppression in self.options.suppressions:
            if self._matches(suppression, item):
                self.used.add(suppression.index)
                return suppression.reason
        if self.left.get(mark, 0) > 0:
            self.left[mark] -= 1
            return "accepted in the baseline"
        return None

    def unused_acceptance(self) -> Mapping[str, int]:
        """Return how often each accepted fingerprint was not met."""
        return {mark: count for mark, count in self.left.items() if count > 0}

    @staticmethod
    def _names(recipe: str | int | None, item: Finding, names: Mapping[int, str]) -> bool:
        if recipe is None:
            return True
        if item.recipe is None:
            return False
        return (
            recipe == item.recipe if isinstance(recipe, int) else names.get(item.recipe) == recipe
        )

    def _matches(self, suppression: Suppression, item: Finding) -> bool:
        if suppression.rule not in (item.rule, item.rule.partition("/")[0]):
            return False
        if expired(suppression, self.options):
            return False
        if not self._names(suppression.recipe, item, self.names):
            return False
        return not suppression.path or path_matches(suppression.path, self.request.config_path)


def expired(suppression: Suppression, options: Options) -> bool:
    """Tell whether a suppression is past its last day (never where no day is given)."""
    if suppression.until is None or options.today is None:
        return False
    return options.today > suppression.until


def located(found: list[Finding], data: bytes, format_name: FormatName) -> list[Finding]:
    """Fill in line and column, in one pass over the bytes for all findings of the file."""
    from recipe_tools.formats import positions

    wanted = {item.pointer for item in found if item.line is None and item.pointer}
    wanted.update(place.pointer for item in found for place in item.related if place.pointer)
    if not wanted:
        return found
    regions = positions.locate(data, format_name, wanted)
    return [_placed(item, regions) for item in found]


def _placed(item: Finding, regions: Mapping[str, Region]) -> Finding:
    region = regions.get(item.pointer) if item.line is None else None
    related = tuple(
        replace(place, line=spot.line, column=spot.column)
        if (spot := regions.get(place.pointer)) is not None
        else place
        for place in item.related
    )
    if region is None:
        return replace(item, related=related) if related else item
    return replace(
        item,
        line=region.line,
        column=region.column,
        end_line=region.end_line,
        end_column=region.end_column,
        related=related,
    )


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
