"""What a check hands on to the reports: checked recipes, checked files and the whole run."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, NamedTuple

from recipe_tools.findings import Confidence, Finding, Rule, Severity
from recipe_tools.recipe import FormatName, Recipe

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay
    from recipe_tools.config import Options

SCHEMA_VERSION = "2"
"""Of every JSON document: changes where an old reader would be misled."""

Status = Literal["checked", "not_checked", "skipped"]
IN_NOTES = " (in the notes of the recipe)"
"""Behind the reason of what a recipe itself accepts."""

NO_MEMBERS: Mapping[str, tuple[str, ...]] = MappingProxyType({})
NO_COUNTS: Mapping[str, int] = MappingProxyType({})
NO_COLUMNS: Mapping[tuple[int, int], int] = MappingProxyType({})


class CheckedRecipe(NamedTuple):
    """A recipe and its brew day.

    day: None where nothing but the standard was checked, or the computation failed (a finding says
    so).
    """

    recipe: Recipe
    day: BrewDay | None


class OverLimit(NamedTuple):
    """Findings of one rule in one file beyond the number that is listed."""

    rule: str
    severity: Severity
    count: int  # type: ignore[assignment]  # in place of the method of tuples


class CheckedFile(NamedTuple):
    """One file of a run.

    path: as reports show it. status: ``skipped`` is a file that is no recipe, met in a folder.
    findings: sorted by line, column and rule, with positions and fingerprints; suppressed ones are
        among them. Findings below the asked confidence are not (see hidden).
    safety: handling notes of this file, without path; a run shows each once.
    over_limit: what went over the number of findings listed per rule and file; still counted.
    hidden: number of findings left out by confidence word.
    used_settings: keys of the entries of the configuration that matched something in the file, such
        as ``suppress[0]``, ``malt[2]``, ``style.stout``.
    unused_acceptance: fingerprint -> number of accepted findings that did not occur.
    utf8_columns: (line, column) of findings and edits -> the column in bytes of UTF-8, where that
        is another one.
    members: tags or paths by record, where nothing but the standard was checked.
    options: by which it was checked, None where nothing was computed; amounts are advised by them.
    data_digest: SHA-256 of the bytes in hex, empty where they could not be read.
    """

    path: str
    format: FormatName | None
    status: Status
    recipes: tuple[CheckedRecipe, ...] = ()
    findings: tuple[Finding, ...] = ()
    safety: tuple[Finding, ...] = ()
    over_limit: tuple[OverLimit, ...] = ()
    hidden: Mapping[str, int] = NO_COUNTS
    used_settings: frozenset[str] = frozenset()
    unused_acceptance: Mapping[str, int] = NO_COUNTS
    utf8_columns: Mapping[tuple[int, int], int] = NO_COLUMNS
    data_digest: str = ""
    members: Mapping[str, tuple[str, ...]] = NO_MEMBERS
    options: Options | None = None

    @property
    def incomplete(self) -> bool:
        """True where the file, or a part of its check, did not come to an end (exit code 3)."""
        return self.status == "not_checked" or any(
            item.rule.startswith("internal/") for item in self.findings
        )


class Run(NamedTuple):
    """The result of a whole run.

    files: sorted by path; skipped files are listed only where asked for.
    findings: those that belong to no single file: handling notes (path None), suppressions that are
        unused or expired, baseline entries that are stale, folders without a recipe.
    skipped: number of files met in folders that are no recipes.
    own_rules: those that the configurations in force bring.
    """

    files: tuple[CheckedFile, ...]
    findings: tuple[Finding, ...] = ()
    skipped: int = 0
    own_rules: tuple[Rule, ...] = ()

    def all_findings(self) -> Iterator[Finding]:
        """Yield every listed finding by path, line, column, rule; those without a file last."""
        for file in self.files:
            yield from file.findings
        yield from self.findings

    @property
    def recipe_count(self) -> int:
        """Number of recipes read."""
        return sum(len(file.recipes) for file in self.files)

    @property
    def not_checked(self) -> int:
        """Number of files that could not be checked."""
        return sum(file.status == "not_checked" for file in self.files)

    @property
    def suppressed(self) -> int:
        """Number of findings that a suppression or the baseline accepts."""
        return sum(item.suppressed is not None for item in self.all_findings())

    @property
    def hidden(self) -> Mapping[str, int]:
        """Number of findings left out for their confidence, by confidence word."""
        total: dict[str, int] = {}
        for file in self.files:
            for word, count in file.hidden.items():
                total[word] = total.get(word, 0) + count
        return total

    def members(self) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
        """Return the members checked where nothing but the standard was, by format and record."""
        total: dict[str, dict[str, dict[str, None]]] = {}
        for file in self.files:
            for record, names in file.members.items():
                kept = total.setdefault(file.format or "", {}).setdefault(record, {})
                kept.update(dict.fromkeys(names))
        return {
            name: {record: tuple(names) for record, names in records.items()}
            for name, records in sorted(total.items())
        }

    @property
    def over_limit(self) -> Mapping[str, int]:
        """Number of findings counted but not listed, by rule."""
        total: dict[str, int] = {}
        for file in self.files:
            for more in file.over_limit:
                total[more.rule] = total.get(more.rule, 0) + more.count
        return dict(sorted(total.items()))

    def counts(self) -> Mapping[Severity, int]:
        """Return the exact number of findings by severity, without suppressed and hidden ones."""
        return self._counted(self.all_findings())

    def judged(self) -> Mapping[Severity, int]:
        """Return the same without what only says how to handle a product."""
        return self._counted(item for item in self.all_findings() if not item.is_handling)

    def _counted(self, findings: Iterable[Finding]) -> Mapping[Severity, int]:
        total = dict.fromkeys((Severity.ERROR, Severity.WARNING, Severity.NOTE), 0)
        for item in findings:
            if item.suppressed is None and item.severity is not None:
                total[item.severity] += 1
        for file in self.files:
            for more in file.over_limit:
                total[more.severity] += more.count
        return total

    @property
    def incomplete(self) -> bool:
        """True where something could not be checked (exit code 3)."""
        return any(file.incomplete for file in self.files) or any(
            item.rule.startswith("internal/") or item.rule in INCOMPLETE_RULES
            for item in self.findings
        )

    def reaches(self, threshold: Severity | None) -> bool:
        """Tell whether an open finding stands at or above a severity (None: never).

        How to handle a product is no verdict on a recipe and does not count.
        """
        if threshold is None:
            return False
        return any(count for level, count in self.judged().items() if level >= threshold)


INCOMPLETE_RULES = frozenset({"file/no-recipes"})
"""Rules of a run that mean exit code 3 although no single file stands behind them."""

DEFAULT_CONFIDENCE = Confidence.LIKELY
