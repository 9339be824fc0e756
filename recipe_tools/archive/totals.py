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
from pathlib import Path
from typing import Any, NamedTuple

from recipe_tools.archive.entries import entry_of
from recipe_tools.archive.marks import LEVELS, Failure, Marks
from recipe_tools.archive.rows import Row
from recipe_tools.findings import Finding, Severity
from recipe_tools.recipe import IONS

UNKNOWN = ""
GROUPS = ("family", "brewer", "year")
"""Columns of the recipes by which an archive is broken down."""

_BATCH = 256


class RuleTotal(NamedTuple):
    """How often a rule found something in the archive; severity as found."""

    rule: str
    severity: Severity
    findings: int
    recipes: int
    files: int


class GroupTotal(NamedTuple):
    """A family, brewer or year: its recipes, how many are in trouble, and their findings.

    name is empty (or None for a year) where the recipes do not say. troubled: recipes with an
    error or a warning. ph_within: recipes whose predicted mash pH lies in the window, of
    ph_predicted.
    """

    name: str | int | None
    recipes: int
    troubled: int
    errors: int
    warnings: int
    notes: int
    ph_predicted: int
    ph_within: int


class RecipeLine(NamedTuple):
    """One recipe as lists show it. file: number of its file in the run, from 0."""

    file: int
    path: str
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
    against: str
    over: str


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


PH_WINDOW = (5.2, 5.6)
"""The window of the mash pH, read in a cooled sample (common practice, no source)."""

_ION_COLUMNS = ", ".join(f"{ion} REAL" for ion in IONS)
_TABLES = f"""
CREATE TABLE files (number INTEGER PRIMARY KEY, path TEXT, status TEXT, digest TEXT, entry TEXT,
    own_errors INTEGER, own_warnings INTEGER, own_notes INTEGER, recipes INTEGER);
CREATE TABLE failures (number INTEGER, rule TEXT, message TEXT, line INTEGER);
CREATE TABLE recipes (
    number INTEGER, place INTEGER, name TEXT, brewer TEXT, year INTEGER, style TEXT, family TEXT,
    errors INTEGER, warnings INTEGER, notes INTEGER, ph REAL, ph_low REAL, ph_high REAL,
    {_ION_COLUMNS}, against TEXT, over TEXT, residual_alkalinity REAL, sulfate_to_chloride REAL,
    whole TEXT, grist TEXT, amounts TEXT, water TEXT);
"""
_RECIPE_COLUMNS = 13 + len(IONS) + 8
_INSERT_RECIPE = f"INSERT INTO recipes VALUES ({','.join('?' * _RECIPE_COLUMNS)})"
_LINE = (
    "SELECT number, path, place, name, brewer, year, style, family, errors, warnings, notes, ph,"
    " ph_low, ph_high, against, over FROM recipes JOIN files USING (number)"
)
_SHOWN = (
    "place, name, brewer, year, style, family, ph, ph_low, ph_high,"
    f" {', '.join(IONS)}, against, residual_alkalinity, sulfate_to_chloride"
)
_NOTHING = ", ".join(["NULL"] * (len(_SHOWN.split(",")) - 1))
_OF_FILES = "recipes = 0 OR status != 'checked' OR own_errors + own_warnings + own_notes > 0"
_TABLE_ROWS = (
    f"SELECT path, status, {_SHOWN.replace('place', 'nullif(place, -1)', 1)},"
    " r.errors, r.warnings, r.notes FROM"
    f" (SELECT number, {_SHOWN}, errors, warnings, notes FROM recipes UNION ALL"
    f" SELECT number, -1, {_NOTHING}, own_errors, own_warnings, own_notes FROM files"
    f" WHERE {_OF_FILES}) r"
    " JOIN files USING (number) ORDER BY number, place"
)
_WORST_FIRST = " ORDER BY errors DESC, warnings DESC, notes DESC, number, place"


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

    def take(self, row: Row, marks: Marks, *, listed: bool = True) -> None:
        """Take in one file. listed: False only counts it (a file that is no recipe)."""
        summary = self.summary
        summary.incomplete = summary.incomplete or marks.incomplete
        if marks.status == "skipped":
            summary.skipped += 1
        if not listed:
            return
        number = summary.files
        summary.files += 1
        summary.recipes += len(marks.recipes)
        summary.not_checked += marks.status == "not_checked"
        summary.accepted += marks.accepted
        for place, count in enumerate(marks.counts):
            summary.findings[place] += count
        for word, count in marks.hidden.items():
            summary.hidden[word] = summary.hidden.get(word, 0) + count
        for rule in marks.rules:
            total = self._rules.setdefault((rule.rule, rule.severity), [0, 0, 0])
            total[0] += rule.findings
            total[1] += rule.recipes
            total[2] += 1
        own = list(marks.counts)
        for item in marks.recipes:
            own[0] -= item.errors
            own[1] -= item.warnings
            own[2] -= item.notes
        self._files.append(
            (number, row.shown, marks.status, marks.digest, row.entry, *own, len(marks.recipes))
        )
        for item in marks.recipes:
            *head, ions, against, over, residual, ratio, whole, grist, amounts, water = item
            self._recipes.append(
                (
                    number,
                    *head,
                    *ions,
                    against,
                    over,
                    residual,
                    ratio,
                    whole,
                    grist,
                    " ".join(map(str, amounts)),
                    water,
                )
            )
        for failure in marks.failures:
            self._fail(number, failure)
        if len(self._files) >= _BATCH:
            self._flush()

    def _fail(self, number: int, failure: Failure) -> None:
        self.connection.execute("INSERT INTO failures VALUES (?,?,?,?)", (number, *failure))

    def _flush(self) -> None:
        self.connection.executemany("INSERT INTO files VALUES (?,?,?,?,?,?,?,?,?)", self._files)
        self.connection.executemany(_INSERT_RECIPE, self._recipes)
        self._files.clear()
        self._recipes.clear()

    def finish(self, findings: Iterable[Finding]) -> None:
        """Take in the findings of the whole run; questions may be asked from here on."""
        self._flush()
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
        assert column in GROUPS
        order = "1 IS NULL, 1" if column == "year" else "2 DESC, 1"
        low, high = PH_WINDOW
        rows = self.connection.execute(
            f"SELECT {column}, count(*), sum(errors + warnings > 0), sum(errors), sum(warnings),"
            f" sum(notes), count(ph), sum(coalesce(ph BETWEEN ? AND ?, 0))"
            f" FROM recipes GROUP BY 1 ORDER BY {order}",
            (low, high),
        )
        for row in rows:
            yield GroupTotal(*row)

    def values(self, column: str) -> Iterator[float]:
        """Yield all known values of ``ph`` or of an ion of `IONS`."""
        assert column == "ph" or column in IONS
        rows = self.connection.execute(f"SELECT {column} FROM recipes WHERE {column} IS NOT NULL")
        for (value,) in rows:
            yield value

    def lettered(self, column: str, ion: str) -> Mapping[str, int]:
        """Return how many recipes carry which letter of ``against`` or ``over`` for an ion."""
        assert column in ("against", "over")
        rows = self.connection.execute(
            f"SELECT substr({column}, ?, 1), count(*) FROM recipes GROUP BY 1",
            (IONS.index(ion) + 1,),
        )
        return dict(rows.fetchall())

    def water_known(self) -> int:
        """Return the number of recipes whose ions are known."""
        (count,) = self.connection.execute(
            f"SELECT count(*) FROM recipes WHERE coalesce({', '.join(IONS)}) IS NOT NULL"
        ).fetchone()
        return int(count)

    def recipes(self, limit: int = -1, *, worst_first: bool = False) -> Iterator[RecipeLine]:
        """Yield recipes: worst first, or by path. limit: at most that many (-1: all)."""
        order = _WORST_FIRST if worst_first else " ORDER BY number, place"
        for row in self.connection.execute(f"{_LINE}{order} LIMIT ?", (limit,)):
            yield RecipeLine(*row)

    def worst(self, limit: int) -> list[RecipeLine]:
        """Return the recipes with the most errors, then warnings, then notes."""
        rows = self.connection.execute(
            f"{_LINE} WHERE errors + warnings > 0{_WORST_FIRST} LIMIT ?", (limit,)
        )
        return [RecipeLine(*row) for row in rows]

    def failures(self, limit: int = -1) -> Iterator[FailureLine]:
        """Yield what was not checked and why, by path."""
        rows = self.connection.execute(
            "SELECT path, rule, message, line FROM failures JOIN files USING (number)"
            " ORDER BY number, failures.rowid LIMIT ?",
            (limit,),
        )
        for row in rows:
            yield FailureLine(*row)

    def table(self) -> Iterator[tuple[Any, ...]]:
        """Yield a row for each recipe, by path, and for each file with something of its own to say.

        Path, status, place, name, brewer, year, style, family, mash pH with its band, ions, their
        letters, residual alkalinity, sulfate to chloride, errors, warnings, notes.
        """
        yield from self.connection.execute(_TABLE_ROWS)

    def paths(self) -> Iterator[str]:
        """Yield the path of every listed file, in order."""
        for (path,) in self.connection.execute("SELECT path FROM files ORDER BY number"):
            yield path

    def entries(self) -> Iterator[tuple[str, dict[str, Any]]]:
        """Yield path and JSON entry of every listed file, by path."""
        for path, text in self.connection.execute("SELECT path, entry FROM files ORDER BY number"):
            yield path, entry_of(text)

    def entry(self, number: int) -> dict[str, Any]:
        """Return the JSON entry of a file."""
        (text,) = self.connection.execute(
            "SELECT entry FROM files WHERE number = ?", (number,)
        ).fetchone()
        return entry_of(text)


def recipes_of(totals: Totals, where: Sequence[tuple[int, int]]) -> list[RecipeLine]:
    """Return the recipes at (file, place) pairs, in the order given."""
    lines = []
    for number, place in where:
        row = totals.connection.execute(
            f"{_LINE} WHERE number = ? AND place = ?", (number, place)
        ).fetchone()
        lines.append(RecipeLine(*row))
    return lines
