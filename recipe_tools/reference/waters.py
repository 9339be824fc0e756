"""Historic analyses of city waters, and how their carbonate column has to be read."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from recipe_tools.reference.tables import number, table

_IONS = ("calcium", "magnesium", "sodium", "chloride", "sulfate", "nitrate")


class CityWater(NamedTuple):
    """One published analysis, mg/L.

    ions_mg_l: without the carbonate column, which books print as carbonate or bicarbonate at will.
    carbonate_as_printed: that column; balances_as: the reading under which cations and
    anions agree (``bicarbonate``, ``carbonate``, ``either``, ``neither`` or empty where not known);
    bicarbonate_that_balances: the bicarbonate that would make them agree.
    usable: False where it balances under no reading or is incomplete.
    """

    city: str
    ions_mg_l: Mapping[str, float]
    carbonate_as_printed: float | None
    balances_as: str
    bicarbonate_that_balances: float | None
    usable: bool
    note: str
    source: str
    mark: str


@cache
def city_waters() -> tuple[CityWater, ...]:
    """Return all analyses, by city."""
    return tuple(_from_row(row) for row in table("city_waters"))


def _from_row(row: Mapping[str, str]) -> CityWater:
    return CityWater(
        city=row["city"],
        ions_mg_l=MappingProxyType({ion: float(row[ion]) for ion in _IONS if row[ion]}),
        carbonate_as_printed=number(row["carbonate_as_printed"]),
        balances_as=row["balances_as"],
        bicarbonate_that_balances=number(row["bicarbonate_that_balances"]),
        usable=row["usable"] == "yes",
        note=row["note"],
        source=row["source"],
        mark=row["mark"],
    )
