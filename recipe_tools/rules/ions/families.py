"""The water against the ranges of the style family. Never more than a note or a warning."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.findings import Confidence, Example, Finding, Rule, Severity
from recipe_tools.judgement.alkalinity import RESIDUAL, residual_meq_l
from recipe_tools.judgement.ions import (
    BY_STYLE,
    MARGIN_MG_L,
    OUTSIDE_STYLE,
    RATIO,
    RATIO_MARGIN,
    ratio_range,
    style_range,
    widened,
)
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, grist, malt, more_additions, together, well_with
from recipe_tools.rules.ions.levels import above, below, beside_extract, level_of
from recipe_tools.rules.liquors import (
    STAGE_WORDS,
    family_name,
    source_pointer,
)
from recipe_tools.rules.verdicts import outside, report, standing

_SOURCE = (
    "Jeffery, Brewing Theory and Practice (1950s) for pale ale, mild and stout; residual "
    "alkalinity after Glas (TU Muenchen); most other rows are a derived_default, marked as such "
    "in the table"
)


@rule(
    Rule(
        id=OUTSIDE_STYLE.rule,
        severity=Severity.NOTE,
        summary="An ion lies outside the range of the style family.",
        why="The ranges say where beers of a family usually lie; few of them are published, and "
        "good beer is brewed outside them. Too little sodium or magnesium is no fault, and "
        "bicarbonate is judged by the mash pH.",
        source=_SOURCE,
        remedy="Move the ion into the range if you want the usual character, or leave it as it is "
        "on purpose.",
        options=OUTSIDE_STYLE.options,
        passes=Example("The plain recipe."),
        fails=Example(
            "A blonde ale with as much gypsum as a bitter pale ale.",
            more_additions(dose("Gypsum (calcium sulfate dihydrate)", 6, step=1)),
        ),
        reference=("style_water_targets",),
    )
)
def outside_style(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge each ion of all water together; extract brings more, so too little is only likely."""
    if day.targets is None or not day.recipe.is_beer:
        return
    for ion in BY_STYLE:
        low, high = style_range(day, ion)
        level = level_of(day, ion)
        if level is None or (low is None and high is None):
            continue
        floor, ceiling = widened((low, high), options["tolerance"])
        if level.at_least:
            floor = None
        verdict = outside(level.estimate, floor, ceiling, MARGIN_MG_L)
        if verdict is None:
            continue
        verdict = beside_extract(day, verdict)
        edge = (high if verdict.side == "above" else low) or 0.0
        side = above if verdict.side == "above" else below
        named = level._replace(beside=f", the edge of the family {family_name(day)}")
        finding = side(named, verdict._replace(limit=edge), Severity.NOTE)
        yield finding


@rule(
    Rule(
        id=RATIO.rule,
        severity=Severity.NOTE,
        summary="Sulfate to chloride leans the other way than the style.",
        why="More chloride makes a beer rounder, more sulfate makes it drier and more bitter. "
        "The evidence is thin, and a ratio formed from a few milligrams says nothing: malt "
        "brings more.",
        source="Taylor 1981 and 2006; Jeffery (pale ale 5.3 to 8.1, mild 1.0 to 1.35, stout 0.18 "
        "to 0.32); Bamforth on how weak the case is; the levels below which no ratio is judged "
        "are a derived_default",
        remedy="Exchange part of the gypsum for calcium chloride, or the other way round.",
        options=RATIO.options,
        passes=Example("The plain recipe."),
        fails=Example(
            "Chloride within the range of a blonde ale, but sulfate too small beside it.",
            together(
                well_with(sulfate=45, chloride=24, bicarbonate=30),
                {
                    "ingredients": {
                        "miscellaneous_additions": [dose("Calcium chloride dihydrate", 3.6, step=1)]
                    }
                },
            ),
        ),
        reference=(
            "style_water_targets[sulfate_to_chloride_low,sulfate_to_chloride_high!=]"
            "(family,row,beers,sulfate_to_chloride_low,sulfate_to_chloride_high,note)",
        ),
    )
)
def ratio_against_style(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge all water together, by mass."""
    found, liquor = ratio_range(day), day.liquor
    if found is None or liquor is None or liquor.sulfate_to_chloride is None:
        return
    sulfate, chloride = liquor.ions_mg_l["sulfate"], liquor.ions_mg_l["chloride"]
    larger, smaller = max(sulfate.best, chloride.best), min(sulfate.best, chloride.best)
    if larger < options["judged_from"] or smaller > options["both_below"]:
        return
    ratio = Estimate(
        sulfate.low / max(chloride.high, 0.1),
        liquor.sulfate_to_chloride,
        sulfate.high / max(chloride.low, 0.1),
    )
    low, high = found
    verdict = outside(ratio, low, high, margin=RATIO_MARGIN)
    if verdict is None:
        return
    amounts = f"{sulfate.best:.0f} to {chloride.best:.0f} mg/L"
    weak = larger < options["full_weight_from"]
    sure = verdict.confidence if day.is_mashed else min(verdict.confidence, Confidence.LIKELY)
    yield report(
        f"Sulfate to chloride {standing(verdict, ratio, 1, '{}', note=amounts)}; in the family "
        f"{family_name(day)} it lies between {_shown(low)} and {_shown(high)}",
        source_pointer(day, "sulfate"),
        confidence=Confidence.POSSIBLE if weak else sure,
        severity=Severity.NOTE,
        value=round(ratio.best, 2),
        low=low,
        high=high,
        sulfate=round(sulfate.best, 1),
        chloride=round(chloride.best, 1),
        unit="by mass",
    )


def _shown(end: float | None) -> str:
    return "any" if end is None else f"{end:g}"


@rule(
    Rule(
        id=RESIDUAL.rule,
        severity=Severity.NOTE,
        summary="The mash water is more alkaline than suits the colour of the beer.",
        why="Alkalinity that no calcium, magnesium, acid or dark malt uses up raises the mash pH, "
        "makes bitterness harsh and wort darker. A low value is no fault: many start from soft "
        "water.",
        source="Kolbach 1953; limits for pils, other pale and dark beers after Glas (TU Muenchen); "
        "other families derived_default",
        remedy="Add acid or calcium, boil or blend the water; `recipe-tools dose` works out "
        "amounts.",
        options=RESIDUAL.options,
        passes=Example("The plain recipe."),
        fails=Example(
            "Water of 13 German degrees alkalinity for a blonde ale; roasted malt keeps the pH "
            "down.",
            together(
                {"color_estimate": None},
                well_with(calcium=62, bicarbonate=230, sodium=30),
                grist(malt("Pale ale malt", 3.4, 2.8), malt("Roasted malt", 0.6, 400, "roasted")),
            ),
        ),
        reference=(
            "style_water_targets"
            "[residual_alkalinity_caco3_low,residual_alkalinity_caco3_high!=]"
            "(family,row,beers,residual_alkalinity_caco3_low,residual_alkalinity_caco3_high,note)",
            "style_alkalinity_by_colour",
        ),
    )
)
def residual_alkalinity_against_style(
    day: BrewDay, options: Mapping[str, Any]
) -> Iterator[Finding]:
    """Judge the mash water after its acid; silent where acidulated malt stands in for acid."""
    left, found = residual_meq_l(day), day.targets
    if left is None or found is None:
        return
    limits = found.residual_alkalinity_meq_l
    if limits is None or limits[1] is None:
        return
    as_caco3 = left.times(CACO3_MG_MEQ)
    high = limits[1] * CACO3_MG_MEQ
    verdict = outside(as_caco3, high=high, margin=options["tolerance"])
    if verdict is None:
        return
    soured = any(item.acid_meq.best > 0 for item in day.doses if item.stage == "mash")
    after = " after its acid" if soured else ""
    yield report(
        f"Residual alkalinity of {STAGE_WORDS['mash']}{after} "
        f"{standing(verdict, as_caco3, 0, '{} mg/L as CaCO3', limit_digits=0)}, the edge "
        f"of the family {family_name(day)}",
        source_pointer(day, "bicarbonate"),
        confidence=verdict.confidence,
        severity=Severity.NOTE,
        value=round(as_caco3.best),
        low=round(as_caco3.low),
        high=round(as_caco3.high),
        limit=round(high, 1),
        unit="mg/L as CaCO3",
    )
