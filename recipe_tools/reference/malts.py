"""DI pH and buffer of malts by class and colour, and what the crush makes of the buffer."""

from collections.abc import Mapping
from functools import cache, lru_cache
from math import log10
from typing import NamedTuple

from recipe_tools.reference.tables import table

Range = tuple[float, float, float]
"""Low, best and high; the ends of a 95 % band."""


class MaltValues(NamedTuple):
    """What the mash pH model needs to know about a malt that nobody measured.

    di_ph: pH of its mash in distilled water, di_water_l_kg litres to the kilogram, cooled sample.
    buffer_meq_kg_ph: mEq/(kg pH) of pulverised grain; the crush factor is still to be applied.
    mark: ``published`` (a measured value), ``derived`` (computed from published measurements) or
    ``derived_default`` (this project's choice).
    """

    di_ph: Range
    buffer_meq_kg_ph: Range
    di_water_l_kg: float
    source: str
    mark: str


@lru_cache(maxsize=4096)
def malt_values(class_id: str, colour_ebc: float | None = None) -> MaltValues:
    """Return DI pH and buffer of a class of malt, by its colour where the class depends on it.

    A class without a row for this colour, or unheard of, is read as ``unknown`` with a wide band.
    Colours outside the fitted range count as its nearest end. Without a colour the typical one of
    the class is taken and the band widened.
    """
    law = _law(class_id, colour_ebc)
    colour = law.typical_ebc if colour_ebc is None else colour_ebc
    decades = log10(min(max(colour, law.fit_min_ebc), law.fit_max_ebc))
    more = law.di_more_without_colour if colour_ebc is None else 0.0
    di_ph = law.di_at_log0 + law.di_per_log_ebc * decades
    buffer = law.buffer_at_log0 + law.buffer_per_log_ebc * decades
    buffer *= law.buffer_in_mash_factor
    return MaltValues(
        (di_ph - law.di_minus - more, di_ph, di_ph + law.di_plus + more),
        (buffer * law.buffer_low, buffer, buffer * law.buffer_high),
        law.di_water_l_kg,
        law.source,
        law.mark,
    )


def typical_ebc(class_id: str) -> float:
    """Return the usual colour of a class of malt in EBC. Raises KeyError for an unknown class."""
    return _laws()[class_id][0].typical_ebc


@cache
def crush_factor(crush: str) -> Range:
    """Return the factor on the buffer of pulverised grain for a crush, as (low, best, high).

    crush: ``pulverised``, ``fine``, ``normal`` or ``coarse``. Raises KeyError for another word.
    """
    for row in table("crush"):
        if row["crush"] == crush:
            return (
                float(row["factor_low"]),
                float(row["factor_best"]),
                float(row["factor_high"]),
            )
    raise KeyError(crush)


class _Law(NamedTuple):
    above_ebc: float
    up_to_ebc: float
    typical_ebc: float
    fit_min_ebc: float
    fit_max_ebc: float
    di_at_log0: float
    di_per_log_ebc: float
    di_minus: float
    di_plus: float
    di_more_without_colour: float
    di_water_l_kg: float
    buffer_at_log0: float
    buffer_per_log_ebc: float
    buffer_in_mash_factor: float
    buffer_low: float
    buffer_high: float
    source: str
    mark: str


@cache
def _laws() -> Mapping[str, tuple[_Law, ...]]:
    laws: dict[str, tuple[_Law, ...]] = {}
    for row in table("malt_model"):
        law = _Law(
            float(row["above_ebc"] or 0.0),
            float(row["up_to_ebc"] or "inf"),
            float(row["typical_ebc"]),
            float(row["fit_min_ebc"]),
            float(row["fit_max_ebc"]),
            float(row["di_at_log0"]),
            float(row["di_per_log_ebc"]),
            float(row["di_minus"]),
            float(row["di_plus"]),
            float(row["di_more_without_colour"]),
            float(row["di_water_l_kg"]),
            float(row["buffer_at_log0"]),
            float(row["buffer_per_log_ebc"]),
            float(row["buffer_in_mash_factor"]),
            1.0 - float(row["buffer_minus_percent"]) / 100.0,
            1.0 + float(row["buffer_plus_percent"]) / 100.0,
            row["source"],
            row["mark"],
        )
        laws[row["class"]] = (*laws.get(row["class"], ()), law)
    return laws


def _law(class_id: str, colour_ebc: float | None) -> _Law:
    for candidate in (class_id, "unknown"):
        rows = _laws().get(candidate, ())
        for law in rows:
            colour = law.typical_ebc if colour_ebc is None else colour_ebc
            if law.above_ebc < colour <= law.up_to_ebc or (colour <= 0.0 and law.above_ebc == 0.0):
                return law
    raise KeyError(class_id)
