"""From the keys and values of a water report to fixed units, with what had to be supposed."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from recipe_tools.chemistry.carbonate import END_POINT_PH
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.quantities import CONDUCTIVITY, TEMPERATURE
from recipe_tools.water_report.balance import Kind
from recipe_tools.water_report.carbonate import (
    find_alkalinity,
    share_out_hardness,
    split_alkalinity,
)
from recipe_tools.water_report.naming import by_our_names, say_qualifiers
from recipe_tools.water_report.records import (
    ION_KEYS,
    OTHER_KEYS,
    ReportError,
    WaterReport,
)
from recipe_tools.water_report.rows import Rows, bare, best_of, flag, text, within
from recipe_tools.water_report.units import concentration, hardness

AVERAGE_SPREAD = 0.08
AVERAGE_PH_SPREAD = 0.2
"""What a yearly average is widened by where it is stated as one number (derived_default)."""
CONDUCTIVITY_PER_DEGREE = 0.0208
"""Rise of conductivity per °C, part of the value at 25 °C: ISO 7888 has a factor of 1.116 from 20
to 25 °C (from memory)."""


def report(given: Mapping[str, Any]) -> WaterReport:
    """Return the report a table stands for; rows left empty are not stated. Raises ReportError."""
    filled = {key: value for key, value in given.items() if value != ""}
    rows = by_our_names(filled)
    table = rows.table
    if not any(key in table for key in (*ION_KEYS, *OTHER_KEYS)):
        if len(filled) < len(given):
            raise ReportError("is empty: no figure is filled in")
        raise ReportError("states nothing about the water; see `recipe-tools water --example`")
    kind = _kind(table)
    ph = _ph(rows, kind)
    hard = rows.stated("total_hardness", hardness)
    _read_ions(rows)
    share_out_hardness(rows, hard)
    alk, column = find_alkalinity(rows, ph)
    if kind == "average" and alk.exact:
        rows.doubt(
            "average-spread",
            f"the alkalinity is one number for a year: {100 * AVERAGE_SPREAD:.0f} % either way is "
            "allowed for",
        )
        alk = Estimate(alk.low * (1 - AVERAGE_SPREAD), alk.best, alk.high * (1 + AVERAGE_SPREAD))
    end_point = _end_point(rows)
    split_alkalinity(rows, alk.best, ph, end_point, column)
    chlorine = rows.stated("chlorine", partial(concentration, ion="chlorine"))
    conductivity, temperature = _conductivity(rows), _temperature(rows)
    solids = rows.stated("total_dissolved_solids", partial(concentration, ion="solids"))
    say_qualifiers(rows)
    return WaterReport(
        ions_mg_l={name: rows.ions[name] for name in ION_KEYS if name in rows.ions},
        alkalinity_meq_l=alk,
        ph=ph,
        end_point_ph=end_point,
        name=text(table, "name"),
        source=text(table, "source"),
        date=text(table, "date"),
        kind=kind,
        alkalinity_column=column,
        with_basis=frozenset(rows.with_basis),
        temperature_c=temperature,
        conductivity_us_cm=conductivity,
        total_dissolved_solids_mg_l=best_of(solids),
        hardness_meq_l=None if hard is None else hard.value,
        chlorine_mg_l=None if chlorine is None else chlorine.to_treat,
        chlorine_band_mg_l=None if chlorine is None else chlorine.value,
        chloramine=flag(table, "chloramine"),
        doubts=tuple(rows.doubts),
    )


def _read_ions(rows: Rows) -> None:
    for ion in ION_KEYS:
        stated = rows.stated(ion, partial(concentration, ion=ion))
        if stated is not None:
            rows.ions[ion] = stated.value


def _kind(table: Mapping[str, Any]) -> Kind:
    value = table.get("kind", "sample")
    if value == "sample":
        return "sample"
    if value == "average":
        return "average"
    raise ReportError('kind is neither "sample" (one bottle) nor "average" (of a year)')


def _ph(rows: Rows, kind: Kind) -> Estimate | None:
    value = bare(rows, "ph")
    if value is None:
        return None
    if not 0.0 <= value.low <= value.high <= 14.0:
        raise ReportError("ph is not between 0 and 14")
    if kind == "average" and value.exact:
        return Estimate(
            max(0.0, value.best - AVERAGE_PH_SPREAD),
            value.best,
            min(14.0, value.best + AVERAGE_PH_SPREAD),
        )
    return value


def _end_point(rows: Rows) -> float:
    value = bare(rows, "end_point_ph")
    if value is None:
        return END_POINT_PH
    if not 3.5 <= value.best <= 5.5:
        raise ReportError("end_point_ph is not between 3.5 and 5.5; 4.3 and 4.5 are usual")
    return value.best


def _temperature(rows: Rows) -> float | None:
    return within(rows, "temperature", TEMPERATURE, -2.0, 100.0)


def _conductivity(rows: Rows) -> float | None:
    value = within(rows, "conductivity", CONDUCTIVITY, 0.0, 200_000.0)
    at = within(rows, "conductivity_temperature", TEMPERATURE, 0.0, 40.0)
    if value is None or at is None:
        return value
    return value / (1.0 + CONDUCTIVITY_PER_DEGREE * (at - 25.0))
