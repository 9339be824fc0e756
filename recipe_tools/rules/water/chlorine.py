"""Chlorine and chloramine in the source water."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.brewday.chlorine import TRACE_MG_L, is_filtered, treatments
from recipe_tools.chemistry.treatment import proposed_dose
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, more_additions, together
from recipe_tools.rules.verdicts import report

_CHLORINATED = {"water": {"chlorine_mg_l": 0.6}}
_CHLORAMINATED = {"water": {"chlorine_mg_l": 1.2, "chloramine": True}}
_TABLET = more_additions(dose("Sodium metabisulfite", 0.15))
SULFITE_PER_CHLORINE = (
    f"{proposed_dose('sodium_metabisulfite', 1.0):.2f} mg/L of sodium metabisulfite "
    f"({proposed_dose('potassium_metabisulfite', 1.0):.2f} of the potassium salt) for each "
    "mg/L of chlorine"
)
"""What is proposed wherever sulfite is: the need with its surplus."""
_LIMIT = Option(
    TRACE_MG_L,
    "mg/L as Cl2",
    "chlorine above this has to be removed",
    "brewing_ion_ranges, row of residual_chlorine marked derived_default; handbooks want none",
)


@rule(
    Rule(
        id="water/chlorine-untreated",
        severity=Severity.WARNING,
        summary="The source water holds chlorine, and nothing in the recipe takes it out.",
        why="Chlorine makes chlorophenols with malt: a smell of sticking plaster at micrograms "
        "per litre.",
        source="brewing handbooks want none (from memory); sulfite by stoichiometry and the tenth "
        "more of a table for the disinfection of pipelines",
        remedy=f"Add {SULFITE_PER_CHLORINE} before heating, filter slowly through carbon, or name "
        "the step you take in the recipe.",
        options={"above": _LIMIT},
        passes=Example("Sodium metabisulfite in the water.", _TABLET, _CHLORINATED),
        fails=Example("Chlorine and no treatment.", config=_CHLORINATED),
        reference=("brewing_ion_ranges[ion=residual_chlorine]",),
    )
)
def chlorine_untreated(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Speak only where chlorine is stated, in a report or the configuration."""
    chlorine = day.source.chlorine_mg_l
    if chlorine is None or chlorine <= options["above"]:
        return
    if treatments(day, "sulfite", "antioxidant", "sorbent") or is_filtered(day):
        return
    what = "chloramine" if day.source.chloramine else "chlorine"
    left = ", and the recipe does not remove it" if day.liquor else ": remove it first"
    yield report(
        f"The source water holds {chlorine:.2g} mg/L of {what} (as Cl2){left}",
        day.source.pointer or day.recipe.origin.at("name"),
        severity=Severity.WARNING if day.liquor else Severity.NOTE,
        ion=what,
        value=round(chlorine, 2),
        limit=options["above"],
        unit="mg/L as Cl2",
    )


@rule(
    Rule(
        id="water/chloramine-treatment",
        severity=Severity.WARNING,
        summary="Chloramine is treated with something that hardly removes it.",
        why="Ascorbic acid was found not to act on monochloramine, and carbon needs several "
        "times the contact time that free chlorine needs. Sulfite acts on both.",
        source="Basu & De Souza 2011, J. Water Supply Res. Technol. 60:167-177 (abstract); "
        "carbon: from memory. Common practice does use ascorbic acid",
        remedy="Use sodium or potassium metabisulfite.",
        options={"above": _LIMIT},
        passes=Example(
            "Sulfite for chloramine.",
            more_additions(dose("Sodium metabisulfite", 0.2)),
            _CHLORAMINATED,
        ),
        fails=Example(
            "Ascorbic acid for chloramine.",
            together(more_additions(dose("Ascorbic acid", 0.3))),
            _CHLORAMINATED,
        ),
    )
)
def chloramine_treatment(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Speak where chloramine is stated and no sulfite is used."""
    chlorine = day.source.chlorine_mg_l
    if not day.source.chloramine or (chlorine is not None and chlorine <= options["above"]):
        return
    weak = treatments(day, "antioxidant", "sorbent")
    if not weak or treatments(day, "sulfite"):
        return
    yield report(
        f"{weak[0].addition.name} hardly removes the chloramine of the source water",
        weak[0].pointer,
        confidence=Confidence.LIKELY,
        value=weak[0].addition.name,
    )
