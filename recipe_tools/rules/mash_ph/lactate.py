"""Acidulated malt and lactic acid: how much before it is tasted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.ions import MOLAR_MASS_G_MOL
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, grist, malt, more_additions
from recipe_tools.rules.verdicts import report

_ACIDULATED_MEQ_KG = 336.0
"""Acid of acidulated malt to pH 5.7, mean of 315 and 358 mEq/kg (Troester 2009)."""


def _acidulated_pointer(day: BrewDay) -> str:
    for item in day.grist:
        if item.malt.class_id == "acidulated":
            return item.fermentable.origin.at("amount_kg")
    return day.recipe.origin.at("name")


@rule(
    Rule(
        id="mash-ph/acidulated-share-high",
        severity=Severity.WARNING,
        summary="There is more acidulated malt in the grist than a correction of pH needs.",
        why="One percent of the grist lowers the mash pH by about 0.1; a tenth of it is tasted "
        "as sour.",
        source="0.1 pH per percent: Oxford Companion to Beer entry and maltsters' rule, "
        "confirmed by Troester 2009; the limit is a derived_default",
        remedy="Use at most five percent, or choose a sour style.",
        options={
            "share_above": Option(10, "% of the grist", "above this a warning", "derived_default")
        },
        passes=Example("The plain recipe."),
        fails=Example(
            "One eighth of acidulated malt.",
            grist(malt("Pale ale malt", 3.5, 2.8), malt("Acidulated malt", 0.5, 2, "specialty")),
        ),
        reference=("malt_acid_base[class=acidulated]",),
    )
)
def acidulated_share_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at the share of the grist; sour beers are exempt."""
    percent = 100.0 * day.acidulated_share
    if percent <= options["share_above"] or day.soured_by:
        return
    guessed = any(i.guess == "name" for i in day.grist if i.malt.class_id == "acidulated")
    yield report(
        "mash-ph/acidulated-share-high",
        f"Acidulated malt makes up {percent:.0f} % of the grist, above {options['share_above']:g} "
        "%",
        _acidulated_pointer(day),
        confidence=Confidence.LIKELY if guessed else Confidence.CERTAIN,
        value=round(percent, 1),
        limit=options["share_above"],
        unit="%",
    )


@rule(
    Rule(
        id="mash-ph/lactate-taste",
        severity=Severity.NOTE,
        summary="Lactic acid and acidulated malt bring so much lactate that it may be tasted.",
        why="Phosphoric acid is nearly tasteless at the doses used; lactate is not.",
        source="taste from about 400 mg/L in beer, from memory, weak; acidulated malt 315 and "
        "358 mEq/kg (Troester 2009)",
        remedy="Replace part of the lactic acid by food-grade phosphoric acid, or blend the water.",
        options={
            "lactate_above": Option(400, "mg/L of beer", "above this a note", "from memory, weak")
        },
        passes=Example("One millilitre.", more_additions(dose("Lactic acid 80 %", 1, "ml"))),
        fails=Example(
            "Twelve millilitres of lactic acid, shared by mash and sparge.",
            more_additions(
                dose("Lactic acid 80 %", 6, "ml", step=1), dose("Lactic acid 80 %", 6, "ml", step=2)
            ),
        ),
    )
)
def lactate_taste(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Count lactate of all additions but those to the package, per litre of beer."""
    batch_l = day.recipe.batch_l
    if not batch_l or batch_l <= 0 or day.soured_by:
        return
    acids = [
        item
        for item in day.doses
        if item.agent is not None and item.agent.id == "lactic_acid" and item.stage != "package"
    ]
    malt_mmol = day.acidulated_share * day.grist_kg * _ACIDULATED_MEQ_KG
    mmol = malt_mmol + sum(item.acid_mmol.best for item in acids)
    lactate = mmol * MOLAR_MASS_G_MOL["lactate"] / batch_l
    if lactate <= options["lactate_above"]:
        return
    pointer = acids[0].addition.origin.at("amount") if acids else _acidulated_pointer(day)
    yield report(
        "mash-ph/lactate-taste",
        f"The beer would hold about {lactate:.0f} mg/L of lactate from acid and acidulated malt, "
        f"above {options['lactate_above']:g} mg/L",
        pointer,
        confidence=Confidence.LIKELY,
        value=round(lactate, -1),
        limit=options["lactate_above"],
        unit="mg/L",
    )
