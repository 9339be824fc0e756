"""What an archive comes to as a whole: counts, distributions, the worst, what is alike.

Everything goes into a temporary SQLite file, so that memory does not grow with the archive, and is
asked for there once the run is over.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any, Literal, NamedTuple

from recipe_tools.archive.records import (
    COLUMNS,
    LEVELS,
    Failure,
    FileRecord,
    RecipeRecord,
    findings_entry,
)
from recipe_tools.archive.trouble import beer
from recipe_tools.findings import Finding, Severity

Apart = Literal["exempt", "water unknown"]
"""What is counted and drawn beside the recipes that are judged."""
Condition = Literal[
    "troubled", "water unknown", "troubled, water unknown", "beers", "troubled beers"
]

GROUPS = ("family", "brewer", "year")
"""Columns of the recipes by which an archive is broken down."""

_NAME, _BREWER = COLUMNS.index("name"), COLUMNS.index("brewer")

_BATCH = 256


class RuleTotal(NamedTuple):
    """How often a rule found something in the archive; severity as found."""

    rule: str
    severity: Severity
    findings: int
    recipes: int
    files: int


class GroupTotal(NamedTuple):
    """A family, brewer, year or water: its recipes, how many are in trouble, and their findings.

    name is empty (or None for a year) where the recipes do not say. troubled: recipes with an error
    or a warning that makes them bad ones. water_unknown: recipes whose water nobody knows.
    ph_within: recipes whose predicted mash pH lies in their window, of ph_predicted; both without
    unknown water and beers soured on purpose.
    """

    name: str | int | None
    recipes: int
    troubled: int
    errors: int
    warnings: int
    notes: int
    ph_predicted: int
    ph_within: int
    water_unknown: int


class RecipeLine(NamedTuple):
    """One recipe as lists show it. file: number of its file in the run, from 0.

    versions: number of recipes that are versions of the same beer, this one among them.
    """

    file: int
    path: str
    recipe: RecipeRecord
    versions: int = 1


class FileLine(NamedTuple):
    """One listed file. own_counts: open findings that belong to none of its recipes."""

    path: str
    format: str | None
    status: str
    own_counts: Sequence[int]
    recipes: Sequence[RecipeRecord]
    packed_findings: str

    def findings(self) -> dict[str, Any]:
        """Return its findings as the JSON report has them."""
        return findings_entry(self.packed_findings)


class FailureLine(NamedTuple):
    """A file, or a part of one, that was not checked."""

    path: str
    rule: str
    message: str
    line: int | None


@dataclass(slots=True)
class Summary:
    """Counts of the whole run.

    recipes: read. other: files of another kind, passed over without reading. ignored: files and
    folders left out by patterns. not_reached: files left when the run was interrupted.
    findings: open ones, errors first. reused: files whose result came from the cache.
    """

    files: int = 0
    recipes: int = 0
    not_checked: int = 0
    skipped: int = 0
    other: int = 0
    ignored: int = 0
    not_reached: int = 0
    interrupted: bool = False
    findings: list[int] = field(default_factory=lambda: [0, 0, 0])
    accepted: int = 0
    hidden: dict[str, int] = field(default_factory=dict)
    incomplete: bool = False
    reused: int = 0


_TABLES = f"""
CREATE TABLE files (number INTEGER PRIMARY KEY, path TEXT, format TEXT, status TEXT, digest TEXT,
    own_errors INTEGER, own_warnings INTEGER, own_notes INTEGER, recipes INTEGER, findings TEXT);
CREATE TABLE failures (number INTEGER, rule TEXT, message TEXT, line INTEGER);
CREATE TABLE recipes (number INTEGER, beer TEXT, {", ".join(COLUMNS)});
"""
_INSERT_RECIPE = f"INSERT INTO recipes VALUES ({','.join('?' * (2 + len(COLUMNS)))})"
_RECIPE = ", ".join(COLUMNS)
_LINE = f"SELECT number, path, {_RECIPE} FROM recipes JOIN files USING (number)"
_WORST_FIRST = " ORDER BY bad_errors DESC, bad_warnings DESC, notes DESC, number, place"
_BEERS = (
    f"SELECT number, path, {_RECIPE}, versions FROM (SELECT *, count(*) OVER (PARTITION BY beer) AS"
    f" versions, row_number() OVER (PARTITION BY beer{_WORST_FIRST}) AS turn FROM recipes)"
    " JOIN files USING (number) WHERE turn = 1"
)
"""The worst version of each beer."""
_WATER = """CASE WHEN NOT water_known THEN 'unknown water' WHEN water_origin = 'pure' THEN
    'pure water' WHEN water_origin IN ('report', 'configuration') AND water_name != ''
    THEN water_name ELSE 'the water each recipe states' END"""
"""As `recipe_changes.water_label` says it."""


class Totals:
    """Takes in rows and answers questions about all of them. Close it to remove its file."""

    def __init__(self) -> None:
        handle, name = tempfile.mkstemp(prefix="recipe-tools-", suffix=".sqlite3")
        os.close(handle)
        self._path = Path(name)
        self.summary = Summary()
        self.connection = sqlite3.connect(name, isolation_level=None)
        # Nothing here outlives the run, so nothing has to survive a crash.
        for setting in ("journal_mode=OFF", "synchronous=OFF", "locking_mode=EXCLUSIVE"):
            self.connection.execute(f"PRAGMA {setting}")
        self.connection.executescript(_TABLES)
        self.connection.execute("BEGIN")
        self._rules: dict[tuple[str, int], list[int]] = {}
        self._files: list[tuple[Any, ...]] = []
        self._recipes: list[tuple[Any, ...]] = []

    def __enter__(self) -> Totals:
        return self

    def __exit__(self, *failure: object) -> None:
        self.close()

    def close(self) -> None:
        """Remove the temporary file."""
        with suppress(sqlite3.Error):
            self.connection.close()
        self._path.unlink(missing_ok=True)

    def take(self, path: str, record: FileRecord, findings: str, *, listed: bool = True) -> None:
        """Take in one file.

        path: as reports show it. findings: packed. listed: False only counts the file (it is no
        recipe).
        """
        summary = self.summary
        summary.incomplete = summary.incomplete or record.incomplete
        if record.status == "skipped":
            summary.skipped += 1
        if not listed:
            return
        number = summary.files
        summary.files += 1
        summary.recipes += len(record.recipes)
        summary.not_checked += record.status == "not_checked"
        summary.accepted += record.accepted
        for place, count in enumerate(record.counts):
            summary.findings[place] += count
        for word, count in record.hidden.items():
            summary.hidden[word] = summary.hidden.get(word, 0) + count
        for rule in record.rules:
            total = self._rules.setdefault((rule.rule, rule.severity), [0, 0, 0])
            total[0] += rule.findings
            total[1] += rule.recipes
            total[2] += 1
        told = (path, record.format, record.status, record.digest, *record.own_counts)
        self._files.append((number, *told, len(record.recipes), findings))
        self._recipes += [
            (number, beer(path, values[_NAME], values[_BREWER]), *values)
            for values in record.recipes
        ]
        for failure in record.failures:
            self._fail(number, failure)
        if len(self._files) >= _BATCH:
            self._flush()

    def _fail(self, number: int, failure: Failure) -> None:
        self.connection.execute("INSERT INTO failures VALUES (?,?,?,?)", (number, *failure))

    def _flush(self) -> None:
        self.connection.executemany("INSERT INTO files VALUES (?,?,?,?,?,?,?,?,?,?)", self._files)
        self.connection.executemany(_INSERT_RECIPE, self._recipes)
        self._files.clear()
        self._recipes.clear()

    def finish(self, findings: Iterable[Finding]) -> None:
        """Take in the findings of the whole run; questions may be asked from here on."""
        self._flush()
        self.connection.execute("CREATE INDEX by_file ON recipes (number)")
        for item in findings:
            self.summary.findings[LEVELS.index(item.severity or Severity.NOTE)] += 1
            self.summary.incomplete |= item.rule.startswith("internal/")

    def rules(self) -> list[RuleTotal]:
        """Return the totals by rule, the most severe and most frequent first."""
        totals = [
            RuleTotal(rule, Severity(severity), *counts)
            for (rule, severity), counts in self._rules.items()
        ]
        return sorted(totals, key=lambda item: (-item.severity, -item.findings, item.rule))

    def groups(self, column: str) -> Iterator[GroupTotal]:
        """Yield the totals by one of `GROUPS`: years in order, others by number of recipes."""
        assert column in (*GROUPS, "water")
        group = _WATER if column == "water" else column
        order = "1 IS NULL, 1" if column == "year" else "2 DESC, 1"
        rows = self.connection.execute(
            f"SELECT {group}, count(*), sum(bad_errors + bad_warnings > 0), sum(errors),"
            " sum(warnings), sum(notes), sum(water_known AND ph_against IS NOT NULL AND"
            " ph_against != 'exempt'), sum(water_known AND coalesce(ph_against, '') = 'within'),"
            f" sum(NOT water_known) FROM recipes GROUP BY 1 ORDER BY {order}"
        )
        for row in rows:
            yield GroupTotal(*row)

    def values(self, column: str, apart: Apart | None = None) -> Iterator[float]:
        """Yield the known values in one of the `COLUMNS` that hold numbers: of recipes judged.

        apart: of those that are counted apart instead.
        """
        assert column in COLUMNS
        against = "ph_against" if column == "ph" else column.replace("_mg_l", "_against")
        judged = {
            None: f"water_known AND coalesce({against}, '') != 'exempt'",
            "exempt": f"water_known AND coalesce({against}, '') = 'exempt'",
            "water unknown": "NOT water_known",
        }[apart]
        rows = self.connection.execute(
            f"SELECT {column} FROM recipes WHERE {column} IS NOT NULL AND {judged}"
        )
        for (value,) in rows:
            yield value

    def counts(self, column: str) -> Mapping[Any, int]:
        """Return how many recipes with known water have which value in one of `COLUMNS`."""
        assert column in COLUMNS
        rows = self.connection.execute(
            f"SELECT {column}, count(*) FROM recipes WHERE water_known GROUP BY 1"
        )
        return dict(rows.fetchall())

    def count(self, condition: Condition) -> int:
        """Return the number of recipes that are in trouble, have unknown water, or are beers."""
        what, where = {
            "troubled": ("*", "bad_errors + bad_warnings > 0"),
            "water unknown": ("*", "NOT water_known"),
            "troubled, water unknown": ("*", "NOT water_known AND bad_errors + bad_warnings > 0"),
            "beers": ("DISTINCT beer", "1"),
            "troubled beers": ("DISTINCT beer", "bad_errors + bad_warnings > 0"),
        }[condition]
        query = f"SELECT count({what}) FROM recipes WHERE {where}"
        return int(self.connection.execute(query).fetchone()[0])

    def beers(self, limit: int = -1) -> Iterator[RecipeLine]:
        """Yield beers by their worst version, worst first. limit: at most that many (-1: all)."""
        for row in self.connection.execute(f"{_BEERS}{_WORST_FIRST} LIMIT ?", (limit,)):
            yield _line(row[:-1])._replace(versions=row[-1])

    def worst(self, limit: int) -> list[RecipeLine]:
        """Return the beers in trouble: those with the most errors, then warnings, then notes."""
        rows = self.connection.execute(
            f"{_BEERS} AND bad_errors + bad_warnings > 0{_WORST_FIRST} LIMIT ?", (limit,)
        )
        return [_line(row[:-1])._replace(versions=row[-1]) for row in rows]

    def failures(self, limit: int = -1) -> Iterator[FailureLine]:
        """Yield what was not checked and why, by path."""
        rows = self.connection.execute(
            "SELECT path, rule, message, line FROM failures JOIN files USING (number)"
            " ORDER BY number, failures.rowid LIMIT ?",
            (limit,),
        )
        for row in rows:
            yield FailureLine(*row)

    def paths(self) -> Iterator[str]:
        """Yield the path of every listed file, in order."""
        for (path,) in self.connection.execute("SELECT path FROM files ORDER BY number"):
            yield path

    def files(self) -> Iterator[FileLine]:
        """Yield every listed file with its recipes, in order."""
        # Recipes are taken in by file, so that both tables have the same order.
        recipes = self.connection.execute(f"SELECT {_RECIPE} FROM recipes ORDER BY rowid")
        for row in self.connection.execute(f"SELECT recipes, {_FILE} FROM files ORDER BY number"):
            yield _file(row[1:], islice(recipes, row[0]))

    def file(self, number: int) -> FileLine:
        """Return a listed file by its number."""
        recipes = self.connection.execute(
            f"SELECT {_RECIPE} FROM recipes WHERE number = ? ORDER BY place", (number,)
        )
        row = self.connection.execute(f"SELECT {_FILE} FROM files WHERE number = ?", (number,))
        return _file(row.fetchone(), recipes)


_FILE = "path, format, status, own_errors, own_warnings, own_notes, findings"


def _file(row: Sequence[Any], recipes: Iterable[Sequence[Any]]) -> FileLine:
    path, format_name, status, *own_counts, findings = row
    records = [RecipeRecord.of_values(values) for values in recipes]
    return FileLine(path, format_name, status, own_counts, records, findings)


def _line(row: Sequence[Any]) -> RecipeLine:
    number, path, *values = row
    return RecipeLine(number, path, RecipeRecord.of_values(values))


def recipes_of(totals: Totals, where: Sequence[tuple[int, int]]) -> list[RecipeLine]:
    """Return the recipes at (file, place) pairs, in the order given."""
    query = f"{_LINE} WHERE number = ? AND place = ?"
    return [_line(totals.connection.execute(query, pair).fetchone()) for pair in where]
