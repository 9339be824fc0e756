"""The source water against the health limits of drinking water."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from recipe_tools.brewday import BrewDay
from recipe_tools.brewday.chlorine import chlorine_left
from recipe_tools.chemistry.estimate import bests
from recipe_tools.findings import Example, Finding, Option, Rule, Severity
from recipe_tools.recipe import IONS
from recipe_tools.reference import DrinkingLimit, drinking_limits
from recipe_tools.rules import rule
from recipe_tools.rules.examples import reported, well_with
from recipe_tools.rules.liquors import source_pointer
from recipe_tools.rules.verdicts import mg_l, report
from recipe_tools.water_report import WaterReport

_DISINFECTANTS = frozenset({"chlorine", "chloramine"})
_TASTE = "limit for taste, staining or corrosion"
_AT_THE_LIMIT = 1.005
"""A value counts as above a limit from half a percent on: less is a matter of rounding."""


class Passed(NamedTuple):
    """A limit of drinking water that a water passes. value, limit: in unit, on one basis."""

    name: str
    value: float
    limit: float
    unit: str
    row: DrinkingLimit


def passed_limits(levels: Mapping[str, float]) -> tuple[Passed, ...]:
    """Return the limits some levels pass, health limits first, the lowest first.

    levels: by the names of the table, as `levels_of` gives them.
    """
    found = [
        Passed(name, value, row.high_as_ion, _unit(name, row), row)
        for name, value in levels.items()
        for row in drinking_limits(name)
        if row.kind in ("health", "taste")
        and row.high_as_ion is not None
        and value > row.high_as_ion * _AT_THE_LIMIT
    ]
    return tuple(sorted(found, key=lambda item: (item.row.kind != "health", item.name, item.limit)))


def _unit(name: str, row: DrinkingLimit) -> str:
    return f"{row.unit} as Cl2" if name in _DISINFECTANTS else row.unit


def levels_of(stated: WaterReport) -> dict[str, float]:
    """Return what a water holds of all that drinking water has limits for."""
    levels = bests(stated.ions_mg_l)
    if stated.total_dissolved_solids_mg_l is not None:
        levels["tds"] = stated.total_dissolved_solids_mg_l
    if stated.conductivity_us_cm is not None:
        levels["conductivity"] = stated.conductivity_us_cm
    if stated.chlorine_mg_l is not None:
        levels["chloramine" if stated.chloramine else "chlorine"] = stated.chlorine_mg_l
    return levels


def _levels(day: BrewDay) -> dict[str, float]:
    """Return the levels of the source water; of chlorine what the recipe leaves in it."""
    source = day.source
    levels = levels_of(source.report) if source.report is not None else {}
    levels = {
        name: value
        for name, value in {**levels, **bests(source.ions_mg_l)}.items()
        if name not in _DISINFECTANTS
    }
    left = chlorine_left(day)
    if left > 0.0:
        levels["chloramine" if source.chloramine else "chlorine"] = left
    return levels


@rule(
    Rule(
        id="water/ion-above-drinking-limit",
        severity=Severity.ERROR,
        summary="The source water passes a health limit of drinking water.",
        why="What is unfit to drink is unfit to brew with; treatment removes chlorine alone.",
        source="WHO Guidelines for drinking-water quality; Directive (EU) 2020/2184; 40 CFR 141",
        remedy="Do not brew with it. Have the analysis repeated and ask the local health "
        "authority; a wrong unit (as N, not as NO3) is possible. Chlorine and chloramine are "
        "removed by sulfite; tell the water works.",
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
    """Say each substance once, by the lowest limit; chlorine as far as it stays in the water."""
    for item in _lowest(day, "health", options["body"]):
        # Where nothing is brewed yet, sulfite still takes it out.
        later = item.name in _DISINFECTANTS and day.liquor is None
        severity = Severity.WARNING if later else None
        yield _above(day, "health limit", item, severity)


@rule(
    Rule(
        id="water/limit-of-another-body",
        severity=Severity.WARNING,
        summary="The source water passes a health limit that holds elsewhere.",
        why="Limits differ: what one authority allows another forbids. Which one holds for you is "
        "a matter of where you live.",
        source="WHO Guidelines for drinking-water quality; Directive (EU) 2020/2184; 40 CFR 141",
        remedy="Ask the water works or the local health authority; set `body` of "
        "water/ion-above-drinking-limit to the one that holds for you.",
        passes=Example("Lead of 0.004 mg/L.", config=reported(lead="4 µg/L")),
        fails=Example("Lead of 0.007 mg/L.", config=reported(lead="7 µg/L")),
        reference=("drinking_water_limits[kind=health]",),
    )
)
def limit_of_another_body(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Say each substance once, by the lowest limit of all."""
    del options
    for item in _lowest(day, "health"):
        yield _above(day, "health limit", item)


def _lowest(day: BrewDay, kind: str, body: str = "") -> list[Passed]:
    """Return the lowest limit of a kind that each substance passes. body: empty for all."""
    said: dict[str, Passed] = {}
    for item in passed_limits(_levels(day)):
        if item.row.kind == kind and body in ("", item.row.body):
            said.setdefault(item.name, item)
    return list(said.values())


def _above(day: BrewDay, what: str, item: Passed, severity: Severity | None = None) -> Finding:
    name = {"tds": "the dissolved solids"}.get(item.name, item.name)
    return report(
        f"{name[:1].upper()}{name[1:]} in '{day.source.name}' is {mg_l(item.value)} {item.unit}, "
        f"above the {what} of {mg_l(item.limit)} {item.unit}{_basis(item)} ({item.row.body})",
        source_pointer(day, item.name),
        severity=severity,
        ion=item.name,
        value=round(item.value, 3),
        limit=item.limit,
        body=item.row.body,
        unit=item.unit,
    )


def _basis(item: Passed) -> str:
    """Return how the document itself prints a limit that it states on another basis than ours."""
    row = item.row
    if row.high is None or abs(row.high - item.limit) <= 0.001 * item.limit:
        return ""
    return f", set as {row.high:g} {row.unit} as {row.expressed_as}"


@rule(
    Rule(
        id="water/taste-limit",
        severity=Severity.NOTE,
        summary="The source water passes a limit for taste, staining or corrosion.",
        why="Such limits are no matter of health, but tell what the beer may taste of.",
        source="WHO Guidelines for drinking-water quality; Directive (EU) 2020/2184; 40 CFR 143.3",
        remedy="Blend with pure water, or brew beers that bear it.",
        passes=Example("A usual tap water.", config=reported()),
        fails=Example("Ammonium of 0.8 mg/L.", config=reported(ammonium="0.8 mg/L")),
        reference=("drinking_water_limits[kind=taste]",),
    )
)
def taste_limit(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge the source; where all water of a recipe is judged, its main ions are left to that."""
    del options
    for item in _lowest(day, "taste"):
        if item.name in IONS and day.liquor is not None:
            continue
        yield _above(day, _TASTE, item)


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
    if not {"nitrate", "nitrite"} <= day.source.ions_mg_l.keys():
        return
    nitrate, nitrite = day.source.mg_l("nitrate"), day.source.mg_l("nitrite")
    first, second = nitrate / options["nitrate"], nitrite / options["nitrite"]
    if first + second <= _AT_THE_LIMIT or first > _AT_THE_LIMIT or second > _AT_THE_LIMIT:
        return
    yield report(
        f"Nitrate {mg_l(nitrate)} mg/L and nitrite {mg_l(nitrite)} mg/L add up to "
        f"{first + second:.2f} of their common limit",
        source_pointer(day, "nitrite"),
        value=round(first + second, 2),
        limit=1.0,
        unit="share of the limit",
    )
