"""Ions: the limits of each, the ranges of the style, and how far outside of them counts."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, reduce
from typing import Any, NamedTuple

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.estimate import ZERO, Estimate
from recipe_tools.findings import Option, Severity
from recipe_tools.judgement import OPEN, Range, Thresholds
from recipe_tools.reference import city_waters, ion_range

MARGIN_MG_L = 0.5
"""Over a limit by less is not over it: half the last digit of a water report."""
TRACE_MARGIN = 0.02
"""A trace counts as over its limit from 2 % above it: closer no household test can tell."""
RATIO_MARGIN = 0.05
"""A ratio of two ions counts as outside from this far beside its range."""
ONLY_ABOVE = ("magnesium", "sodium")
"""Ions of which too little is no fault."""
BY_STYLE = ("calcium", "chloride", "sulfate", *ONLY_ABOVE)
"""Ions judged by the ranges of the style, in the order in which they are."""


def margin_of(limit: float) -> float:
    """Return how far above a limit in mg/L counts as above it."""
    return MARGIN_MG_L if limit >= 10 else TRACE_MARGIN * limit


def table_option(ion: str, column: str, text: str) -> Option:
    """Return the option for a limit of the table of brewing ranges, by its column there."""
    source = f"brewing_ion_ranges, row of {ion} marked derived_default"
    return Option(getattr(ion_range(ion), column), "mg/L", text, source)


CALCIUM_LOW = Thresholds(
    "ions/calcium-low",
    {
        "low": table_option("calcium", "low", "below this a note, unless the style allows less"),
        "warn_below": Option(20, "mg/L", "below this a warning", "Briggs et al. 2004, memory"),
        "soft_low": Option(
            min(city.ions_mg_l["calcium"] for city in city_waters() if city.city == "Plzeň"),
            "mg/L",
            "the limit for families that are brewed with the softest water",
            "city_waters, analyses of Plzeň",
        ),
    },
)
SODIUM_WITH_SULFATE = Thresholds(
    "ions/sodium-with-sulfate",
    {
        "sodium_above": table_option("sodium", "warn_above_with", "sodium above this"),
        "sulfate_above": Option(
            float(ion_range("sodium").with_ion.partition(":")[2]),
            "mg/L",
            "with sulfate above this",
            "brewing_ion_ranges, row of sodium marked derived_default",
        ),
    },
)
TOTAL_MINERALS = Thresholds(
    "ions/total-minerals-high",
    {
        "solids_above": Option(1000, "mg/L", "dissolved solids above this", "WHO, from memory"),
        "both_above": Option(
            150, "mg/L", "chloride and sulfate both above this", "derived_default"
        ),
    },
)
OUTSIDE_STYLE = Thresholds(
    "ions/outside-style",
    {
        "tolerance": Option(
            5, "%", "how far outside the range still counts as inside", "derived_default"
        )
    },
)
RATIO = Thresholds(
    "ions/ratio-against-style",
    {
        "judged_from": Option(
            25, "mg/L", "not judged where both ions lie below this", "derived_default"
        ),
        "full_weight_from": Option(
            50, "mg/L", "only possible where both ions lie below this", "derived_default"
        ),
        "both_below": Option(
            150, "mg/L", "not judged where both ions lie above this", "derived_default"
        ),
    },
)

_WORDS = {Severity.NOTE: "a note", Severity.WARNING: "a warning", Severity.ERROR: "an error"}


class IonLimit(NamedTuple):
    """How much of an ion is too much, whatever the style.

    steps: severity -> column of `reference.IonRange`, mildest first. widened: the mildest step
    waits for the upper end of the style. measured: what the limit of the table is the mass of,
    where another could be meant.
    """

    ion: str
    steps: Mapping[Severity, str]
    widened: bool = False
    measured: str = ""

    @property
    def thresholds(self) -> Thresholds:
        """What the rule on the ion judges by."""
        return Thresholds(
            f"ions/{self.ion}-high",
            {
                _option_of(column): table_option(self.ion, column, self._text(severity))
                for severity, column in self.steps.items()
            },
        )

    def _text(self, severity: Severity) -> str:
        unless = self.widened and severity is min(self.steps)
        return (
            f"above this {_WORDS[severity]}"
            f"{', unless the style allows more' if unless else ''}{self.measured}"
        )

    def in_force(self, day: BrewDay, options: Mapping[str, Any]) -> list[tuple[Severity, float]]:
        """Return severity and limit in mg/L, gravest first; nothing where the style has it in.

        options: the thresholds by name.
        """
        if exempt(day, self.ion):
            return []
        limits = [(severity, options[_option_of(name)]) for severity, name in self.steps.items()]
        if self.widened:
            severity, limit = limits[0]
            limits[0] = severity, max(limit, range_of(day, self.ion)[1] or 0.0)
        return limits[::-1]


def _option_of(column: str) -> str:
    return "warn_above" if column == "high" else column


_WARNING = {Severity.WARNING: "warn_above"}
_ERROR = {**_WARNING, Severity.ERROR: "error_above"}
_NOTE = {Severity.NOTE: "note_above", **_ERROR}

ION_LIMITS: Mapping[str, IonLimit] = {
    row.ion: row
    for row in (
        IonLimit("calcium", _WARNING),
        IonLimit("magnesium", _ERROR),
        IonLimit("sulfate", _NOTE, widened=True),
        IonLimit("potassium", {Severity.NOTE: "high"}),
        IonLimit("sodium", _ERROR),
        IonLimit("chloride", _ERROR, widened=True),
        IonLimit("nitrate", _WARNING, measured=", as NO3"),
        IonLimit("nitrite", _WARNING, measured=", as NO2"),
        IonLimit("iron", _ERROR),
        IonLimit("manganese", _ERROR),
        IonLimit("copper", _ERROR),
        IonLimit("zinc", _ERROR),
    )
}


def brought_mg(day: BrewDay, ion: str) -> Estimate:
    """Return what all additions to the wort bring of an ion, milligrams."""
    brought = [item.ions_mg[ion] for item in day.doses if ion in item.ions_mg and item.in_wort]
    return reduce(Estimate.plus, brought, ZERO)


@cache
def upper_limit(ion: str) -> float | None:
    """Return the level in mg/L above which an ion is warned of, else the end of its usual range."""
    try:
        found = ion_range(ion)
    except KeyError:
        return None
    return found.high if found.warn_above is None else found.warn_above


def exempt(day: BrewDay, ion: str) -> bool:
    """Tell whether an ion is an ingredient of the style, so that it is not judged."""
    return day.family is not None and ion in day.family.exempt


def range_of(day: BrewDay, ion: str) -> Range:
    """Return the range of an ion in the style family; open where unknown or exempt."""
    if day.targets is None or exempt(day, ion):
        return OPEN
    return day.targets.ranges.get(ion, OPEN)


def style_range(day: BrewDay, ion: str) -> Range:
    """Return the range by which an ion is judged: too little of some is no fault."""
    low, high = range_of(day, ion)
    return (None if ion in ONLY_ABOVE else low), high


def widened(ends: Range, percent: float) -> Range:
    """Return a range with a tolerance of so many percent of each end."""
    low, high = ends
    share = percent / 100.0
    return (
        None if low is None else low * (1.0 - share),
        None if high is None else high * (1.0 + share),
    )


def least_calcium(day: BrewDay, options: Mapping[str, Any]) -> float:
    """Return the calcium in mg/L below which a check speaks; the softest styles are let off.

    options: thresholds of `CALCIUM_LOW` by name.
    """
    own, _ = range_of(day, "calcium")
    if own is None:
        return float(options["low"])
    soft = own <= (ion_range("calcium").soft_low or 0.0)
    return float(min(options["low"], own, options["soft_low"] if soft else own))


def ratio_range(day: BrewDay) -> Range | None:
    """Return the range of sulfate to chloride by mass by which a recipe is judged, None where not.

    It needs a beer of a known family, and a source that states both ions.
    """
    both = {"sulfate", "chloride"} <= day.source.ions_mg_l.keys()
    if day.targets is None or not both or not day.recipe.is_beer or exempt(day, "chloride"):
        return None
    return day.targets.sulfate_to_chloride
