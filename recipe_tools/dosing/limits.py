"""The ranges a plan aims at and the limits it never passes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from recipe_tools.brewday import BrewDay
from recipe_tools.reference import ion_range

LOWEST_PH = 5.2
HIGHEST_PH = 5.6
EDGE_PH = 0.035
"""Kept from the edges of the window, so that a plan does not end just inside."""

RATIO_JUDGED_FROM_MG_L = 50.0
BOTH_ANIONS_MG_L = 150.0
SOLIDS_MG_L = 1000.0
LACTATE_MG_L = 400.0
RESIDUAL_SLACK_MEQ_L = 9.0 / 50.043
"""Half a German degree, as the check of residual alkalinity allows."""
ROUNDING_SHARE = 0.045
"""How far outside a range still counts as met: the check allows 5 %."""

_BOTH_SIDES = ("calcium", "chloride", "sulfate")
_ONLY_ABOVE = ("magnesium", "sodium")
_HARD = ("calcium", "magnesium", "sodium", "chloride", "sulfate", "potassium")

Range = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class Aims:
    """What a plan is measured by, mg/L of all water together unless said otherwise.

    wanted: ranges to be met, by ion. hard: ceilings never passed. sulfate_to_chloride: by mass, or
    None. residual_meq_l: ceiling for the mash water after its acid, or None.
    """

    wanted: Mapping[str, Range]
    hard: Mapping[str, float]
    sulfate_to_chloride: Range | None
    residual_meq_l: float | None
    sodium_with_sulfate: tuple[float, float] | None


def aims(day: BrewDay) -> Aims:
    """Return what a plan for a brew day aims at: its own or its family's ranges, and safe limits.

    Too little sodium or magnesium is no fault, so only their upper ends count.
    """
    found = day.targets
    exempt = day.family.exempt if day.family is not None else frozenset[str]()
    ranges = found.ranges if found is not None else {}
    wanted: dict[str, Range] = {}
    for ion in _BOTH_SIDES:
        if ion in ranges and ion not in exempt:
            wanted[ion] = ranges[ion]
    for ion in _ONLY_ABOVE:
        if ion in ranges and ion not in exempt:
            wanted[ion] = (None, ranges[ion][1])
    if "calcium" not in wanted:
        wanted["calcium"] = (ion_range("calcium").low, None)
    residual = found.residual_alkalinity_meq_l if found is not None else None
    ratio = found.sulfate_to_chloride if found is not None and "chloride" not in exempt else None
    sodium = ion_range("sodium")
    other, _, level = sodium.with_ion.partition(":")
    pair = None
    if other == "sulfate" and sodium.warn_above_with is not None and "sodium" not in exempt:
        pair = (sodium.warn_above_with, float(level))
    return Aims(
        wanted=wanted,
        hard={ion: _ceiling(ion, ranges) for ion in _HARD if ion not in exempt},
        sulfate_to_chloride=ratio,
        residual_meq_l=None if residual is None else residual[1],
        sodium_with_sulfate=pair,
    )


def _ceiling(ion: str, ranges: Mapping[str, Range]) -> float:
    """Return the level above which the check warns (or, for sulfate, notes) an ion."""
    known = ion_range(ion)
    level = known.note_above or known.warn_above or known.high or 0.0
    _, own = ranges.get(ion, (None, None))
    if ion in ("chloride", "sulfate") and own is not None:
        level = max(level, own)
        if known.error_above is not None:
            level = min(level, known.error_above)
    return level
