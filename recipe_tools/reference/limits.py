"""Ranges of ions for brewing and the limits of drinking water."""

from collections.abc import Mapping
from functools import cache
from typing import Literal, NamedTuple

from recipe_tools.reference.tables import number, table


class IonRange(NamedTuple):
    """Range of an ion in brewing water, mg/L (alkalinity as CaCO3), as the checks use it.

    low, high: usual range; soft_low: low end for soft pale lagers. warn_above, error_above: limits;
    note_above: taste limit of drinking water, worth a note. with_ion ``sulfate:200`` and
    warn_above_with: a lower limit where that ion is above that level.
    rows: all rows of the table for the ion, with their sources; mark: that of the range itself.
    """

    ion: str
    low: float | None
    high: float | None
    warn_above: float | None
    error_above: float | None
    note_above: float | None
    soft_low: float | None
    with_ion: str
    warn_above_with: float | None
    source: str
    mark: str
    rows: tuple[Mapping[str, str], ...]


@cache
def ion_range(ion: str) -> IonRange:
    """Return the range of an ion. Raises KeyError where the checks have none.

    Known are the ions of `recipe.IONS` except bicarbonate, and ``alkalinity`` (sparge water),
    ``zinc``, ``iron``, ``manganese``, ``copper``, ``nitrate``, ``nitrite``, ``residual_chlorine``.
    """
    rows = tuple(row for row in table("brewing_ion_ranges") if row["ion"] == ion)
    own = next((row for row in rows if row["mark"] == "derived_default"), None)
    if own is None:
        raise KeyError(ion)
    return IonRange(
        ion=ion,
        low=number(own["low"]),
        high=number(own["high"]),
        warn_above=number(own["warn_above"]),
        error_above=number(own["error_above"]),
        note_above=number(own["note_above"]),
        soft_low=number(own["soft_low"]),
        with_ion=own["with_ion"],
        warn_above_with=number(own["warn_above_with"]),
        source=own["source"],
        mark=own["mark"],
        rows=rows,
    )


class DrinkingLimit(NamedTuple):
    """A limit of drinking water.

    low, high: as the document prints them, on the basis of expressed_as (``N`` for nitrogen).
    high_as_ion: the upper limit on the basis on which waters are kept here: mg/L of the ion itself,
    chlorine and chloramine as Cl2, conductivity at 25 °C. kind: ``health``, ``taste`` (also
    staining and corrosion), ``threshold`` (where some begin to taste it: no limit), ``advice`` or
    ``rating`` (grades of a taste panel).
    """

    ion: str
    low: float | None
    high: float | None
    high_as_ion: float | None
    unit: str
    expressed_as: str
    kind: Literal["health", "taste", "threshold", "advice", "rating"]
    body: str
    document: str
    year: str
    note: str
    source: str
    mark: str


@cache
def drinking_limits(ion: str) -> tuple[DrinkingLimit, ...]:
    """Return the limits of drinking water for an ion or property; empty where there is none."""
    return tuple(
        DrinkingLimit(
            ion=ion,
            low=number(row["low"]),
            high=number(row["high"]),
            high_as_ion=number(row["high_as_ion"]),
            unit=row["unit"],
            expressed_as=row["expressed_as"],
            kind=row["kind"],  # type: ignore[arg-type]  # a test compares the column
            body=row["body"],
            document=row["document"],
            year=row["year"],
            note=row["note"],
            source=row["source"],
            mark=row["mark"],
        )
        for row in table("drinking_water_limits")
        if row["ion"] == ion
    )
