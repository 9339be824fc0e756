"""Water nobody describes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.brewday.listed_water import LEAST_L, is_water, litres_of
from recipe_tools.findings import Confidence, Example, Finding, Option, Related, Rule, Severity
from recipe_tools.recipe import Addition, WaterSource
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, more_additions, water, well
from recipe_tools.rules.verdicts import report

_NO_WATER_KINDS = frozenset({"cider", "mead", "wine"})
_NEITHER = "neither its ions nor the mash pH are judged"
_NO_IONS: Mapping[str, float] = {
    "calcium": 0.0,
    "magnesium": 0.0,
    "sodium": 0.0,
    "chloride": 0.0,
    "sulfate": 0.0,
    "bicarbonate": 0.0,
}


def _all_zero(record: WaterSource) -> bool:
    """Tell whether a record states ions, and all of them as zero."""
    return bool(record.ions_mg_l) and not any(record.ions_mg_l.values())


@rule(
    Rule(
        id="water/source-unknown",
        severity=Severity.WARNING,
        summary="Nothing says what is in the brewing water.",
        why="Tap waters differ a hundredfold in alkalinity. Without an analysis neither ions nor "
        "mash pH can be judged, and salts and acid are dosed blindly.",
        source="common practice, no source; spread of the table of city waters",
        remedy="Ask the waterworks for its yearly report; `recipe-tools start` asks for its "
        "figures one by one and writes them into files that every later check uses.",
        passes=Example("The plain recipe."),
        fails=Example("No water record at all.", {"ingredients": {"water_additions": None}}),
        reference=(
            "city_waters(city,calcium,magnesium,sodium,chloride,sulfate,bicarbonate_that_balances)",
        ),
    )
)
def source_unknown(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Warn where grain is mashed; for extract beer it is only worth knowing."""
    del options
    if day.source.known or day.recipe.kind in _NO_WATER_KINDS or day.listed_water:
        return
    if any(_all_zero(record) for record in day.source.records):
        return
    mashed = day.is_mashed
    what = f"the water '{day.source.name}'" if day.source.name else "the brewing water"
    bottled = [item for item in day.recipe.additions if _is_bottled(item, LEAST_L)]
    if bottled:
        # One cause: the rule on bottled water is left out beside this one (`precedence`).
        what += f" and in {litres_of(bottled[0]):.1f} L of '{bottled[0].name}' among the additions"
    yield report(
        f"Nothing says what is in {what}, so {_left_open(day, mashed)}",
        day.source.pointer or day.recipe.origin.at("name"),
        severity=Severity.WARNING if mashed else Severity.NOTE,
        related=tuple(
            Related(item.origin.path, f"{litres_of(item):.1f} L of '{item.name}'")
            for item in bottled[:3]
        ),
        value=day.source.name,
    )


def _is_bottled(item: Addition, litres_from: float) -> bool:
    return litres_of(item) >= litres_from and is_water(item)


def _left_open(day: BrewDay, mashed: bool) -> str:
    """Return what is not judged; salts are, since they come on top of any water."""
    salted = any(item.ions_mg and item.in_wort for item in day.doses)
    ions = "of its ions only what the additions bring is judged"
    if not salted:
        ions = "its ions are not judged"
    if not mashed:
        return ions
    if day.prediction is None:
        return f"{ions}, and the mash pH is not" if salted else _NEITHER
    return f"{ions}, and of the mash pH only what holds for any drinking water is said"


@rule(
    Rule(
        id="water/source-all-zero",
        severity=Severity.WARNING,
        summary="A water record has only zeros, but its name is not that of pure water.",
        why="Programs write zeros where nobody entered an analysis. Taken literally they mean "
        "distilled water and give a wrong mash pH.",
        source="common practice, no source",
        remedy="Enter the analysis; for reverse-osmosis or distilled water put that into the name.",
        passes=Example(
            "Zeros under the name of pure water.", water(well("Distilled water", **_NO_IONS))
        ),
        fails=Example("Zeros under the name of a well.", water(well(**_NO_IONS))),
    )
)
def source_all_zero(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at the records of a source that counts as unknown."""
    del options
    if day.source.known:
        return
    empty = [record for record in day.source.records if _all_zero(record)]
    if not empty:
        return
    yield report(
        f"All ions of the water '{empty[0].name}' are zero; it is taken as unknown, not as pure "
        "water",
        empty[0].origin.path,
        related=tuple(Related(item.origin.path, "all zero too") for item in empty[1:4]),
        value=empty[0].name,
    )


@rule(
    Rule(
        id="water/bottled-water-as-addition",
        severity=Severity.WARNING,
        summary="Water is listed among the additions, without an analysis.",
        why="It is part of the brewing water, or all of it, but nothing says what is in it, so the "
        "ions of the whole are not what they are taken for.",
        source="common practice, no source",
        remedy="Copy the analysis from its label into a file (`recipe-tools water --example`) and "
        "name it with `--water`, or move it to the waters of the recipe, with its volume.",
        options={
            "litres_from": Option(
                LEAST_L, "L", "at least this much is brewing water", "derived_default"
            )
        },
        passes=Example("The plain recipe."),
        fails=Example(
            "Twelve litres of spring water as an addition.",
            more_additions(dose("Bottled spring water", 12, "l", kind="other")),
        ),
    )
)
def bottled_water_as_addition(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Say it once where it is all the brewing water, and not where a report stands for it."""
    if day.listed_water:
        yield from _all_of_it(day)
        return
    for item in day.recipe.additions:
        if not _is_bottled(item, options["litres_from"]):
            continue
        litres = litres_of(item)
        yield report(
            f"{litres:.1f} L of '{item.name}' are listed as an addition without an analysis; its "
            "ions are not counted",
            item.origin.path,
            value=item.name,
            litres=round(litres, 1),
        )


def _all_of_it(day: BrewDay) -> Iterator[Finding]:
    first, *rest = day.listed_water
    named = {record.name.strip().casefold() for record in day.source.records}
    if day.source.origin == "report" or first.name.strip().casefold() in named:
        return
    litres = sum(map(litres_of, day.listed_water))
    what = f"The brewing water is '{first.name}', listed as an addition of {litres:.1f} L"
    mashed, confidence = day.is_mashed, Confidence.CERTAIN
    text = f"{what}; nothing says what is in it, so {_left_open(day, mashed)}"
    if day.source.known:
        confidence = Confidence.LIKELY
        text = f"{what} without an analysis, but '{day.source.name}' is counted in its place"
    yield report(
        text,
        first.origin.path,
        confidence=confidence,
        severity=Severity.WARNING if mashed else Severity.NOTE,
        related=tuple(Related(item.origin.path, f"'{item.name}' too") for item in rest[:3]),
        value=first.name,
        litres=round(litres, 1),
    )
