"""The water against the ranges of the style family. Never more than a note or a warning."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, grist, malt, more_additions, together, well_with
from recipe_tools.rules.ions.levels import MAJOR_MARGIN_MG_L, above, below, beside_extract, level_of
from recipe_tools.rules.liquors import (
    STAGE_WORDS,
    family_name,
    range_of,
    source_pointer,
)
from recipe_tools.rules.verdicts import outside, report, standing

_ONLY_ABOVE = ("magnesium", "sodium")
_BOTH_SIDES = ("calcium", "chloride", "sulfate")
_SOURCE = (
    "Jeffery, Brewing Theory and Practice (1950s) for pale ale, mild and stout; residual "
    "alkalinity after Glas (TU Muenchen); most other rows are a derived_default, marked as such "
    "in the table"
)


@rule(
    Rule(
        id="ions/outside-style",
        severity=Severity.NOTE,
        summary="An ion lies outside the range of the style family.",
        why="The ranges say where beers of a family usually lie; few of them are published, and "
        "good beer is brewed outside them. Too little sodium or magnesium is no fault, and "
        "bicarbonate is judged by the mash pH.",
        source=_SOURCE,
        remedy="Move the ion into the range if you want the usual character, or leave it as it is "
        "on purpose.",
        options={
            "tolerance": Option(
                5, "%", "how far outside the range still counts as inside", "derived_default"
            )
        },
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
    slack = options["tolerance"] / 100.0
    for ion in (*_BOTH_SIDES, *_ONLY_ABOVE):
        low, high = range_of(day, ion)
        level = level_of(day, ion)
        if level is None or (low is None and high is None):
            continue
        bound = level.at_least or ion in _ONLY_ABOVE
        floor = None if low is None or bound else low * (1.0 - slack)
        ceiling = None if high is None else high * (1.0 + slack)
        verdict = outside(level.estimate, floor, ceiling, MAJOR_MARGIN_MG_L)
        if verdict is None:
            continue
        verdict = beside_extract(day, verdict)
        edge = (high if verdict.side == "above" else low) or 0.0
        side = above if verdict.side == "above" else below
        named = level._replace(beside=f", the edge of the family {family_name(day)}")
        finding = side("ions/outside-style", named, verdict._replace(limit=edge), Severity.NOTE)
        yield finding


@rule(
    Rule(
        id="ions/ratio-against-style",
        severity=Severity.NOTE,
        summary="Sulfate to chloride leans the other way than the style.",
        why="More chloride makes a beer rounder, more sulfate makes it drier and more bitter. "
        "The evidence is thin, and a ratio formed from a few milligrams says nothing: malt "
        "brings more.",
        source="Taylor 1981 and 2006; Jeffery (pale ale 5.3 to 8.1, mild 1.0 to 1.35, stout 0.18 "
        "to 0.32); Bamforth on how weak the case is; the levels below which no ratio is judged "
        "are a derived_default",
        remedy="Exchange part of the gypsum for calcium chloride, or the other way round.",
        options={
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
    found, liquor = day.targets, day.liquor
    if found is None or found.sulfate_to_chloride is None or liquor is None:
        return
    if not day.recipe.is_beer:
        return
    if day.family is not None and "chloride" in day.family.exempt:
        return
    sulfate, chloride = liquor.ions_mg_l.get("sulfate"), liquor.ions_mg_l.get("chloride")
    if sulfate is None or chloride is None or liquor.sulfate_to_chloride is None:
        return
    if not {"sulfate", "chloride"} <= day.source.ions_mg_l.keys():
        return
    larger, smaller = max(sulfate.best, chloride.best), min(sulfate.best, chloride.best)
    if larger < options["judged_from"] or smaller > options["both_below"]:
        return
    ratio = Estimate(
        sulfate.low / max(chloride.high, 0.1),
        liquor.sulfate_to_chloride,
        sulfate.high / max(chloride.low, 0.1),
    )
    low, high = found.sulfate_to_chloride
    verdict = outside(ratio, low, high, margin=0.05)
    if verdict is None:
        return
    amounts = f"{sulfate.best:.0f} to {chloride.best:.0f} mg/L"
    weak = larger < options["full_weight_from"]
    sure = verdict.confidence if day.is_mashed else min(verdict.confidence, Confidence.LIKELY)
    yield report(
        "ions/ratio-against-style",
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
        id="ions/residual-alkalinity-against-style",
        severity=Severity.NOTE,
        summary="The mash water is more alkaline than suits the colour of the beer.",
        why="Alkalinity that no calcium, magnesium, acid or dark malt uses up raises the mash pH, "
        "makes bitterness harsh and wort darker. A low value is no fault: many start from soft "
        "water.",
        source="Kolbach 1953; limits for pils, other pale and dark beers after Glas (TU Muenchen); "
        "other families derived_default",
        remedy="Add acid or calcium, boil or blend the water; `recipe-tools dose` works out "
        "amounts.",
        options={
            "tolerance": Option(
                9, "mg/L as CaCO3", "half a German degree of slack", "derived_default"
            )
        },
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
    found, mash = day.targets, day.mash
    if found is None or mash is None or mash.residual_alkalinity_meq_l is None:
        return
    if day.acidulated_share > 0:
        return
    limits = found.residual_alkalinity_meq_l
    if limits is None or limits[1] is None:
        return
    acid = sum(item.acid_meq.best for item in day.doses if item.stage == "mash")
    left = mash.residual_alkalinity_meq_l.plus(exactly(-acid / mash.volume_l.best))
    as_caco3 = left.times(CACO3_MG_MEQ)
    high = limits[1] * CACO3_MG_MEQ
    verdict = outside(as_caco3, high=high, margin=options["tolerance"])
    if verdict is None:
        return
    after = " after its acid" if acid > 0 else ""
    yield report(
        "ions/residual-alkalinity-against-style",
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
