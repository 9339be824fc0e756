"""Acidulated malt and lactic acid: how much before it is tasted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Confidence, Example, Finding, Rule, Severity
from recipe_tools.judgement.mash import ACIDULATED_SHARE, LACTATE, lactate_mg, lactic_acids
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, grist, malt, more_additions
from recipe_tools.rules.verdicts import report


def _acidulated_pointer(day: BrewDay) -> str:
    for item in day.grist:
        if item.malt.class_id == "acidulated":
            return item.fermentable.origin.at("amount_kg")
    return day.recipe.origin.at("name")


@rule(
    Rule(
        id=ACIDULATED_SHARE.rule,
        severity=Severity.WARNING,
        summary="There is more acidulated malt in the grist than a correction of pH needs.",
        why="One percent of the grist lowers the mash pH by about 0.1; a tenth of it is tasted "
        "as sour.",
        source="0.1 pH per percent: Oxford Companion to Beer entry and maltsters' rule, "
        "confirmed by Troester 2009; the limit is a derived_default",
        remedy="Use at most five percent, or choose a sour style.",
        options=ACIDULATED_SHARE.options,
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
        id=LACTATE.rule,
        severity=Severity.NOTE,
        summary="Lactic acid and acidulated malt bring so much lactate that it may be tasted.",
        why="Phosphoric acid is nearly tasteless at the doses used; lactate is not.",
        source="taste from about 400 mg/L in beer, from memory, weak; acidulated malt 315 and "
        "358 mEq/kg (Troester 2009)",
        remedy="Replace part of the lactic acid by food-grade phosphoric acid, or blend the water.",
        options=LACTATE.options,
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
    """Count lactate per litre of beer."""
    batch_l = day.recipe.batch_l
    if not batch_l or batch_l <= 0 or day.soured_by:
        return
    lactate = lactate_mg(day) / batch_l
    if lactate <= options["lactate_above"]:
        return
    acids = lactic_acids(day)
    pointer = acids[0].addition.origin.at("amount") if acids else _acidulated_pointer(day)
    yield report(
        f"The beer would hold about {lactate:.0f} mg/L of lactate from acid and acidulated malt, "
        f"above {options['lactate_above']:g} mg/L",
        pointer,
        confidence=Confidence.LIKELY,
        value=round(lactate, -1),
        limit=options["lactate_above"],
        unit="mg/L",
    )
