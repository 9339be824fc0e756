"""What is new, gone or changed since an earlier audit: in each recipe, and finding by finding."""

from __future__ import annotations

import json
import stat
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, Literal, NamedTuple

from recipe_tools.archive.recipe_changes import (
    KINDS,
    BeerChanges,
    Kind,
    RecipeChange,
    State,
    change,
    packed_change,
    pairs,
    states_of,
    unpacked_change,
)
from recipe_tools.archive.totals import Totals
from recipe_tools.path_names import why_not_opened

Change = Literal["new", "gone", "changed"]

MAX_BYTES = 2 * 1024 * 1024 * 1024
_FIELDS = ("rule", "severity", "confidence", "pointer", "message", "fingerprint")
_TABLE = (
    "(path TEXT, recipe INTEGER, rule TEXT, severity TEXT, confidence TEXT, pointer TEXT,"
    " message TEXT, fingerprint TEXT)"
)


class CompareError(Exception):
    """An earlier report that cannot be compared with; the message says why."""


class Changed(NamedTuple):
    """A finding that came, went or is another. was: what it said before, empty where it is new."""

    change: Change
    path: str
    recipe: int | None
    rule: str
    severity: str
    message: str
    was: str


class Comparison(NamedTuple):
    """Counts of changes; new_files and gone_files are those that only one report has.

    recipes, beers: how many of which kind. causes: what is newly out in how many recipes, the most
    frequent first. waters: source waters before and after, in words, each
    with its number of recipes, the most used first.
    """

    new: int
    gone: int
    changed: int
    new_files: int
    gone_files: int
    recipes: Mapping[Kind, int]
    beers: Mapping[Kind, int]
    causes: Mapping[str, int]
    waters: tuple[Mapping[str, int], Mapping[str, int]]


def take_earlier(totals: Totals, path: Path) -> None:
    """Read an earlier JSON report into the totals. Raises CompareError.

    A report as this program writes it, a line for each file, is read line by line and so in little
    memory; one that was laid out anew is read as a whole.
    """
    connection = totals.connection
    connection.execute(f"CREATE TABLE earlier {_TABLE}")
    connection.execute("CREATE TABLE earlier_files (path TEXT)")
    connection.execute("CREATE TABLE earlier_recipes (path TEXT PRIMARY KEY, entry TEXT)")
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise CompareError("is not a regular file")
        if status.st_size > MAX_BYTES:
            raise CompareError("is too large")
        for entry in _entries(path):
            if entry["status"] == "skipped":
                continue
            if not isinstance(entry["path"], str):
                raise ValueError("a path is not a text")
            connection.execute("INSERT INTO earlier_files VALUES (?)", (entry["path"],))
            connection.executemany("INSERT INTO earlier VALUES (?,?,?,?,?,?,?,?)", _rows(entry))
            for state in states_of(entry["recipes"], entry["findings"]):
                # A report that cannot be compared with is refused here, before the audit.
                packed_change(change(entry["path"], state, state))
            kept = (entry["path"], json.dumps([entry["recipes"], entry["findings"]]))
            connection.execute("INSERT OR REPLACE INTO earlier_recipes VALUES (?,?)", kept)
    except OSError as error:
        raise CompareError(why_not_opened(path, error)) from None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise CompareError("is not the JSON report of an audit") from None


def _entries(path: Path) -> Iterator[dict[str, Any]]:
    with path.open(encoding="utf-8") as file:
        lines = iter(file)
        if any(line == '"files": [\n' for line in lines):
            yield from (json.loads(line.rstrip(",\n")) for line in _until_bracket(lines))
            return
    whole = json.loads(path.read_text("utf-8"))
    if whole["kind"] != "archive":
        raise CompareError("is not the JSON report of an audit")
    yield from whole["files"]


def _until_bracket(lines: Iterable[str]) -> Iterator[str]:
    for line in lines:
        if line.startswith("]"):
            return
        yield line
    raise ValueError("the list of files has no end")


def _rows(entry: dict[str, Any]) -> Iterator[tuple[Any, ...]]:
    for item in entry["findings"]:
        if item["suppressed"] is None:
            rule, *rest = (str(item[name]) for name in _FIELDS)
            yield (entry["path"], _place(item["recipe"]), rule, *rest)


def _place(value: Any) -> int | None:
    """Return the place of a recipe; an earlier report may hold anything there."""
    if value is None or (type(value) is int and 0 <= value < 1 << 31):
        return value
    raise ValueError("the place of a recipe is none")


def compare(totals: Totals) -> Comparison:
    """Settle what has changed since the report taken in; `changes` then gives it one by one."""
    connection = totals.connection
    connection.execute(f"CREATE TABLE present {_TABLE}")
    for file in totals.files():
        rows = _rows({"path": file.path, **file.findings()})
        connection.executemany("INSERT INTO present VALUES (?,?,?,?,?,?,?,?)", rows)
    connection.executescript(_COMPARISON)
    counts = dict(connection.execute("SELECT change, count(*) FROM changes GROUP BY 1").fetchall())
    (new_files,) = connection.execute(
        "SELECT count(*) FROM files WHERE status != 'skipped'"
        " AND path NOT IN (SELECT path FROM earlier_files)"
    ).fetchone()
    (gone_files,) = connection.execute(
        "SELECT count(*) FROM earlier_files WHERE path NOT IN (SELECT path FROM files)"
    ).fetchone()
    waters, causes = _compare_recipes(totals)
    return Comparison(
        counts.get("new", 0),
        counts.get("gone", 0),
        counts.get("changed", 0),
        new_files,
        gone_files,
        recipes=_by_kind(totals, "SELECT kind, count(*) FROM recipe_changes GROUP BY 1"),
        beers=_by_kind(totals, f"SELECT kind, count(*) FROM ({_BEERS}) GROUP BY 1"),
        causes=causes,
        waters=waters,
    )


def _by_kind(totals: Totals, query: str) -> Mapping[Kind, int]:
    found = dict(totals.connection.execute(query).fetchall())
    return {kind: found.get(place, 0) for place, kind in enumerate(KINDS)}


_BEERS = (
    "SELECT beer, min(kind) AS kind, max(urgency) AS urgency, min(path) AS path"
    " FROM recipe_changes GROUP BY beer"
)


_Counted = Mapping[str, int]


def _compare_recipes(totals: Totals) -> tuple[tuple[_Counted, _Counted], _Counted]:
    """Compare each recipe with its earlier state; return waters before and after, and causes."""
    connection = totals.connection
    connection.execute(
        "CREATE TABLE recipe_changes"
        " (kind INTEGER, urgency REAL, beer TEXT, path TEXT, place INTEGER, states TEXT)"
    )
    counted: tuple[Counter[str], ...] = (Counter(), Counter(), Counter())
    for file in totals.files():
        row = connection.execute(
            "SELECT entry FROM earlier_recipes WHERE path = ?", (file.path,)
        ).fetchone()
        connection.execute("DELETE FROM earlier_recipes WHERE path = ?", (file.path,))
        if file.status == "not_checked" and not file.recipes:
            continue
        earlier = states_of(*json.loads(row[0])) if row is not None else []
        present = states_of(
            [recipe.entry() for recipe in file.recipes], file.findings()["findings"]
        )
        _keep(totals, file.path, pairs(earlier, present), counted)
    for path, entry in connection.execute("SELECT path, entry FROM earlier_recipes").fetchall():
        _keep(totals, path, pairs(states_of(*json.loads(entry)), ()), counted)
    connection.execute("CREATE INDEX by_beer ON recipe_changes (beer)")
    before, after, causes = map(_most_first, counted)
    return (before, after), causes


def _keep(
    totals: Totals,
    path: str,
    found: Iterable[tuple[State | None, State | None]],
    counted: tuple[Counter[str], ...],
) -> None:
    waters_before, waters_after, causes = counted
    for before, after in found:
        item = change(path, before, after)
        waters_before.update([before.water] if before else ())
        waters_after.update([after.water] if after else ())
        if item.kind == "newly out":
            causes.update(out.what for out in item.out)
        row = packed_change(item)
        totals.connection.execute("INSERT INTO recipe_changes VALUES (?,?,?,?,?,?)", row)


def _most_first(counts: Counter[str]) -> _Counted:
    return dict(sorted(counts.items(), key=lambda item: (-item[1], item[0])))


def recipe_changes(totals: Totals, kinds: Iterable[Kind] = KINDS) -> Iterator[RecipeChange]:
    """Yield what has changed in each recipe, the most urgent first."""
    places = ",".join(str(KINDS.index(kind)) for kind in kinds)
    rows = totals.connection.execute(
        f"SELECT path, states FROM recipe_changes WHERE kind IN ({places})"
        " ORDER BY kind, urgency DESC, path, place"
    )
    for path, states in rows:
        yield unpacked_change(path, states)


def beer_changes(totals: Totals, kind: Kind, limit: int = -1) -> Iterator[BeerChanges]:
    """Yield the beers whose most urgent version is of a kind, the most urgent first.

    limit: at most that many (-1: all).
    """
    beers = totals.connection.execute(
        f"SELECT beer FROM ({_BEERS}) WHERE kind = ? ORDER BY urgency DESC, path LIMIT ?",
        (KINDS.index(kind), limit),
    ).fetchall()
    for (key,) in beers:
        rows = totals.connection.execute(
            "SELECT path, states FROM recipe_changes WHERE beer = ?"
            " ORDER BY kind, urgency DESC, path, place",
            (key,),
        )
        versions = tuple(unpacked_change(path, states) for path, states in rows)
        yield BeerChanges(kind, versions)


# Findings of one path and fingerprint belong together; of the others those that stand at the same
# place and come from the same rule, because the value they name is part of the fingerprint. Of a
# file that could not be checked this time nobody knows what is gone.
_COMPARISON = """
CREATE INDEX earlier_marks ON earlier (path, fingerprint);
CREATE INDEX present_marks ON present (path, fingerprint);
CREATE TABLE changes (change TEXT, path TEXT, recipe INTEGER, rule TEXT, severity TEXT,
    message TEXT, was TEXT);
INSERT INTO changes
    SELECT 'changed', n.path, n.recipe, n.rule, n.severity, n.message,
        o.severity || ': ' || o.message
    FROM present n JOIN earlier o USING (path, fingerprint)
    WHERE n.severity != o.severity OR n.confidence != o.confidence OR n.message != o.message;
CREATE TABLE only_present AS SELECT * FROM present n WHERE NOT EXISTS
    (SELECT 1 FROM earlier o WHERE o.path = n.path AND o.fingerprint = n.fingerprint);
CREATE TABLE only_earlier AS SELECT * FROM earlier o WHERE NOT EXISTS
    (SELECT 1 FROM present n WHERE o.path = n.path AND o.fingerprint = n.fingerprint);
CREATE INDEX only_earlier_places ON only_earlier (path, rule, pointer);
CREATE INDEX only_present_places ON only_present (path, rule, pointer);
CREATE TABLE pairs AS
    SELECT n.rowid AS present_row, o.rowid AS earlier_row FROM
    (SELECT rowid, path, rule, pointer, coalesce(recipe, -1) AS recipe, row_number() OVER
        (PARTITION BY path, rule, pointer, recipe ORDER BY rowid) AS turn FROM only_present) n
    JOIN
    (SELECT rowid, path, rule, pointer, coalesce(recipe, -1) AS recipe, row_number() OVER
        (PARTITION BY path, rule, pointer, recipe ORDER BY rowid) AS turn FROM only_earlier) o
    USING (path, rule, pointer, recipe, turn);
CREATE UNIQUE INDEX pairs_present ON pairs (present_row);
CREATE UNIQUE INDEX pairs_earlier ON pairs (earlier_row);
INSERT INTO changes
    SELECT 'changed', n.path, n.recipe, n.rule, n.severity, n.message,
        o.severity || ': ' || o.message
    FROM pairs JOIN only_present n ON n.rowid = present_row
    JOIN only_earlier o ON o.rowid = earlier_row;
INSERT INTO changes SELECT 'new', path, recipe, rule, severity, message, '' FROM only_present
    WHERE rowid NOT IN (SELECT present_row FROM pairs);
INSERT INTO changes
    SELECT 'gone', path, recipe, rule, severity, '', severity || ': ' || message FROM only_earlier
    WHERE rowid NOT IN (SELECT earlier_row FROM pairs);
DELETE FROM changes WHERE change = 'gone'
    AND path IN (SELECT path FROM files WHERE status = 'not_checked');
"""


def changes(totals: Totals, limit: int = -1) -> Iterator[Changed]:
    """Yield what has changed by path. limit: at most that many (-1: all)."""
    rows = totals.connection.execute(
        "SELECT change, path, recipe, rule, severity, message, was FROM changes"
        " ORDER BY path, coalesce(recipe, -1), rule, change, message, was LIMIT ?",
        (limit,),
    )
    for row in rows:
        yield Changed(*row)
