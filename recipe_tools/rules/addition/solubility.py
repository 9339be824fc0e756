"""Salts and bases that do not dissolve in the water they are given."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay, Dose
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, more_additions
from recipe_tools.rules.liquors import STAGE_WORDS, amount_text, into_water, liquor_of
from recipe_tools.rules.verdicts import digits_of_mg_l, report, told_apart


@rule(
    Rule(
        id="addition/will-not-dissolve",
        severity=Severity.WARNING,
        summary="More of a salt or base is added than the water can dissolve.",
        why="What lies at the bottom acts neither on ions nor on pH. Chalk hardly dissolves in "
        "plain water at all; in the mash about half of it reacts.",
        source="solubility at 20 °C: gypsum 2.4 g/L (OECD 105 study), slaked lime 1.65 g/L, "
        "chalk 0.014 g/L without CO2 (handbooks, chalk from memory)",
        remedy="Use less; for more alkalinity take baking soda. Chalk dissolves only under CO2 "
        "pressure. Add gypsum to cold water and stir: hot water dissolves it more slowly.",
        options={
            "share_of_solubility": Option(
                100, "% of the solubility", "reported above this", "common practice, no source"
            )
        },
        passes=Example("The plain recipe."),
        fails=Example("Five grams of chalk in the mash.", more_additions(dose("Chalk", 5, step=1))),
        reference=("agents[solubility_g_l!=](name,solubility_g_l)",),
    )
)
def will_not_dissolve(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare g/L of the stage with the solubility; chalk in the mash is only a note."""
    for item in day.doses:
        found = item.agent
        if found is None or found.solubility_g_l is None or item.grams is None:
            continue
        litres = _litres(day, item)
        if litres <= 0:
            continue
        per_litre = item.grams.best / litres
        limit = found.solubility_g_l * options["share_of_solubility"] / 100.0
        if per_litre <= limit:
            continue
        reacts = found.id == "chalk" and item.stage == "mash"
        half = "; about half of it reacts with the mash" if reacts else ""
        solubility = found.solubility_g_l
        digits = digits_of_mg_l(per_litre), digits_of_mg_l(solubility)
        amount, most = told_apart(per_litre, solubility, *digits)
        yield report(
            f"{amount_text(item)} of '{item.addition.name}' in {litres:.1f} L is {amount} g/L, "
            f"but only {most} g/L dissolve{half}",
            item.addition.origin.at("amount"),
            confidence=Confidence.LIKELY,
            severity=Severity.NOTE if reacts else Severity.WARNING,
            related=into_water(day, item),
            value=round(per_litre, 3),
            limit=found.solubility_g_l,
            unit="g/L",
            stage=STAGE_WORDS[item.stage],
        )


def _litres(day: BrewDay, item: Dose) -> float:
    if not item.in_wort:
        return day.recipe.batch_l or 0.0
    liquor = liquor_of(day, item.stage)
    return liquor.volume_l.best if liquor is not None else 0.0
