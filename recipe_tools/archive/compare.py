"""What is new, gone or changed since an earlier audit, by path and fingerprint of each finding."""

from __future__ import annotations

import json
import stat
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Literal, NamedTuple

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
    """Counts of changes; new_files and gone_files are those that only one report has."""

    new: int
    gone: int
    changed: int
    new_files: int
    gone_files: int


def take_earlier(totals: Totals, path: Path) -> None:
    """Read an earlier JSON report into the totals. Raises CompareError.

    A report as this program writes it, a line for each file, is read line by line and so in little
    memory; one that was laid out anew is read as a whole.
    """
    connection = totals.connection
    connection.execute(f"CREATE TABLE earlier {_TABLE}")
    connection.execute("CREATE TABLE earlier_files (path TEXT)")
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
    return Comparison(
        counts.get("new", 0),
        counts.get("gone", 0),
        counts.get("changed", 0),
        new_files,
        gone_files,
    )


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
