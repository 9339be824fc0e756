"""Results of earlier runs, kept by the content of the file and by everything else they hang on.

A cache is never trusted and never needed: what cannot be read, is damaged or belongs to another
edition of the program is left aside, and the file is checked anew. Entries are JSON text with a
check sum in a SQLite file, which several runs may use at once.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
import zlib
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import cache
from pathlib import Path

import recipe_tools
from recipe_tools import __version__
from recipe_tools.archive.records import Packed
from recipe_tools.config import Options
from recipe_tools.findings import Confidence
from recipe_tools.limits import MEBIBYTE

FOLDER_VARIABLE = "RECIPE_TOOLS_CACHE_DIR"
FILE_NAME = "results-1.sqlite3"
MAX_BYTES = 512 * MEBIBYTE
"""Size above which entries are dropped at the end of a run (derived_default)."""

PROGRAM_FOLDER = Path(recipe_tools.__file__).parent
"""Where the program's own files lie; a change of any of them makes earlier results void."""

_WAIT_S = 10.0
_AT_ONCE = 200

_TABLE = """
CREATE TABLE IF NOT EXISTS results (
    key BLOB PRIMARY KEY, context BLOB NOT NULL, record TEXT NOT NULL, findings TEXT NOT NULL,
    check_sum INTEGER NOT NULL
)"""

_COLUMNS = ("key", "context", "record", "findings", "check_sum")


class CacheUnusable(Exception):  # noqa: N818  (what happened, as in the exceptions of click)
    """The cache cannot be used; the message says why."""


class ResultCache:
    """One open cache. Every method takes a fault of the file for an empty cache.

    Raises CacheUnusable where the folder cannot be made or written to.
    """

    def __init__(self, folder: Path) -> None:
        self._path = folder / FILE_NAME
        self._connection: sqlite3.Connection | None = None
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            try:
                self._connection = _connected(self._path)
            except sqlite3.DatabaseError as error:
                if isinstance(error, sqlite3.OperationalError):
                    raise
                remove_files(self._path)
                self._connection = _connected(self._path)
        except (OSError, sqlite3.Error) as error:
            raise CacheUnusable(f"{type(error).__name__}: {_reason(error)}") from None

    def find(self, keys: Sequence[bytes]) -> Mapping[bytes, Packed]:
        """Return what is kept under the keys; damaged entries are left out."""
        if self._connection is None or not keys:
            return {}
        found: dict[bytes, Packed] = {}
        try:
            for start in range(0, len(keys), _AT_ONCE):
                part = keys[start : start + _AT_ONCE]
                marks = ",".join("?" * len(part))
                rows = self._connection.execute(
                    f"SELECT key, record, findings, check_sum FROM results WHERE key IN ({marks})",
                    part,
                )
                for key, record, findings, check_sum in rows:
                    kept = Packed(record, findings)
                    if check_sum == _check_sum(kept):
                        found[key] = kept
        except (sqlite3.Error, TypeError, AttributeError, UnicodeError) as error:
            self._give_up(error)
            return {}
        return found

    def keep(self, context: bytes, results: Iterable[tuple[bytes, Packed]]) -> None:
        """Keep results under their keys, in one step."""
        if self._connection is None:
            return
        rows = [(key, context, *kept, _check_sum(kept)) for key, kept in results]
        if not rows:
            return
        try:
            self._connection.execute("BEGIN IMMEDIATE")
            self._connection.executemany("INSERT OR REPLACE INTO results VALUES (?,?,?,?,?)", rows)
            self._connection.execute("COMMIT")
        except (sqlite3.Error, UnicodeError) as error:
            with suppress(sqlite3.Error):
                self._connection.execute("ROLLBACK")
            self._give_up(error)

    def trim(self, contexts: Iterable[bytes], max_bytes: int = MAX_BYTES) -> None:
        """Drop entries of other settings, then the oldest, until the cache is within its size."""
        if self._connection is None:
            return
        try:
            if self._size() <= max_bytes:
                return
            used = list(contexts)
            marks = ",".join("?" * len(used))
            self._connection.execute(f"DELETE FROM results WHERE context NOT IN ({marks})", used)
            while self._size() > max_bytes:
                dropped = self._connection.execute(
                    "DELETE FROM results WHERE rowid IN"
                    " (SELECT rowid FROM results ORDER BY rowid LIMIT"
                    " (SELECT 1 + count(*) / 4 FROM results))"
                )
                if dropped.rowcount <= 0:
                    break
            self._connection.execute("VACUUM")
        except sqlite3.Error as error:
            self._give_up(error)

    def close(self) -> None:
        """Let go of the file."""
        if self._connection is not None:
            with suppress(sqlite3.Error):
                self._connection.close()
            self._connection = None

    def _size(self) -> int:
        assert self._connection is not None
        (pages,) = self._connection.execute("PRAGMA page_count").fetchone()
        (free,) = self._connection.execute("PRAGMA freelist_count").fetchone()
        (size,) = self._connection.execute("PRAGMA page_size").fetchone()
        return int((pages - free) * size)

    def _give_up(self, error: Exception) -> None:
        """Do without from here on; a damaged file is removed, so that the next run rebuilds it."""
        self.close()
        if not isinstance(error, sqlite3.OperationalError):
            remove_files(self._path)


def _connected(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(path, timeout=_WAIT_S, isolation_level=None)
    try:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=NORMAL")
        connection.execute("PRAGMA trusted_schema=OFF")
        connection.execute(_TABLE)
        columns = tuple(row[1] for row in connection.execute("PRAGMA table_info(results)"))
        if columns != _COLUMNS:
            raise sqlite3.DatabaseError("a table of another kind")
    except BaseException:
        connection.close()
        raise
    return connection


def _check_sum(kept: Packed) -> int:
    return zlib.crc32(kept.findings.encode(), zlib.crc32(kept.record.encode()))


def _reason(error: Exception) -> str:
    if isinstance(error, OSError):
        return error.strerror or "unknown reason"
    return str(error)


def remove_files(path: Path) -> int:
    """Remove a cache file with its side files; return the bytes they took. Never raises."""
    freed = 0
    for name in (path, path.with_name(f"{path.name}-wal"), path.with_name(f"{path.name}-shm")):
        try:
            size = name.stat().st_size
            name.unlink()
        except OSError:
            continue
        freed += size
    return freed


def cache_folder() -> Path:
    """Return the folder of the cache: of the environment variable, else of the user.

    Raises CacheUnusable where there is no such folder, as for a user without a home.
    """
    given = os.environ.get(FOLDER_VARIABLE)
    if given:
        return Path(given).absolute()
    from platformdirs import user_cache_path

    try:
        folder = user_cache_path("recipe-tools", appauthor=False)
    except (OSError, RuntimeError, KeyError) as error:
        raise CacheUnusable(f"no home folder ({type(error).__name__})") from None
    if not folder.is_absolute():
        raise CacheUnusable("no home folder")
    return folder


def context_of(options: Options, confidence: Confidence) -> bytes:
    """Return 32 bytes that differ wherever anything but the file itself changes results.

    Of today's date only what it decides counts: which suppressions have ended.
    """
    from recipe_tools.checking.judging import expired
    from recipe_tools.reference.tables import data_digest

    ended = [item.index for item in options.suppressions if expired(item, options)]
    parts = (
        __version__,
        program_stamp(),
        data_digest(),
        replace(options, today=None).digest(),
        repr(ended),
        confidence.word,
    )
    return hashlib.sha256("\0".join(parts).encode()).digest()


def key_of(data: bytes, context: bytes, more: str) -> bytes:
    """Return the key of a file. more: what else the result hangs on, such as accepted findings."""
    digest = hashlib.blake2b(data, key=context, digest_size=20)
    if more:
        digest.update(b"\0" + more.encode("utf-8", "surrogatepass"))
    return digest.digest()


@cache
def program_stamp() -> str:
    """Return a digest of names, sizes and times of the program's own files.

    The number of the version alone would not do where the program runs from a checkout.
    """
    stamp = hashlib.sha256()
    for path in sorted(PROGRAM_FOLDER.rglob("*.*")):
        if path.suffix in (".py", ".csv", ".toml"):
            status = path.stat()
            stamp.update(f"{path.name} {status.st_size} {status.st_mtime_ns}\n".encode())
    return stamp.hexdigest()
