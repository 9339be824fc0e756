"""Figures of a water that cannot be, and figures measured in two ways that do not agree."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.estimate import bests
from recipe_tools.chemistry.ions import conductivity_us_cm, dissolved_solids_mg_l
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import reported, well_with
from recipe_tools.rules.verdicts import mg_l, report
from recipe_tools.rules.water.analysis import balance_of
from recipe_tools.rules.water.stated import StatedWater, stated_waters

_TRACES = frozenset(
    {"ammonium", "iron", "manganese", "copper", "zinc", "lead", "nitrite", "fluoride", "phosphate"}
)
_MAIN = ("calcium", "magnesium", "sodium", "chloride", "sulfate")
_STANDARD_METHODS = "Standard Methods 1030 E (from memory)"
_LEAST_SOLIDS_MG_L = 20.0
_LEAST_CONDUCTIVITY = 50.0


@rule(
    Rule(
        id="water/ion-impossible",
        severity=Severity.ERROR,
        summary="An ion is far above what any brewing water holds.",
        why="Sea water holds 10,800 mg/L of sodium, the strongest mineral springs some 5000 mg/L "
        "of bicarbonate. A figure beyond that is a wrong unit or a slip, and all that is computed "
        "from it is wrong too.",
        source="composition of sea water (from memory); the levels are a derived_default",
        remedy="Look at the unit: mg/L, not µg/L or g/L, and at the decimal point.",
        options={
            "main_above": Option(5000, "mg/L", "main ions above this", "derived_default"),
            "trace_above": Option(
                100, "mg/L", "metals, nitrite, fluoride and such above this", "derived_default"
            ),
        },
        passes=Example("The plain recipe."),
        fails=Example("Sodium of 12 g/L.", well_with(sodium=12000)),
    )
)
def ion_impossible(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at each ion of each water as stated."""
    for water in stated_waters(day):
        for ion, amount in bests(water.report.ions_mg_l).items():
            limit = options["trace_above" if ion in _TRACES else "main_above"]
            if amount <= limit:
                continue
            yield report(
                f"{ion.capitalize()} in '{water.name}' is {mg_l(amount)} mg/L, more than any "
                f"brewing water holds; a thousandth of it, {mg_l(amount / 1000.0)} mg/L, is "
                "likelier: look at the unit",
                water.at(ion),
                ion=ion,
                value=round(amount, 3),
                limit=limit,
                unit="mg/L",
            )


def _complete(water: StatedWater) -> bool:
    stated = water.report
    return stated.alkalinity_stated and all(ion in stated.ions_mg_l for ion in _MAIN)


@rule(
    Rule(
        id="water/dissolved-solids",
        severity=Severity.NOTE,
        summary="The dissolved solids stated do not agree with the ions.",
        why="Solids are weighed, ions are measured one by one. Where the two disagree, a figure is "
        "wrong or much of something is not stated.",
        source=_STANDARD_METHODS,
        remedy="Compare the figures with the paper.",
        options={
            "ratio_from": Option(1.0, "stated over computed", "sound from here", _STANDARD_METHODS),
            "ratio_to": Option(1.2, "stated over computed", "sound up to here", _STANDARD_METHODS),
            "slack": Option(5, "%", "beyond the ends still passes", "derived_default"),
        },
        # 25 + 4 + 12 + 22 + 30 mg/L of ions and 0.6 x 42.6 mg/L of alkalinity make 119 mg/L
        passes=Example("125 mg/L.", config=reported(total_dissolved_solids="125 mg/L")),
        fails=Example("400 mg/L.", config=reported(total_dissolved_solids="400 mg/L")),
    )
)
def dissolved_solids(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare where the main ions are stated."""
    slack = 1.0 + options["slack"] / 100.0
    for water in stated_waters(day, records=False):
        stated = water.report.total_dissolved_solids_mg_l
        if stated is None or not _complete(water):
            continue
        alkalinity = water.report.alkalinity_meq_l.best
        computed = dissolved_solids_mg_l(bests(water.report.ions_mg_l), alkalinity)
        low, high = options["ratio_from"], options["ratio_to"]
        if computed < _LEAST_SOLIDS_MG_L or low / slack <= stated / computed <= high * slack:
            continue
        yield report(
            f"'{water.name}' states {stated:.0f} mg/L of dissolved solids, and its ions make "
            f"{computed:.0f} mg/L: {stated / computed:.2f} times as much, where {low:g} to "
            f"{high:g} is sound",
            water.at("name"),
            confidence=Confidence.LIKELY,
            value=round(stated),
            computed=round(computed),
            unit="mg/L",
        )


@rule(
    Rule(
        id="water/conductivity",
        severity=Severity.NOTE,
        summary="The conductivity stated does not agree with the ions or the dissolved solids.",
        why="Conductivity counts all charges at once. Where it disagrees, a figure is wrong or "
        "much of something is not stated.",
        source=f"{_STANDARD_METHODS}; 0.81 from published county reports",
        remedy="Compare the figures with the paper, and the temperature of the conductivity.",
        options={
            "solids_from": Option(0.55, "mg/L per µS/cm", "sound from here", _STANDARD_METHODS),
            "solids_to": Option(
                0.81, "mg/L per µS/cm", "sound up to here", "published county reports"
            ),
            "slack": Option(10, "%", "beyond the ends still passes", "derived_default"),
        },
        # 2.1 mEq/L of either charge: 210 µS/cm
        passes=Example("210 µS/cm.", config=reported(conductivity="210 µS/cm")),
        fails=Example("600 µS/cm.", config=reported(conductivity="600 µS/cm")),
    )
)
def conductivity(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare with the ions where they are stated, else with the solids."""
    slack = 1.0 + options["slack"] / 100.0
    for water in stated_waters(day, records=False):
        stated = water.report.conductivity_us_cm
        if stated is None:
            continue
        charges, solids = balance_of(water.report), water.report.total_dissolved_solids_mg_l
        low, best, high = conductivity_us_cm(charges.cations_meq_l, charges.anions_meq_l)
        expected, unit = f"its ions make {low:.0f} to {high:.0f}", "µS/cm"
        if (
            not _complete(water)
            or best < _LEAST_CONDUCTIVITY
            or low / slack <= stated <= high * slack
        ):
            if solids is None or stated < _LEAST_CONDUCTIVITY:
                continue
            low, high = options["solids_from"], options["solids_to"]
            if low / slack <= solids / stated <= high * slack:
                continue
            expected = (
                f"{solids:.0f} mg/L of dissolved solids: {solids / stated:.2f} mg/L per µS/cm, "
                f"where {low:g} to {high:g} is usual"
            )
        yield report(
            f"'{water.name}' states {stated:.0f} µS/cm at 25 °C, and {expected}",
            water.at("name"),
            confidence=Confidence.LIKELY,
            value=round(stated),
            unit=unit,
        )
