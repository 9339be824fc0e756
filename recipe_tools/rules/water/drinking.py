"""The source water against the health limits of drinking water."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Example, Finding, Option, Rule, Severity
from recipe_tools.reference import drinking_limits
from recipe_tools.rules import rule
from recipe_tools.rules.examples import well_with
from recipe_tools.rules.liquors import source_pointer
from recipe_tools.rules.verdicts import mg_l, report

_IONS = ("nitrate", "nitrite", "fluoride", "copper", "manganese", "lead")
"""Ions with a health limit. Sulfate has none: at 500 mg/L authorities only want to know."""
_AT_THE_LIMIT = 1.005
"""A value counts as above a limit from half a percent on: less is a matter of rounding."""


class _Limit(NamedTuple):
    mg_l: float
    body: str
    document: str


@cache
def _limits(body: str) -> Mapping[str, _Limit]:
    """Return the lowest health limit per ion, in mg/L of the ion; body empty: of all bodies."""
    found: dict[str, _Limit] = {}
    for ion in _IONS:
        for row in drinking_limits(ion):
            if row.kind != "health" or row.high_as_ion is None or (body and row.body != body):
                continue
            if ion not in found or row.high_as_ion < found[ion].mg_l:
                found[ion] = _Limit(row.high_as_ion, row.body, row.document)
    return found


@rule(
    Rule(
        id="water/ion-above-drinking-limit",
        severity=Severity.ERROR,
        summary="The source water passes a health limit of drinking water.",
        why="Brewing removes none of it: what is unfit to drink is unfit to brew with.",
        source="WHO Guidelines for drinking-water quality; Directive (EU) 2020/2184; 40 CFR 141",
        remedy="Do not brew with it. Have the analysis repeated and ask the local health "
        "authority; a wrong unit (as N, not as NO3) is possible.",
        options={
            "body": Option(
                "WHO",
                "WHO, EU or US EPA",
                "whose limits; empty: the lowest of all",
                "drinking_water_limits",
            )
        },
        passes=Example("Twenty mg/L nitrate.", well_with(nitrate=20, calcium=31)),
        fails=Example("Seventy mg/L nitrate.", well_with(nitrate=70, calcium=48)),
        reference=("drinking_water_limits[kind=health]",),
    )
)
def ion_above_drinking_limit(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at each ion with a health limit."""
    ions = day.source.ions_mg_l
    for ion, limit in _limits(options["body"]).items():
        amount = ions.get(ion)
        if amount is None or amount <= limit.mg_l * _AT_THE_LIMIT:
            continue
        yield report(
            "water/ion-above-drinking-limit",
            f"{ion.capitalize()} in '{day.source.name}' is {mg_l(amount)} mg/L, above the health "
            f"limit of {mg_l(limit.mg_l)} mg/L ({limit.body})",
            source_pointer(day, ion),
            ion=ion,
            value=round(amount, 3),
            limit=limit.mg_l,
            body=limit.body,
            unit="mg/L",
        )


@rule(
    Rule(
        id="water/nitrate-with-nitrite",
        severity=Severity.ERROR,
        summary="Nitrate and nitrite together pass the limit that neither passes alone.",
        why="Both act on the blood of infants in the same way, so their shares of the limits add "
        "up.",
        source="WHO Guidelines and Directive (EU) 2020/2184: nitrate/50 + nitrite/3 at most 1",
        remedy="Do not brew with it; ask the local health authority.",
        options={
            "nitrate": Option(50, "mg/L as NO3", "share of this", "Directive (EU) 2020/2184"),
            "nitrite": Option(3, "mg/L as NO2", "plus share of this", "Directive (EU) 2020/2184"),
        },
        passes=Example("Twenty and a tenth.", well_with(nitrate=20, nitrite=0.1, calcium=31)),
        fails=Example("Forty and one.", well_with(nitrate=40, nitrite=1.0, calcium=38)),
        reference=("drinking_water_limits[ion=nitrate|nitrite]",),
    )
)
def nitrate_with_nitrite(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Add the two shares; silent where one alone passes its limit."""
    nitrate, nitrite = (day.source.ions_mg_l.get(ion) for ion in ("nitrate", "nitrite"))
    if nitrate is None or nitrite is None:
        return
    first, second = nitrate / options["nitrate"], nitrite / options["nitrite"]
    if first + second <= _AT_THE_LIMIT or first > _AT_THE_LIMIT or second > _AT_THE_LIMIT:
        return
    yield report(
        "water/nitrate-with-nitrite",
        f"Nitrate {mg_l(nitrate)} mg/L and nitrite {mg_l(nitrite)} mg/L add up to "
        f"{first + second:.2f} of their common limit",
        source_pointer(day, "nitrite"),
        value=round(first + second, 2),
        limit=1.0,
        unit="share of the limit",
    )
