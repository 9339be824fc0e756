"""From the names a paper prints to the rows of a report, and what is said of how it is printed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from recipe_tools.key_names import shown_key, unknown_key
from recipe_tools.reference.report_bases import basis_called
from recipe_tools.reference.report_names import ReportRow, report_row
from recipe_tools.reference.wording import key as comparable_key
from recipe_tools.water_report.printed import ABOUT, column_of
from recipe_tools.water_report.records import (
    ION_KEYS,
    KEYS,
    OTHER_KEYS,
    OTHER_NAMES,
    ReportError,
)
from recipe_tools.water_report.rows import Rows

_IN_BRACKETS = re.compile(r"(.+?)\s*[(\[]\s*([^()\[\]]{1,40}?)\s*[)\]]\s*")
_OURS = {comparable_key(name): name for name in (*ION_KEYS, *OTHER_KEYS)}
_SAID: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "below": (
            "below-detection",
            "{rows}: below what the laboratory can tell; nothing to that limit is allowed for, and "
            "chlorine below it is not treated",
        ),
        "none": ("not-detected", "{rows}: not detected, so none is counted"),
        "unstated": ("not-measured", "{rows}: the report says that nobody measured it"),
        "about": (
            "about",
            f"{{rows}}: stated as about; {100 * ABOUT:.0f} % either way allowed for",
        ),
        "grains": ("grains-as-caco3", "{rows}: in grains per gallon, taken as CaCO3"),
    }
)


def by_our_names(table: Mapping[str, Any]) -> Rows:
    """Return the rows of a table by our names. Raises ReportError for a key nobody knows.

    ``calcium_min`` and ``calcium_max`` are columns of one row; ``"Calcium (mg/L)"`` tells the unit.
    """
    rows: dict[str, Any] = {}
    usual: dict[str, str] = {}
    written: dict[str, str] = {}
    for key, value in map(_undotted, table.items()):
        row, column = _row_of(key)
        if row.usual:
            usual[row.key] = row.usual
        columns = rows.get(row.key)
        if column and row.key not in rows:
            rows[row.key] = {column: value}
        elif column and isinstance(columns, dict) and column not in columns:
            columns[column] = value
        elif row.key in rows:
            first = shown_key(written[row.key])
            raise ReportError(f"{row.key} is stated twice, as {first} and as {shown_key(key)}")
        else:
            rows[row.key] = value
        written.setdefault(row.key, key)
    return Rows(rows, usual)


def _undotted(item: tuple[str, Any]) -> tuple[str, Any]:
    """Put a name together that TOML takes for a table because of its point: ``Ks4.3``."""
    key, value = item
    if isinstance(value, Mapping) and len(value) == 1:
        ((inner, inside),) = value.items()
        if report_row(f"{key}.{inner}") is not None:
            return f"{key}.{inner}", inside
    return key, value


def _row_of(key: str) -> tuple[ReportRow, str]:
    """Return the row and the column a key names. Raises ReportError."""
    if (whole := row_called(key)) is not None:
        return whole, ""
    name, column = column_of(key)
    found = row_called(name) if column else None
    if found is None:
        raise ReportError(unknown_key(key, KEYS, OTHER_NAMES))
    return found, column


def row_called(name: str) -> ReportRow | None:
    """Return the row that a name stands for, with the unit or basis that it tells; None for others.

    ``Calcium (mg/L)`` and ``Nitrate (as N)`` tell one, ``Calcium (Ca)`` does not.
    """
    found = _printed(name)
    bracket = None if found is not None else _IN_BRACKETS.fullmatch(name[:200])
    if bracket is None:
        return found
    inner = _printed(bracket[1])
    if inner is None:
        return None
    basis = re.sub(r"(?i)^(?:as|als|en|come|como|jako)\s+", "", bracket[2])
    again = _printed(basis)
    if again is not None and again.key == inner.key and basis == bracket[2]:
        return inner
    if basis != bracket[2] or basis_called(basis):
        return ReportRow(inner.key, inner.unit or "mg/L", basis)
    return ReportRow(inner.key, bracket[2], inner.basis)


def _printed(name: str) -> ReportRow | None:
    """Return the row of a name as a paper prints it, or of one of our own in any spelling."""
    if name in KEYS:
        return ReportRow(name)
    own = _OURS.get(comparable_key(name[:100]))
    return report_row(name) or (ReportRow(own) if own else None)


def say_qualifiers(rows: Rows) -> None:
    """Say how values were printed that are not plain numbers, once for each kind."""
    for qualifier, (id_, text) in _SAID.items():
        if qualifier in rows.qualifiers:
            rows.doubt(id_, text.format(rows=", ".join(rows.qualifiers[qualifier])))
