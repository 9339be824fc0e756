"""What water works and laboratories call the rows of a report, in the languages of the tables."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from types import MappingProxyType
from typing import NamedTuple

from recipe_tools.reference.tables import table
from recipe_tools.reference.wording import key


class ReportRow(NamedTuple):
    """A row of a water report by our name.

    unit, basis: those a bare number under that name is printed with; empty where nothing is usual.
    """

    key: str
    unit: str = ""
    basis: str = ""

    @property
    def usual(self) -> str:
        """Unit and basis of a bare number, as text."""
        return f"{self.unit} as {self.basis}" if self.basis else self.unit


def report_row(name: str) -> ReportRow | None:
    """Return the row a printed name stands for, None where it is not known.

    Case, accents, blanks and hyphens do not count: ``Säurekapazität bis pH 4,3``, ``SO4``.
    """
    return _rows().get(key(name[:100]))


@lru_cache(maxsize=1024)
def report_column(name: str) -> str:
    """Return what a heading says its column holds, an empty text where it is not known.

    One of ``name``, ``unit``, ``min``, ``mean``, ``max``, ``value``, ``limit`` (of the law),
    ``count`` (of samples) and ``other``.
    """
    return _columns().get(key(name[:100]), "")


@cache
def _columns() -> Mapping[str, str]:
    return MappingProxyType(
        {key(row["name"]): row["column"] for row in table("water_report_columns")}
    )


@cache
def _rows() -> Mapping[str, ReportRow]:
    return MappingProxyType(
        {
            key(row["name"]): ReportRow(row["key"], row["unit"], row["basis"])
            for row in table("water_report_names")
        }
    )
