"""Rules on the sparge water: alkalinity, pH, temperature, and what does not belong in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay, Liquor
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.judgement.alkalinity import SPARGE
from recipe_tools.judgement.ions import MARGIN_MG_L
from recipe_tools.rules import rule
from recipe_tools.rules.addition.readings import SPARGE_SURPLUS_MEQ_L
from recipe_tools.rules.examples import (
    SPARGE_STEP,
    STRIKE_STEP,
    dose,
    mash_steps,
    more_additions,
    quantity,
    well_with,
)
from recipe_tools.rules.liquors import amount_text, mash_pointer
from recipe_tools.rules.verdicts import outside, report, standing

_PLAIN = Example("The plain recipe.")


def _after_acid(liquor: Liquor) -> Estimate | None:
    """Return the alkalinity that acid leaves, mg/L as CaCO3, with the band of the plain water."""
    before = liquor.alkalinity_meq_l
    if before is None:
        return None
    taken = 0.0 if liquor.after_acid is None else before.best - liquor.after_acid.alkalinity_meq_l
    return before.plus(exactly(-taken)).times(CACO3_MG_MEQ)


def sparge_surplus(day: BrewDay) -> Estimate | None:
    """Return acid beyond the alkalinity of the sparge water, mEq/L; None where none is added."""
    sparge = day.sparge
    if sparge is None or sparge.alkalinity_meq_l is None:
        return None
    acids = [item.acid_meq for item in day.doses if item.stage == "sparge"]
    acids = [meq for meq in acids if meq.best > 0]
    if not acids:
        return None
    total = -sparge.alkalinity_meq_l
    for meq in acids:
        total = total.plus(meq.times(1.0 / sparge.volume_l.best))
    return total


def _sparge_pointer(day: BrewDay) -> str:
    mash = day.recipe.mash
    for item in mash.steps if mash is not None else ():
        if "sparge" in item.kind:
            return item.origin.path
    return mash_pointer(day)


@rule(
    Rule(
        id=SPARGE.rule,
        severity=Severity.NOTE,
        summary="The sparge water is alkaline.",
        why="As the wort thins, alkalinity lifts the pH of the run-off; above about 5.8 the husk "
        "gives off tannin and silicate. Alkalinity matters more than the pH of the water itself.",
        source="5.8 for the run-off and 50 mg/L as CaCO3 for the water: common practice, partly "
        "from memory; twice that as a warning is a derived_default",
        remedy="Add a little acid to the sparge water, blend it with pure water, or stop the "
        "run-off at a gravity of 1.010.",
        options=SPARGE.options,
        passes=_PLAIN,
        fails=Example(
            "Well water of 200 mg/L bicarbonate, not treated.",
            well_with(calcium=58, bicarbonate=200, sodium=22),
        ),
        reference=("brewing_ion_ranges[ion=alkalinity]",),
    )
)
def alkalinity_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge the alkalinity that is left after any acid."""
    if day.sparge is None:
        return
    left = _after_acid(day.sparge)
    if left is None:
        return
    verdict = outside(left, high=options["note_above"], margin=MARGIN_MG_L)
    if verdict is None:
        return
    grave = left.best > options["warn_above"]
    after = " after its acid" if _acid_in_sparge(day) else ""
    yield report(
        f"The alkalinity of the sparge water{after} "
        f"{standing(verdict, left, 0, '{} mg/L as CaCO3')}",
        _sparge_pointer(day),
        confidence=verdict.confidence,
        severity=Severity.WARNING if grave else Severity.NOTE,
        value=round(left.best),
        low=round(left.low),
        high=round(left.high),
        limit=options["note_above"],
        unit="mg/L as CaCO3",
    )


def _acid_in_sparge(day: BrewDay) -> bool:
    return any(item.stage == "sparge" and item.acid_meq.best > 0 for item in day.doses)


@rule(
    Rule(
        id="sparge/ph-high",
        severity=Severity.NOTE,
        summary="The acid in the sparge water is too little for its aim.",
        why="Acidified sparge water is meant to lie below pH 6. Without acid the alkalinity "
        "alone is judged: pure water at pH 7 does no harm.",
        source="common practice, from memory: below 6.0, many say 5.5 to 5.8",
        remedy="Add more acid to the sparge water, in small steps, and measure.",
        options={
            "ph_above": Option(6.0, "pH", "above this a note", "common practice, from memory"),
            "alkalinity_from": Option(
                25, "mg/L as CaCO3", "not judged below this", "common practice, from memory"
            ),
        },
        passes=_PLAIN,
        fails=Example(
            "One millilitre of lactic acid in the sparge water.",
            more_additions(dose("Lactic acid 80 %", 0.3, "ml", step=2)),
        ),
    )
)
def ph_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge only water that gets acid and keeps enough alkalinity for its pH to matter."""
    sparge = day.sparge
    if sparge is None or sparge.after_acid is None or not _acid_in_sparge(day):
        return
    left = sparge.after_acid.alkalinity_meq_l * CACO3_MG_MEQ
    ph = sparge.after_acid.ph
    if left < options["alkalinity_from"] or ph <= options["ph_above"] + 0.05:
        return
    acid = next(item for item in day.doses if item.stage == "sparge" and item.acid_meq.best > 0)
    yield report(
        f"With {acid.addition.name} {amount_text(acid)} the sparge water is near pH {ph:.1f}, "
        f"above {options['ph_above']:g} ({left:.0f} mg/L as CaCO3 are left)",
        acid.addition.origin.at("amount"),
        confidence=Confidence.LIKELY,
        value=round(ph, 1),
        alkalinity=round(left),
        limit=options["ph_above"],
        unit="pH",
    )


@rule(
    Rule(
        id="sparge/acid-overshoots",
        severity=Severity.WARNING,
        summary="There is far more acid in the sparge water than its alkalinity can use.",
        why="What is left over goes into the kettle: wort of 10 to 20 mEq/L for each pH falls by "
        "about 0.1 for 2 mEq/L of it. Most often the acid is stronger than was meant.",
        source="balance of acid and alkalinity; buffer of wort from memory; the surplus that "
        "passes is a derived_default",
        remedy="Take only as much acid as the alkalinity of the sparge water asks for; check its "
        "strength on the bottle.",
        options={
            "surplus": Option(
                SPARGE_SURPLUS_MEQ_L,
                "mEq/L",
                "acid beyond the alkalinity that passes",
                "derived_default",
            ),
        },
        passes=Example(
            "Just enough lactic acid for the sparge water.",
            more_additions(dose("Lactic acid 80 %", 1.1, "ml", step=2)),
        ),
        fails=Example(
            "Ten millilitres of lactic acid for soft sparge water.",
            more_additions(dose("Lactic acid 80 %", 10, "ml", step=2)),
        ),
    )
)
def acid_overshoots(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare the acid of the sparge with the alkalinity of its water."""
    surplus = sparge_surplus(day)
    if surplus is None:
        return
    verdict = outside(surplus, high=options["surplus"], margin=0.1)
    if verdict is None:
        return
    acid = next(item for item in day.doses if item.stage == "sparge" and item.acid_meq.best > 0)
    yield report(
        f"{acid.addition.name} {amount_text(acid)} brings the sparge water "
        f"{surplus.best * CACO3_MG_MEQ:.0f} mg/L as CaCO3 of acid more than its alkalinity can use",
        acid.addition.origin.at("amount"),
        confidence=verdict.confidence,
        value=round(surplus.best, 1),
        low=round(surplus.low, 1),
        high=round(surplus.high, 1),
        limit=options["surplus"],
        unit="mEq/L",
    )


@rule(
    Rule(
        id="sparge/temperature-high",
        severity=Severity.WARNING,
        summary="The sparge water is too hot.",
        why="Above 76 to 78 °C starch that is still there dissolves without being converted, and "
        "the husk gives off tannin faster.",
        source="common practice, from memory: 76 to 78 °C",
        remedy="Sparge at 75 to 77 °C.",
        options={
            "celsius_above": Option(
                78, "°C", "above this a warning", "common practice, from memory"
            ),
            "celsius_below": Option(
                95,
                "°C",
                "hotter water is taken for an infusion that heats the mash",
                "derived_default",
            ),
        },
        passes=_PLAIN,
        fails=Example(
            "Sparge water of 85 degrees.",
            mash_steps(STRIKE_STEP, {**SPARGE_STEP, "step_temperature": quantity(85, "C")}),
        ),
    )
)
def temperature_high(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at the sparge steps and at the sparge temperature of the mash."""
    mash = day.recipe.mash
    if mash is None or day.sparge is None:
        return
    stated = [
        (item.temperature_c, item.origin.at("temperature_c"))
        for item in mash.steps
        if "sparge" in item.kind
    ]
    stated.append((mash.sparge_temperature_c, mash.origin.at("sparge_temperature_c")))
    for celsius, pointer in stated:
        if (
            celsius is None
            or not options["celsius_above"] + 0.5 < celsius < options["celsius_below"]
        ):
            continue
        yield report(
            f"The sparge is at {celsius:.0f} °C, above {options['celsius_above']:g} °C",
            pointer,
            value=round(celsius, 1),
            limit=options["celsius_above"],
            unit="°C",
        )
        return


@rule(
    Rule(
        id="sparge/base-added",
        severity=Severity.WARNING,
        summary="Something alkaline goes into the sparge water.",
        why="Baking soda, chalk or lime serve to raise the pH of a dark mash. In the sparge they "
        "do what one wants to avoid there.",
        source="common practice, no source",
        remedy="Add it to the mash, or leave it out.",
        passes=_PLAIN,
        fails=Example(
            "Baking soda timed to the sparge step.", more_additions(dose("Baking soda", 3, step=2))
        ),
    )
)
def base_added(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look for alkaline doses of the sparge stage."""
    del options
    for item in day.doses:
        if item.stage != "sparge" or item.alkalinity_meq.best <= 0:
            continue
        yield report(
            f"{item.addition.name} {amount_text(item)} goes into the sparge water and raises its "
            "alkalinity",
            item.pointer,
            value=item.addition.name,
            milliequivalents=round(item.alkalinity_meq.best, 1),
        )
