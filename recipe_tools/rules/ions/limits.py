"""Limits of single ions beyond which yeast, mash or taste suffer, whatever the style."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Confidence, Example, Finding, Rule, Severity
from recipe_tools.judgement.ions import CALCIUM_LOW, ION_LIMITS, MARGIN_MG_L, least_calcium
from recipe_tools.rules import rule
from recipe_tools.rules.examples import (
    additions,
    dose,
    more_additions,
    reported,
    style,
    together,
    well_with,
)
from recipe_tools.rules.ions.levels import (
    Level,
    below,
    beside_extract,
    brought_of,
    level_of,
    too_high,
    trace_of,
)
from recipe_tools.rules.liquors import STAGE_WORDS
from recipe_tools.rules.verdicts import outside

_PLAIN = Example("The plain recipe.")
_LESS = "Blend with pure water or brew with another source; "
_TABLES = ("brewing_ion_ranges", "drinking_water_limits")


def limit_rule(
    ion: str,
    *,
    summary: str,
    why: str,
    source: str,
    remedy: str,
    fails: Example,
    passes: Example = _PLAIN,
    level: Callable[[BrewDay, str], Level | None] = level_of,
    drinking: bool = False,
) -> None:
    """Declare the rule on too much of an ion; its limits are those of `ION_LIMITS`.

    level: finds the ion in the water that is judged. drinking: the limits of drinking water belong
    to it too.
    """
    limit = ION_LIMITS[ion]
    declared = limit.thresholds
    tables = _TABLES if drinking else _TABLES[:1]

    def check(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
        found = level(day, ion)
        if found is not None:
            yield from too_high(found, limit.in_force(day, options))

    rule(
        Rule(
            id=declared.rule,
            severity=min(limit.steps),
            summary=summary,
            why=why,
            source=source,
            remedy=remedy,
            options=declared.options,
            passes=passes,
            fails=fails,
            reference=tuple(f"{table}[ion={ion}]" for table in tables),
        )
    )(check)


limit_rule(
    "calcium",
    summary="There is more calcium than wort and yeast can use.",
    why="Calcium takes phosphate out of the wort; run-off and yeast suffer, and the beer "
    "tastes mineral and dry.",
    source="Noonan, Brewing Lager Beer (usual span 5 to 200 mg/L); Fix; Briggs et al. 2004",
    remedy="Halve the calcium salts, or blend the source with pure water.",
    fails=Example(
        "Twenty grams of calcium chloride in a 20 L batch.",
        more_additions(dose("Calcium chloride dihydrate", 20, step=1)),
    ),
)

limit_rule(
    "magnesium",
    summary="There is more magnesium than tastes good.",
    why="Magnesium tastes sour and bitter, and much of it is laxative. Malt brings some 100 "
    "mg/L to the wort, so water needs none.",
    source="Noonan, Brewing Lager Beer (10 to 30 mg/L; laxative above about 125); Holzmann & "
    "Piendl 1977 for the share of malt",
    remedy="Use gypsum or calcium chloride in place of Epsom salt.",
    fails=Example(
        "Fifteen grams of Epsom salt in a 20 L batch.",
        more_additions(dose("Epsom salt", 15, step=1)),
    ),
)

limit_rule(
    "sodium",
    summary="There is so much sodium that the beer may taste salty.",
    why="Some sodium rounds the beer; above about 150 mg/L it tastes salty or sour. Styles in "
    "which salt is an ingredient are exempt.",
    source="Goldammer, The Brewer's Handbook; Taylor 2006; Directive (EU) 2020/2184 (200 mg/L)",
    remedy="Leave out table salt or baking soda, or blend the source with pure water.",
    passes=Example(
        "A Gose, in which the salt is wanted.",
        together(more_additions(dose("Table salt", 15)), style("Gose", 23, "G")),
    ),
    fails=Example(
        "Fifteen grams of table salt in a blonde ale.",
        more_additions(dose("Table salt", 15)),
    ),
)

limit_rule(
    "chloride",
    summary="There is more chloride than makes the beer fuller.",
    why="Beyond about 250 mg/L sweetness is stressed, the beer tastes pasty or salty, yeast "
    "settles badly and stainless steel corrodes.",
    source="Bruce 2002, J. Autom. Methods Manag. Chem. 24:127-130; Taylor 2006, from memory",
    remedy="Use less calcium chloride or table salt; gypsum brings calcium without chloride.",
    fails=Example(
        "Eighteen grams of calcium chloride and some salt.",
        more_additions(
            dose("Calcium chloride dihydrate", 12, step=1),
            dose("Magnesium chloride hexahydrate", 4, step=1),
        ),
    ),
)

limit_rule(
    "sulfate",
    summary="There is so much sulfate that it is tasted as such.",
    why="Sulfate dries the finish and sharpens hops; much of it is harsh and laxative. 250 "
    "mg/L is a taste limit of drinking water and breaks no health limit, so it is only worth "
    "knowing - and not even that in bitter pale ales.",
    source="Directive (EU) 2020/2184 and 40 CFR 143.3 (250 mg/L, taste); Taylor 2006 (100 to "
    "400 mg/L for dry beers), from memory; WHO asks to be told above 500 mg/L, from memory",
    remedy="Use less gypsum; take part of the calcium from calcium chloride.",
    fails=Example(
        "Eighteen grams of gypsum in a blonde ale.",
        more_additions(dose("Gypsum (calcium sulfate dihydrate)", 14, step=1)),
    ),
    drinking=True,
)

limit_rule(
    "potassium",
    level=brought_of,
    summary="The water brings much potassium.",
    why="Malt alone brings about 550 mg/L, so a little more is not tasted; a high dose is salty.",
    source="Holzmann & Piendl 1977 for the share of malt; the limit is a derived_default",
    remedy="Use a sodium or calcium salt in place of part of the potassium salt.",
    fails=Example(
        "Five grams of potassium chloride in a 20 L batch.",
        more_additions(dose("Potassium chloride", 5)),
    ),
)

limit_rule(
    "nitrate",
    level=trace_of,
    summary="There is more nitrate in the water than brewers like.",
    why="Bacteria turn nitrate into nitrite, which harms yeast. The legal limit for drinking "
    "water is twice as high and has a rule of its own.",
    source="Kunze, Technology Brewing and Malting (from memory); former EC guide level 25 mg/L",
    remedy=_LESS + "reverse osmosis or ion exchange takes nitrate out, boiling does not.",
    passes=Example("Five mg/L of nitrate.", well_with(nitrate=5)),
    fails=Example("Thirty-eight mg/L of nitrate.", well_with(nitrate=38, calcium=37)),
    drinking=True,
)

limit_rule(
    "nitrite",
    level=trace_of,
    summary="There is nitrite in the water.",
    why="Nitrite harms yeast and shows that something reduces nitrate on the way to the tap.",
    source="Directive (EU) 2020/2184: 0.10 mg/L leaving the waterworks; brewing texts, memory",
    remedy=_LESS + "have a private well examined.",
    passes=Example("No nitrite.", well_with(nitrite=0)),
    fails=Example("A quarter of a milligram.", well_with(nitrite=0.25)),
    drinking=True,
)

limit_rule(
    "iron",
    level=trace_of,
    summary="There is iron in the water.",
    why="Iron makes beer stale and hazy and tastes metallic; near 1 mg/L it harms yeast.",
    source="Kunze; Briggs et al. 2004 (from memory); 40 CFR 143.3 (0.3 mg/L, staining)",
    remedy=_LESS + "aeration with filtration takes iron out of well water.",
    passes=Example("Two hundredths of a milligram.", well_with(iron=0.02)),
    fails=Example("A quarter of a milligram.", well_with(iron=0.25)),
    drinking=True,
)

limit_rule(
    "manganese",
    level=trace_of,
    summary="There is manganese in the water.",
    why="Manganese speeds up staling and tastes bitter and metallic.",
    source="Kunze (from memory); 40 CFR 143.3 (0.05 mg/L)",
    remedy=_LESS + "aeration with filtration takes manganese out of well water.",
    passes=Example("A hundredth of a milligram.", config=reported(manganese="0.01 mg/L")),
    fails=Example("Seven hundredths of a milligram.", config=reported(manganese="0.07 mg/L")),
    drinking=True,
)

limit_rule(
    "copper",
    level=trace_of,
    summary="There is copper in the water.",
    why="A trace of copper takes away sulfury smells; more makes beer stale and hazy.",
    source="Bamforth; Goldammer (from memory); 40 CFR 143.3 (1.0 mg/L)",
    remedy=_LESS + "let water that stood in copper pipes run off first.",
    passes=Example("Two hundredths of a milligram.", config=reported(copper="0.02 mg/L")),
    fails=Example("Half a milligram.", config=reported(copper="0.5 mg/L")),
    drinking=True,
)

limit_rule(
    "zinc",
    level=brought_of,
    summary="There is more zinc than yeast can use.",
    why="Yeast wants 0.1 to 0.2 mg/L in the wort; above about 0.6 to 1 mg/L zinc harms it. "
    "Zinc salts are dosed in milligrams, and a slip to grams is easily made.",
    source="Bamforth; Briggs et al. 2004 (from memory); 40 CFR 143.3 (5 mg/L, taste)",
    remedy="Dose zinc from a stock solution: 1 g of the salt in 1 L, measured in millilitres.",
    passes=Example(
        "Fifteen milligrams of zinc sulfate in a 20 L batch.",
        more_additions(dose("Zinc sulfate heptahydrate", 0.015, use="add_to_boil")),
    ),
    fails=Example(
        "Half a gram of zinc sulfate in a 20 L batch.",
        more_additions(dose("Zinc sulfate heptahydrate", 0.5, use="add_to_boil")),
    ),
    drinking=True,
)


@rule(
    Rule(
        id=CALCIUM_LOW.rule,
        severity=Severity.NOTE,
        summary="There is less calcium in the water than yeast and mash like.",
        why="Calcium makes yeast settle, binds oxalate (haze, beer stone) and lowers the mash pH. "
        "Soft pale lagers are brewed with much less, so the limit follows the style.",
        source="Goldammer, The Brewer's Handbook, citing Taylor 2006 (50 mg/L); span of liquors "
        "20 to 150 mg/L: Briggs et al. 2004, from memory",
        remedy="Add calcium chloride for roundness or gypsum for dryness to the mash water.",
        options=CALCIUM_LOW.options,
        passes=Example(
            "Eleven mg/L, in a pale lager that is meant to be so soft.",
            together(
                well_with(calcium=11, magnesium=3, sodium=4, chloride=8, sulfate=9, bicarbonate=37),
                additions(),
                style("Czech Pale Lager", 3, "A"),
            ),
        ),
        fails=Example(
            "A blonde ale brewed with very soft water and no salts.",
            together(
                well_with(calcium=11, magnesium=3, sodium=4, chloride=8, sulfate=9, bicarbonate=37),
                additions(),
            ),
        ),
        reference=("brewing_ion_ranges[ion=calcium]", "city_waters(city,calcium)"),
    )
)
def calcium_low(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge by the mash water or by all water, whichever has more; beside extract it is a note."""
    level = level_of(day, "calcium")
    if level is None or level.at_least or not day.recipe.is_beer:
        return
    if day.mash is not None and "calcium" in day.mash.ions_mg_l:
        mashed = day.mash.ions_mg_l["calcium"]
        if mashed.best > level.estimate.best:
            level = level._replace(estimate=mashed, water=STAGE_WORDS["mash"], liquor=day.mash)
    low = least_calcium(day, options)
    verdict = outside(level.estimate, low=low, margin=MARGIN_MG_L)
    if verdict is None:
        return
    verdict = beside_extract(day, verdict)
    grave = outside(level.estimate, low=min(low, options["warn_below"]), margin=MARGIN_MG_L)
    warns = day.is_mashed and grave is not None and grave.confidence >= Confidence.LIKELY
    yield below(level, verdict, Severity.WARNING if warns else Severity.NOTE)
