"""Traces of metals and of nitrogen that spoil beer in amounts a tap may carry."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Example, Finding, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, more_additions, reported, well_with
from recipe_tools.rules.ions.levels import brought_of, limit_option, limits, too_high, trace_of

_LESS = "Blend with pure water or brew with another source; "


@rule(
    Rule(
        id="ions/nitrate-high",
        severity=Severity.WARNING,
        summary="There is more nitrate in the water than brewers like.",
        why="Bacteria turn nitrate into nitrite, which harms yeast. The legal limit for drinking "
        "water is twice as high and has a rule of its own.",
        source="Kunze, Technology Brewing and Malting (from memory); former EC guide level 25 mg/L",
        remedy=_LESS + "reverse osmosis or ion exchange takes nitrate out, boiling does not.",
        options={
            "warn_above": limit_option("nitrate", "warn_above", "above this a warning, as NO3")
        },
        passes=Example("Five mg/L of nitrate.", well_with(nitrate=5)),
        fails=Example("Thirty-eight mg/L of nitrate.", well_with(nitrate=38, calcium=37)),
        reference=("brewing_ion_ranges[ion=nitrate]", "drinking_water_limits[ion=nitrate]"),
    )
)
def nitrate_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge the source water."""
    return too_high("ions/nitrate-high", trace_of(day, "nitrate"), limits(options))


@rule(
    Rule(
        id="ions/nitrite-high",
        severity=Severity.WARNING,
        summary="There is nitrite in the water.",
        why="Nitrite harms yeast and shows that something reduces nitrate on the way to the tap.",
        source="Directive (EU) 2020/2184: 0.10 mg/L leaving the waterworks; brewing texts, memory",
        remedy=_LESS + "have a private well examined.",
        options={
            "warn_above": limit_option("nitrite", "warn_above", "above this a warning, as NO2")
        },
        passes=Example("No nitrite.", well_with(nitrite=0)),
        fails=Example("A quarter of a milligram.", well_with(nitrite=0.25)),
        reference=("brewing_ion_ranges[ion=nitrite]", "drinking_water_limits[ion=nitrite]"),
    )
)
def nitrite_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge the source water."""
    return too_high("ions/nitrite-high", trace_of(day, "nitrite"), limits(options))


@rule(
    Rule(
        id="ions/iron-high",
        severity=Severity.WARNING,
        summary="There is iron in the water.",
        why="Iron makes beer stale and hazy and tastes metallic; near 1 mg/L it harms yeast.",
        source="Kunze; Briggs et al. 2004 (from memory); 40 CFR 143.3 (0.3 mg/L, staining)",
        remedy=_LESS + "aeration with filtration takes iron out of well water.",
        options={
            "warn_above": limit_option("iron", "warn_above", "above this a warning"),
            "error_above": limit_option("iron", "error_above", "above this an error"),
        },
        passes=Example("Two hundredths of a milligram.", well_with(iron=0.02)),
        fails=Example("A quarter of a milligram.", well_with(iron=0.25)),
        reference=("brewing_ion_ranges[ion=iron]", "drinking_water_limits[ion=iron]"),
    )
)
def iron_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge the source water."""
    return too_high("ions/iron-high", trace_of(day, "iron"), limits(options))


@rule(
    Rule(
        id="ions/manganese-high",
        severity=Severity.WARNING,
        summary="There is manganese in the water.",
        why="Manganese speeds up staling and tastes bitter and metallic.",
        source="Kunze (from memory); 40 CFR 143.3 (0.05 mg/L)",
        remedy=_LESS + "aeration with filtration takes manganese out of well water.",
        options={
            "warn_above": limit_option("manganese", "warn_above", "above this a warning"),
            "error_above": limit_option("manganese", "error_above", "above this an error"),
        },
        passes=Example("A hundredth of a milligram.", config=reported(manganese="0.01 mg/L")),
        fails=Example("Seven hundredths of a milligram.", config=reported(manganese="0.07 mg/L")),
        reference=("brewing_ion_ranges[ion=manganese]", "drinking_water_limits[ion=manganese]"),
    )
)
def manganese_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge the source water."""
    return too_high("ions/manganese-high", trace_of(day, "manganese"), limits(options))


@rule(
    Rule(
        id="ions/copper-high",
        severity=Severity.WARNING,
        summary="There is copper in the water.",
        why="A trace of copper takes away sulfury smells; more makes beer stale and hazy.",
        source="Bamforth; Goldammer (from memory); 40 CFR 143.3 (1.0 mg/L)",
        remedy=_LESS + "let water that stood in copper pipes run off first.",
        options={
            "warn_above": limit_option("copper", "warn_above", "above this a warning"),
            "error_above": limit_option("copper", "error_above", "above this an error"),
        },
        passes=Example("Two hundredths of a milligram.", config=reported(copper="0.02 mg/L")),
        fails=Example("Half a milligram.", config=reported(copper="0.5 mg/L")),
        reference=("brewing_ion_ranges[ion=copper]", "drinking_water_limits[ion=copper]"),
    )
)
def copper_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge the source water."""
    return too_high("ions/copper-high", trace_of(day, "copper"), limits(options))


@rule(
    Rule(
        id="ions/zinc-high",
        severity=Severity.WARNING,
        summary="There is more zinc than yeast can use.",
        why="Yeast wants 0.1 to 0.2 mg/L in the wort; above about 0.6 to 1 mg/L zinc harms it. "
        "Zinc salts are dosed in milligrams, and a slip to grams is easily made.",
        source="Bamforth; Briggs et al. 2004 (from memory); 40 CFR 143.3 (5 mg/L, taste)",
        remedy="Dose zinc from a stock solution: 1 g of the salt in 1 L, measured in millilitres.",
        options={
            "warn_above": limit_option("zinc", "warn_above", "above this a warning"),
            "error_above": limit_option("zinc", "error_above", "above this an error"),
        },
        passes=Example(
            "Fifteen milligrams of zinc sulfate in a 20 L batch.",
            more_additions(dose("Zinc sulfate heptahydrate", 0.015, use="add_to_boil")),
        ),
        fails=Example(
            "Half a gram of zinc sulfate in a 20 L batch.",
            more_additions(dose("Zinc sulfate heptahydrate", 0.5, use="add_to_boil")),
        ),
        reference=("brewing_ion_ranges[ion=zinc]", "drinking_water_limits[ion=zinc]"),
    )
)
def zinc_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge source and additions together."""
    return too_high("ions/zinc-high", brought_of(day, "zinc"), limits(options))
