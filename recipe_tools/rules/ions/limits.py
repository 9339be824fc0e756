"""Limits of single ions beyond which yeast, mash or taste suffer, whatever the style."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.reference import city_waters, ion_range
from recipe_tools.rules import rule
from recipe_tools.rules.examples import additions, dose, more_additions, style, together, well_with
from recipe_tools.rules.ions.levels import (
    MAJOR_MARGIN_MG_L,
    above,
    below,
    beside_extract,
    brought_of,
    level_of,
    limit_option,
    limits,
    too_high,
)
from recipe_tools.rules.liquors import STAGE_WORDS, range_of
from recipe_tools.rules.verdicts import outside

_PLAIN = Example("The plain recipe.")


@rule(
    Rule(
        id="ions/calcium-low",
        severity=Severity.NOTE,
        summary="There is less calcium in the water than yeast and mash like.",
        why="Calcium makes yeast settle, binds oxalate (haze, beer stone) and lowers the mash pH. "
        "Soft pale lagers are brewed with much less, so the limit follows the style.",
        source="Goldammer, The Brewer's Handbook, citing Taylor 2006 (50 mg/L); span of liquors "
        "20 to 150 mg/L: Briggs et al. 2004, from memory",
        remedy="Add calcium chloride for roundness or gypsum for dryness to the mash water.",
        options={
            "low": limit_option(
                "calcium", "low", "below this a note, unless the style allows less"
            ),
            "warn_below": Option(20, "mg/L", "below this a warning", "Briggs et al. 2004, memory"),
            "soft_low": Option(
                min(city.ions_mg_l["calcium"] for city in city_waters() if city.city == "Plzeň"),
                "mg/L",
                "the limit for families that are brewed with the softest water",
                "city_waters, analyses of Plzeň",
            ),
        },
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
    family_low, _ = range_of(day, "calcium")
    low = options["low"] if family_low is None else min(options["low"], family_low)
    if family_low is not None and family_low <= (ion_range("calcium").soft_low or 0.0):
        low = min(low, options["soft_low"])
    verdict = outside(level.estimate, low=low, margin=MAJOR_MARGIN_MG_L)
    if verdict is None:
        return
    verdict = beside_extract(day, verdict)
    grave = outside(level.estimate, low=min(low, options["warn_below"]), margin=MAJOR_MARGIN_MG_L)
    warns = day.is_mashed and grave is not None and grave.confidence >= Confidence.LIKELY
    yield below("ions/calcium-low", level, verdict, Severity.WARNING if warns else Severity.NOTE)


@rule(
    Rule(
        id="ions/calcium-high",
        severity=Severity.WARNING,
        summary="There is more calcium than wort and yeast can use.",
        why="Calcium takes phosphate out of the wort; run-off and yeast suffer, and the beer "
        "tastes mineral and dry.",
        source="Noonan, Brewing Lager Beer (usual span 5 to 200 mg/L); Fix; Briggs et al. 2004",
        remedy="Halve the calcium salts, or blend the source with pure water.",
        options={"warn_above": limit_option("calcium", "warn_above", "above this a warning")},
        passes=_PLAIN,
        fails=Example(
            "Twenty grams of calcium chloride in a 20 L batch.",
            more_additions(dose("Calcium chloride dihydrate", 20, step=1)),
        ),
        reference=("brewing_ion_ranges[ion=calcium]",),
    )
)
def calcium_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge all water together."""
    return too_high("ions/calcium-high", level_of(day, "calcium"), limits(options))


@rule(
    Rule(
        id="ions/magnesium-high",
        severity=Severity.WARNING,
        summary="There is more magnesium than tastes good.",
        why="Magnesium tastes sour and bitter, and much of it is laxative. Malt brings some 100 "
        "mg/L to the wort, so water needs none.",
        source="Noonan, Brewing Lager Beer (10 to 30 mg/L; laxative above about 125); Holzmann & "
        "Piendl 1977 for the share of malt",
        remedy="Use gypsum or calcium chloride in place of Epsom salt.",
        options={
            "warn_above": limit_option("magnesium", "warn_above", "above this a warning"),
            "error_above": limit_option("magnesium", "error_above", "above this an error"),
        },
        passes=_PLAIN,
        fails=Example(
            "Fifteen grams of Epsom salt in a 20 L batch.",
            more_additions(dose("Epsom salt", 15, step=1)),
        ),
        reference=("brewing_ion_ranges[ion=magnesium]",),
    )
)
def magnesium_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge all water together."""
    return too_high("ions/magnesium-high", level_of(day, "magnesium"), limits(options))


@rule(
    Rule(
        id="ions/sodium-high",
        severity=Severity.WARNING,
        summary="There is so much sodium that the beer may taste salty.",
        why="Some sodium rounds the beer; above about 150 mg/L it tastes salty or sour. Styles in "
        "which salt is an ingredient are exempt.",
        source="Goldammer, The Brewer's Handbook; Taylor 2006; Directive (EU) 2020/2184 (200 mg/L)",
        remedy="Leave out table salt or baking soda, or blend the source with pure water.",
        options={
            "warn_above": limit_option("sodium", "warn_above", "above this a warning"),
            "error_above": limit_option("sodium", "error_above", "above this an error"),
        },
        passes=Example(
            "A Gose, in which the salt is wanted.",
            together(more_additions(dose("Table salt", 15)), style("Gose", 23, "G")),
        ),
        fails=Example(
            "Fifteen grams of table salt in a blonde ale.",
            more_additions(dose("Table salt", 15)),
        ),
        reference=("brewing_ion_ranges[ion=sodium]",),
    )
)
def sodium_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge all water together, unless the style is salted."""
    if day.family is not None and "sodium" in day.family.exempt:
        return
    yield from too_high("ions/sodium-high", level_of(day, "sodium"), limits(options))


@rule(
    Rule(
        id="ions/sodium-with-sulfate",
        severity=Severity.WARNING,
        summary="Sodium and sulfate are both high.",
        why="The two together taste harsh at levels at which each alone is pleasant.",
        source="Goldammer, The Brewer's Handbook, from memory; levels derived_default",
        remedy="Take the sulfate from gypsum only, and leave out sodium salts.",
        options={
            "sodium_above": limit_option("sodium", "warn_above_with", "sodium above this"),
            "sulfate_above": Option(
                float(ion_range("sodium").with_ion.partition(":")[2]),
                "mg/L",
                "with sulfate above this",
                "brewing_ion_ranges, row of sodium marked derived_default",
            ),
        },
        passes=_PLAIN,
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
    if sodium is None or sulfate is None or (day.family and "sodium" in day.family.exempt):
        return
    first = outside(sodium.estimate, high=options["sodium_above"], margin=MAJOR_MARGIN_MG_L)
    second = outside(sulfate.estimate, high=options["sulfate_above"], margin=MAJOR_MARGIN_MG_L)
    if first is None or second is None:
        return
    verdict = (
        first
        if first.confidence <= second.confidence
        else first._replace(confidence=second.confidence)
    )
    with_sulfate = f", while sulfate is {sulfate.estimate.best:.0f} mg/L"
    yield above(
        "ions/sodium-with-sulfate",
        sodium._replace(beside=with_sulfate),
        verdict,
        Severity.WARNING,
    )


@rule(
    Rule(
        id="ions/chloride-high",
        severity=Severity.WARNING,
        summary="There is more chloride than makes the beer fuller.",
        why="Beyond about 250 mg/L sweetness is stressed, the beer tastes pasty or salty, yeast "
        "settles badly and stainless steel corrodes.",
        source="Bruce 2002, J. Autom. Methods Manag. Chem. 24:127-130; Taylor 2006, from memory",
        remedy="Use less calcium chloride or table salt; gypsum brings calcium without chloride.",
        options={
            "warn_above": limit_option(
                "chloride", "warn_above", "above this a warning, unless the style allows more"
            ),
            "error_above": limit_option("chloride", "error_above", "above this an error"),
        },
        passes=_PLAIN,
        fails=Example(
            "Eighteen grams of calcium chloride and some salt.",
            more_additions(
                dose("Calcium chloride dihydrate", 12, step=1),
                dose("Magnesium chloride hexahydrate", 4, step=1),
            ),
        ),
        reference=("brewing_ion_ranges[ion=chloride]",),
    )
)
def chloride_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge all water together; a style led by chloride may have more before the warning."""
    if day.family is not None and "chloride" in day.family.exempt:
        return
    _, family_high = range_of(day, "chloride")
    warn = max(options["warn_above"], family_high or 0.0)
    steps = ((Severity.ERROR, options["error_above"]), (Severity.WARNING, warn))
    yield from too_high("ions/chloride-high", level_of(day, "chloride"), steps)


@rule(
    Rule(
        id="ions/sulfate-high",
        severity=Severity.NOTE,
        summary="There is so much sulfate that it is tasted as such.",
        why="Sulfate dries the finish and sharpens hops; much of it is harsh and laxative. 250 "
        "mg/L is a taste limit of drinking water and breaks no health limit, so it is only worth "
        "knowing - and not even that in bitter pale ales.",
        source="Directive (EU) 2020/2184 and 40 CFR 143.3 (250 mg/L, taste); Taylor 2006 (100 to "
        "400 mg/L for dry beers), from memory; WHO asks to be told above 500 mg/L, from memory",
        remedy="Use less gypsum; take part of the calcium from calcium chloride.",
        options={
            "note_above": limit_option(
                "sulfate", "note_above", "above this a note, unless the style allows more"
            ),
            "warn_above": limit_option("sulfate", "warn_above", "above this a warning"),
            "error_above": limit_option("sulfate", "error_above", "above this an error"),
        },
        passes=_PLAIN,
        fails=Example(
            "Eighteen grams of gypsum in a blonde ale.",
            more_additions(dose("Gypsum (calcium sulfate dihydrate)", 14, step=1)),
        ),
        reference=("brewing_ion_ranges[ion=sulfate]", "drinking_water_limits[ion=sulfate]"),
    )
)
def sulfate_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge all water together; the note waits for the upper end of the style."""
    _, family_high = range_of(day, "sulfate")
    note = max(options["note_above"], family_high or 0.0)
    steps = (*limits(options), (Severity.NOTE, note))
    yield from too_high("ions/sulfate-high", level_of(day, "sulfate"), steps)


@rule(
    Rule(
        id="ions/potassium-high",
        severity=Severity.NOTE,
        summary="The water brings much potassium.",
        why="Malt alone brings about 550 mg/L, so a little more is not tasted; a high dose is "
        "salty.",
        source="Holzmann & Piendl 1977 for the share of malt; the limit is a derived_default",
        remedy="Use a sodium or calcium salt in place of part of the potassium salt.",
        options={
            "warn_above": limit_option("potassium", "high", "above this a note"),
        },
        passes=_PLAIN,
        fails=Example(
            "Five grams of potassium chloride in a 20 L batch.",
            more_additions(dose("Potassium chloride", 5)),
        ),
        reference=("brewing_ion_ranges[ion=potassium]",),
    )
)
def potassium_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge all water together; additions count even where nobody states the source's potassium."""
    steps = ((Severity.NOTE, options["warn_above"]),)
    return too_high("ions/potassium-high", brought_of(day, "potassium"), steps)
