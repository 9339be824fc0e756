"""The one door to the reference tables: CSV files that carry a source and a mark in every row.

Marks: ``published`` (read in the source named), ``memory`` (a handbook value or name not looked up
again), ``derived`` (computed from published values) and ``derived_default`` (this project's choice).
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from hashlib import sha256
from pathlib import Path

_FOLDER = Path(__file__).with_name("data")


@cache
def table(name: str) -> tuple[Mapping[str, str], ...]:
    """Return the rows of a reference table by column name. Raises KeyError for an unknown table."""
    path = _FOLDER / f"{name}.csv"
    try:
        lines = path.read_text("utf-8").splitlines()
    except FileNotFoundError:
        raise KeyError(name) from None
    reader = csv.reader(lines)
    columns = next(reader)
    return tuple(dict(zip(columns, row, strict=True)) for row in reader)


def table_names() -> tuple[str, ...]:
    """Return the names of all reference tables, sorted."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.csv")))


@cache
def data_digest() -> str:
    """Return 16 hex digits that change whenever any reference table does."""
    digest = sha256()
    for name in table_names():
        digest.update(name.encode())
        digest.update((_FOLDER / f"{name}.csv").read_bytes())
    return digest.hexdigest()[:16]


def number(text: str) -> float | None:
    """Return the number in a cell, None for an empty one."""
    return float(text) if text else None
