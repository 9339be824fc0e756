"""The one door to the reference tables: CSV files that carry a source and a mark in every row.

Marks: ``published`` (read in the source named), ``memory`` (a handbook value or name not looked
up again), ``derived`` (computed from published values), ``derived_default`` (our own choice).
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from functools import cache
from operator import itemgetter
from pathlib import Path

_FOLDER = Path(__file__).with_name("data")


@cache
def table(name: str) -> tuple[Mapping[str, str], ...]:
    """Return the rows of a reference table by column name. Raises KeyError for an unknown table."""
    header, *rows = _read(name)
    return tuple(dict(zip(header, row, strict=True)) for row in rows)


def columns(name: str, *wanted: str) -> Iterator[tuple[str, ...]]:
    """Yield some columns of a long table row by row; quicker than `table` and not kept.

    Raises KeyError for an unknown table, ValueError for an unknown column.
    """
    header, *rows = _read(name)
    places = [header.index(column) for column in wanted]
    return map(itemgetter(*places), rows)


def _read(name: str) -> list[list[str]]:
    try:
        lines = (_FOLDER / f"{name}.csv").read_text("utf-8").splitlines()
    except FileNotFoundError:
        raise KeyError(name) from None
    return list(csv.reader(lines))


def table_names() -> tuple[str, ...]:
    """Return the names of all reference tables, sorted."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.csv")))


@cache
def data_digest() -> str:
    """Return 16 hex digits that change whenever any reference table does."""
    from hashlib import sha256

    digest = sha256()
    for name in table_names():
        digest.update(name.encode())
        digest.update((_FOLDER / f"{name}.csv").read_bytes())
    return digest.hexdigest()[:16]


def number(text: str) -> float | None:
    """Return the number in a cell, None for an empty one."""
    return float(text) if text else None
