"""Sulfite against chlorine: enough, and not too much."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import reduce
from typing import Any

from recipe_tools.brewday import BrewDay, Dose
from recipe_tools.brewday.chlorine import TRACE_MG_L, treatments
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.treatment import (
    CHLORINE_G_MOL,
    ENOUGH_SHARE,
    SULFUR_DIOXIDE_G_MOL,
)
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.reference import drinking_limits
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, more_additions
from recipe_tools.rules.verdicts import Verdict, outside, report, told_apart
from recipe_tools.rules.water.chlorine import SULFITE_PER_CHLORINE

SO2_PER_CL2 = SULFUR_DIOXIDE_G_MOL / CHLORINE_G_MOL
"""mg of SO2 used up by 1 mg of chlorine as Cl2: HOCl + HSO3- -> Cl- + SO4-- + 2 H+."""
_CHLORINATED = {"water": {"chlorine_mg_l": 1.0}}
_MARGIN = 0.02
_EVEN = ", even if the supply held {:g} mg/L of chlorine"


def _most_chlorine() -> float:
    """Return the highest health limit for chlorine in drinking water, mg/L as Cl2."""
    return max(
        row.high_as_ion or 0.0
        for ion in ("chlorine", "chloramine")
        for row in drinking_limits(ion)
        if row.kind == "health"
    )


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
        source=f"stoichiometry, {SO2_PER_CL2:.2f} mg SO2 per mg Cl2",
        remedy=f"Use {SULFITE_PER_CHLORINE}, for all water, sparge included.",
        options={
            "share_of_need": Option(
                round(100 * ENOUGH_SHARE),
                "% of the need by the equation",
                "less than this is too little",
                "derived_default",
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
    if not chlorine or chlorine <= TRACE_MG_L or not found or so2 <= 0 or day.total is None:
        return
    removed = so2 / SO2_PER_CL2
    if removed >= chlorine * options["share_of_need"] / 100.0:
        return
    part, whole = told_apart(removed, chlorine, 1, 1)
    yield report(
        f"The sulfite removes {part} of {whole} mg/L chlorine in "
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
        summary="More sulfite is left than dechlorination needs, or than a beer may hold.",
        why="From 10 mg/L of SO2 a beer has to be labelled; sensitive people react, and yeast "
        "suffers. Most of what goes into the water is lost in mash and boil; what goes into "
        "fermenter or package stays in the beer, which in the EU may hold 20 mg/L, and 50 where "
        "it ferments again in the cask. Where nobody states the chlorine the highest a supply may "
        "hold is taken to use sulfite up.",
        source="Regulation (EU) 1169/2011 Annex II; 21 CFR 130.9 (10 mg/L as SO2); Regulation "
        "(EC) 1333/2008 Annex II 14.2.1, from memory (20 and 50 mg/L)",
        remedy="One tablet of 0.44 g treats about 75 L of tap water; leave it out of the beer, or "
        "put the warning for people with asthma on the label.",
        options={
            "so2_above": Option(10, "mg/L as SO2", "left above this", "Regulation (EU) 1169/2011"),
            "beer_error_above": Option(
                50,
                "mg/L as SO2",
                "in fermenter and package above this an error",
                "Regulation (EC) 1333/2008, from memory: the most any beer may hold",
            ),
            "chlorine_up_to": Option(
                _most_chlorine(),
                "mg/L as Cl2",
                "the most a supply may hold, where nobody states it",
                "drinking_water_limits, highest health limit for chlorine and chloramine",
            ),
        },
        passes=Example(
            "A quarter of a tablet.", more_additions(dose("Sodium metabisulfite", 0.11))
        ),
        fails=Example("Two grams.", more_additions(dose("Sodium metabisulfite", 2))),
        reference=("drinking_water_limits[ion=chlorine|chloramine]",),
    )
)
def sulfite_dose_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge what is dosed before the boil is over by all water, the rest by the beer."""
    chlorine = day.source.chlorine_mg_l
    present = Estimate(0.0, *2 * (options["chlorine_up_to"],))
    if chlorine is not None:
        present = exactly(chlorine)
    for cold in (False, True):
        doses = tuple(item for item in _sulfites(day) if item.in_wort is not cold)
        litres = _litres(day, cold)
        if not doses or not litres:
            continue
        treated = min(1.0, day.top_up_l / litres) if cold else 1.0
        added = reduce(Estimate.plus, (item.ions_mg["sulfite"] for item in doses))
        left = added.times(1.0 / litres).plus(-present.times(treated * SO2_PER_CL2))
        verdict = _too_much(left, options["so2_above"])
        if verdict is not None:
            grave = _too_much(left, options["beer_error_above"]) if cold else None
            yield _left_over(day, doses, left, verdict, grave, options, unstated=chlorine is None)


def _sulfites(day: BrewDay) -> Iterator[Dose]:
    return (
        item
        for item in day.doses
        if item.agent is not None and item.agent.kind == "sulfite" and "sulfite" in item.ions_mg
    )


def _litres(day: BrewDay, cold: bool) -> float | None:
    batch_l, whole = day.recipe.batch_l, day.total
    if cold or whole is None:
        return batch_l if batch_l and batch_l > 0 else None
    return whole.volume_l.best


def _too_much(left: Estimate, limit: float) -> Verdict | None:
    return outside(left, high=limit, margin=_MARGIN * limit)


def _left_over(
    day: BrewDay,
    doses: tuple[Dose, ...],
    left: Estimate,
    verdict: Verdict,
    grave: Verdict | None,
    options: Mapping[str, Any],
    *,
    unstated: bool,
) -> Finding:
    """Return the finding. grave: the verdict against what no beer may hold, None in water."""
    cold = not doses[0].in_wort
    too_much = grave is not None and grave.confidence is Confidence.CERTAIN
    limit = options["beer_error_above"] if too_much else verdict.limit
    even = "" if cold or not unstated else _EVEN.format(options["chlorine_up_to"])
    verb, shown = f"leaves{'' if left.exact else ' at least'}", left.low
    if verdict.confidence is Confidence.LIKELY:
        verb, shown, even = "probably leaves", left.best, ""
    elif verdict.confidence is Confidence.POSSIBLE:
        verb, shown, even = "may leave up to", left.high, ""
    amount, most = told_apart(shown, limit, 0)
    kind = Severity.WARNING if day.recipe.is_beer or not cold else Severity.NOTE
    return report(
        f"The sulfite {verb} {amount} mg/L of SO2 in {'the beer' if cold else 'the water'}, above "
        f"{most}{even}",
        max(doses, key=lambda item: item.ions_mg["sulfite"].best).addition.origin.at("amount"),
        confidence=verdict.confidence,
        severity=Severity.ERROR if too_much and day.recipe.is_beer else kind,
        value=round(left.best, 1),
        low=round(left.low, 1),
        high=round(left.high, 1),
        limit=limit,
        unit="mg/L as SO2",
    )
