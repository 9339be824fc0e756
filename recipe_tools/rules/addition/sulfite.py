"""Sulfite against chlorine: enough, and not too much."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay, Dose
from recipe_tools.chemistry.treatment import CHLORINE_G_MOL
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, more_additions
from recipe_tools.rules.verdicts import report
from recipe_tools.rules.water.chlorine import treatments

SO2_PER_CL2 = 64.064 / CHLORINE_G_MOL
"""mg of SO2 used up by 1 mg of chlorine as Cl2: HOCl + HSO3- -> Cl- + SO4-- + 2 H+."""
_CHLORINATED = {"water": {"chlorine_mg_l": 1.0}}


def _so2(day: BrewDay) -> tuple[tuple[Dose, ...], float]:
    """Return the sulfite doses of the water and the SO2 they bring, mg/L of all water."""
    found = treatments(day, "sulfite")
    if not found or day.total is None:
        return found, 0.0
    milligrams = sum(item.ions_mg["sulfite"].best for item in found if "sulfite" in item.ions_mg)
    return found, milligrams / day.total.volume_l.best


@rule(
    Rule(
        id="addition/sulfite-dose-low",
        severity=Severity.WARNING,
        summary="The sulfite is too little for the chlorine of the water.",
        why="What is left of the chlorine makes chlorophenols with malt.",
        source="stoichiometry, 0.90 mg SO2 per mg Cl2 (1.34 mg of sodium metabisulfite)",
        remedy="Use 1.34 mg of sodium or 1.57 mg of potassium metabisulfite per mg of chlorine "
        "and litre, and a tenth more; for all water, sparge included.",
        options={
            "share_of_need": Option(
                95, "% of the need", "less than this is too little", "derived_default"
            )
        },
        passes=Example(
            "Enough for one mg/L.", more_additions(dose("Sodium metabisulfite", 0.05)), _CHLORINATED
        ),
        fails=Example(
            "Ten milligrams where some forty are needed.",
            more_additions(dose("Sodium metabisulfite", 0.01)),
            _CHLORINATED,
        ),
    )
)
def sulfite_dose_low(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare with the stated chlorine; silent where none is stated."""
    chlorine = day.source.chlorine_mg_l
    found, so2 = _so2(day)
    if not chlorine or not found or so2 <= 0 or day.total is None:
        return
    removed = so2 / SO2_PER_CL2
    if removed >= chlorine * options["share_of_need"] / 100.0:
        return
    yield report(
        "addition/sulfite-dose-low",
        f"The sulfite removes {removed:.1f} of {chlorine:.1f} mg/L chlorine in "
        f"{day.total.volume_l.best:.0f} L of water",
        found[0].addition.origin.at("amount"),
        confidence=Confidence.LIKELY,
        value=round(removed, 2),
        limit=round(chlorine, 2),
        unit="mg/L as Cl2",
    )


@rule(
    Rule(
        id="addition/sulfite-dose-high",
        severity=Severity.WARNING,
        summary="More sulfite is left than dechlorination needs.",
        why="From 10 mg/L of SO2 a beer has to be labelled; sensitive people react, and yeast "
        "suffers. Most of it is lost in mash and boil, so this is an upper bound.",
        source="Regulation (EU) 1169/2011 Annex II; 21 CFR 130.9 (10 mg/L as SO2)",
        remedy="One tablet of 0.44 g treats about 75 L of tap water.",
        options={
            "so2_above": Option(
                10, "mg/L as SO2", "left in the water above this", "Regulation (EU) 1169/2011"
            ),
            "so2_above_unstated": Option(
                15.7,
                "mg/L as SO2",
                "added above this, where nobody states the chlorine that uses some of it up",
                "derived_default: four tablets of 0.44 g in 75 L",
            ),
        },
        passes=Example(
            "A quarter of a tablet.", more_additions(dose("Sodium metabisulfite", 0.11))
        ),
        fails=Example("Two grams.", more_additions(dose("Sodium metabisulfite", 2))),
    )
)
def sulfite_dose_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Count what the stated chlorine leaves; all of it where none is stated."""
    found, so2 = _so2(day)
    chlorine = day.source.chlorine_mg_l
    left = so2 - (chlorine or 0.0) * SO2_PER_CL2
    limit = options["so2_above_unstated"] if chlorine is None else options["so2_above"]
    if not found or left <= limit * 1.02:
        return
    unstated = "" if chlorine is not None else " (nobody states the chlorine that uses some up)"
    yield report(
        "addition/sulfite-dose-high",
        f"The sulfite leaves up to {left:.0f} mg/L of SO2 in the water, above {limit:g}{unstated}",
        found[0].addition.origin.at("amount"),
        confidence=Confidence.LIKELY,
        value=round(left, 1),
        limit=limit,
        unit="mg/L as SO2",
    )
