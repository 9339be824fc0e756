"""Minerals that are too much together: the sum of all, and sodium beside sulfate."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.estimate import ZERO, bests
from recipe_tools.chemistry.ions import dissolved_solids_mg_l
from recipe_tools.findings import Confidence, Example, Finding, Rule, Severity
from recipe_tools.judgement.ions import MARGIN_MG_L, SODIUM_WITH_SULFATE, TOTAL_MINERALS, exempt
from recipe_tools.recipe import IONS
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, more_additions, together, well_with
from recipe_tools.rules.ions.levels import above, level_of
from recipe_tools.rules.liquors import STAGE_WORDS, source_pointer
from recipe_tools.rules.verdicts import outside, report


@rule(
    Rule(
        id=TOTAL_MINERALS.rule,
        severity=Severity.NOTE,
        summary="There is a great deal of everything in the water.",
        why="Where chloride and sulfate are both high their ratio says nothing: the beer tastes of "
        "minerals. Water with more than 1000 mg/L of dissolved solids is called increasingly "
        "unpalatable.",
        source="WHO Guidelines for drinking-water quality (dissolved solids; from memory); the "
        "level for the two together is a derived_default: of classic waters only Dortmund has "
        "both",
        remedy="Start from water with less in it, or blend with pure water, then add fewer salts.",
        options=TOTAL_MINERALS.options,
        passes=Example("The plain recipe."),
        fails=Example(
            "Eight grams of gypsum and eight of calcium chloride.",
            more_additions(
                dose("Gypsum (calcium sulfate dihydrate)", 8, step=1),
                dose("Calcium chloride dihydrate", 8, step=1),
            ),
        ),
        reference=("drinking_water_limits[ion=tds]", "city_waters(city,chloride,sulfate)"),
    )
)
def total_minerals_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge all water together, by the sum or by its two taste-giving anions.

    Of unknown water what the salts bring is judged, which holds for any water.
    """
    liquor = day.liquor
    if liquor is None:
        return
    if liquor.alkalinity_meq_l is None:
        found = (level_of(day, ion) for ion in IONS if ion != "bicarbonate")
        levels = {level.ion: level.estimate.best for level in found if level is not None}
    else:
        levels = bests(liquor.ions_mg_l)
    alkalinity = liquor.alkalinity_meq_l or ZERO
    solids = dissolved_solids_mg_l(levels, alkalinity.best)
    carries = "carries" if day.source.known else "carries at least"
    chloride, sulfate = levels.get("chloride", 0.0), levels.get("sulfate", 0.0)
    where = STAGE_WORDS[liquor.stage].capitalize()
    pointer = source_pointer(day, "")
    if solids > options["solids_above"]:
        message = (
            f"{where} {carries} about {solids:.0f} mg/L of dissolved solids, above "
            f"{options['solids_above']:.0f} mg/L"
        )
        limit = options["solids_above"]
    elif min(chloride, sulfate) > options["both_above"]:
        message = (
            f"{where} {carries} {chloride:.0f} mg/L chloride and {sulfate:.0f} mg/L sulfate, both "
            f"above {options['both_above']:.0f} mg/L ({solids:.0f} mg/L of dissolved solids)"
        )
        limit = options["both_above"]
    else:
        return
    yield report(
        message,
        pointer,
        confidence=Confidence.LIKELY,
        side="above",
        value=round(solids),
        chloride=round(chloride, 1),
        sulfate=round(sulfate, 1),
        limit=limit,
        unit="mg/L",
    )


@rule(
    Rule(
        id=SODIUM_WITH_SULFATE.rule,
        severity=Severity.WARNING,
        summary="Sodium and sulfate are both high.",
        why="The two together taste harsh at levels at which each alone is pleasant.",
        source="Goldammer, The Brewer's Handbook, from memory; levels derived_default",
        remedy="Take the sulfate from gypsum only, and leave out sodium salts.",
        options=SODIUM_WITH_SULFATE.options,
        passes=Example("The plain recipe."),
        fails=Example(
            "Salt and a good deal of gypsum in one beer.",
            together(
                well_with(sodium=85, bicarbonate=235),
                more_additions(dose("Gypsum (calcium sulfate dihydrate)", 12, step=1)),
            ),
        ),
        reference=("brewing_ion_ranges[ion=sodium]",),
    )
)
def sodium_with_sulfate(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge all water together; the less sure of the two verdicts counts."""
    sodium, sulfate = level_of(day, "sodium"), level_of(day, "sulfate")
    if sodium is None or sulfate is None or exempt(day, "sodium"):
        return
    first = outside(sodium.estimate, high=options["sodium_above"], margin=MARGIN_MG_L)
    second = outside(sulfate.estimate, high=options["sulfate_above"], margin=MARGIN_MG_L)
    if first is None or second is None:
        return
    verdict = (
        first
        if first.confidence <= second.confidence
        else first._replace(confidence=second.confidence)
    )
    with_sulfate = f", while sulfate is {sulfate.estimate.best:.0f} mg/L"
    yield above(
        sodium._replace(beside=with_sulfate),
        verdict,
        Severity.WARNING,
    )
