"""The rows of a water report, read one at a time."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.quantities import Measure, QuantityError, amount_with_unit
from recipe_tools.water_report.printed import printed
from recipe_tools.water_report.records import Doubt, ReportError
from recipe_tools.water_report.units import Stated, alkalinity, hardness

MAX_TEXT = 300
MOST_MG_L = 100_000.0
MOST_MEQ_L = MOST_MG_L / CACO3_MG_MEQ
_IN_EQUIVALENTS = (alkalinity, hardness)


@dataclass(slots=True)
class Rows:
    """What has been read of a table so far.

    usual: unit and basis of a bare number by row, where the name of the row tells. qualifiers: how
    values were printed (see `printed.Qualifier`, and ``grains``) -> the rows so printed.
    """

    table: Mapping[str, Any]
    usual: Mapping[str, str] = field(default_factory=dict)
    qualifiers: dict[str, list[str]] = field(default_factory=dict)
    ions: dict[str, Estimate] = field(default_factory=dict)
    with_basis: set[str] = field(default_factory=set)
    doubts: list[Doubt] = field(default_factory=list)

    def stated(self, key: str, read: Callable[..., Stated]) -> Stated | None:
        """Return a concentration read with the given function, None where the row is missing."""
        if key not in self.table:
            return None
        try:
            stated = read(self.table[key], usual=self.usual.get(key, ""))
        except QuantityError as error:
            raise ReportError(f"{key} {error}") from None
        if self.qualified(key, stated.qualifier):
            return None
        if stated.grains:
            self.qualified(key, "grains")
        most = MOST_MEQ_L if read in _IN_EQUIVALENTS else MOST_MG_L
        if stated.value.high > most:
            raise ReportError(
                f"{key} is more than {MOST_MG_L:,.0f} mg/L, more than any water holds"
            )
        if stated.basis:
            self.with_basis.add(key)
        return stated

    def qualified(self, key: str, qualifier: str) -> bool:
        """Note how a value was printed; tell whether that means that there is none."""
        if qualifier:
            self.qualifiers.setdefault(qualifier, []).append(key.replace("_", " "))
        return qualifier == "unstated"

    def doubt(self, id_: str, text: str, rule: str = "") -> None:
        """Note what the report leaves open. rule: the one that makes a finding of it."""
        self.doubts.append(Doubt(id_, text, rule))


def bare(rows: Rows, key: str) -> Estimate | None:
    """Return a number without unit, such as a pH. Raises ReportError."""
    if key not in rows.table:
        return None
    try:
        cell = printed(rows.table[key])
    except QuantityError as error:
        raise ReportError(f"{key} {error}") from None
    if rows.qualified(key, cell.qualifier):
        return None
    if cell.unit and cell.unit.casefold() != "ph":
        raise ReportError(f"{key} has a unit where a plain number is meant")
    return cell.value


def within(rows: Rows, key: str, measure: Measure, low: float, high: float) -> float | None:
    """Return a quantity that must lie between two bounds in its unit. Raises ReportError."""
    if key not in rows.table:
        return None
    if isinstance(rows.table[key], list):
        raise ReportError(f"{key} is a list where one value is meant")
    try:
        cell = printed(rows.table[key])
        if rows.qualified(key, cell.qualifier):
            return None
        result = amount_with_unit(cell.value.best, cell.unit or rows.usual.get(key, ""), measure)
    except QuantityError as error:
        raise ReportError(f"{key} {error}") from None
    if not low <= result <= high:
        raise ReportError(f"{key} is not between {low:g} and {high:g} {measure.unit}")
    return result


def flag(table: Mapping[str, Any], key: str) -> bool | None:
    """Return true, false or None where the row is missing. Raises ReportError."""
    value = table.get(key)
    if value is not None and not isinstance(value, bool):
        hint = "; write the figure under chlorine, with its basis" if key == "chloramine" else ""
        raise ReportError(f"{key} is neither true nor false{hint}")
    return value


def text(table: Mapping[str, Any], key: str) -> str:
    """Return a text of at most `MAX_TEXT` characters; a date is written out. Raises ReportError."""
    value = table.get(key, "")
    if isinstance(value, (date, datetime, time)):
        return value.isoformat()
    if isinstance(value, int) and not isinstance(value, bool) and key == "date":
        value = str(value) if 0 <= value < 10_000 else ""
    if not isinstance(value, str):
        raise ReportError(f"{key} is not a text in quotes")
    if len(value) > MAX_TEXT:
        raise ReportError(f"{key} is longer than {MAX_TEXT} characters")
    return value.strip()


def best_of(stated: Stated | None) -> float | None:
    """Return the best value of a row, None where it is missing."""
    return None if stated is None else stated.value.best
