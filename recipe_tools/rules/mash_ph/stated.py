"""What the recipe itself says about its mash, and what the model cannot say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.judgement.mash import MARGIN_PH, STATED_TARGET, WINDOW_PH, stated_ph
from recipe_tools.rules import rule
from recipe_tools.rules.examples import (
    SPARGE_STEP,
    STRIKE_STEP,
    malt,
    mash_steps,
    quantity,
    step,
)
from recipe_tools.rules.liquors import mash_pointer
from recipe_tools.rules.mash_ph.window import MEASURED_L_KG, predicted, weighed
from recipe_tools.rules.verdicts import outside, report


@rule(
    Rule(
        id=STATED_TARGET.rule,
        severity=Severity.NOTE,
        summary="The recipe states another mash pH than its water, malt and acid give.",
        why="Either the recipe was written for other water, or an addition is missing from it.",
        source="derived_default; BeerXML 1.0 defines MASH.PH as the pH of the sparge",
        remedy="Adjust the acid until prediction and target agree, or correct the stated value.",
        options=STATED_TARGET.options,
        passes=Example(
            "A target close to the prediction.",
            mash_steps({**STRIKE_STEP, "end_ph": quantity(5.4, "pH")}, SPARGE_STEP),
        ),
        fails=Example(
            "A target far below the prediction.",
            mash_steps({**STRIKE_STEP, "end_ph": quantity(5.0, "pH")}, SPARGE_STEP),
        ),
    )
)
def stated_target_differs(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare each stated pH with the prediction; one finding per mash."""
    estimate = predicted(day)
    if estimate is None:
        return
    slack = options["tolerance"]
    for stated, what, pointer in stated_ph(day.recipe):
        if day.soured_by and stated < WINDOW_PH[0]:
            continue
        verdict = weighed(day, outside(estimate, stated - slack, stated + slack, margin=MARGIN_PH))
        if verdict is None:
            continue
        yield report(
            f"The recipe states pH {stated:.2f} {what}; predicted is {estimate.best:.2f} (most "
            f"likely {estimate.low:.2f} to {estimate.high:.2f}, read at 25 °C)",
            pointer,
            confidence=verdict.confidence,
            value=round(stated, 2),
            predicted=round(estimate.best, 2),
            low=round(estimate.low, 2),
            high=round(estimate.high, 2),
            unit="pH",
        )
        return


@rule(
    Rule(
        id="mash-ph/not-predictable",
        severity=Severity.NOTE,
        summary="The mash pH cannot be predicted.",
        why="Without grain amounts and mash water there is nothing to balance, so nobody has "
        "checked the most important number of the mash.",
        source="common practice, no source",
        remedy="Add what the message names to the recipe.",
        passes=Example("The plain recipe."),
        fails=Example(
            "A mash whose grain has no amount.",
            {
                "ingredients": {
                    "fermentable_additions": [
                        {k: v for k, v in malt("Pale ale malt", 4, 2.8).items() if k != "amount"}
                    ]
                }
            },
        ),
    )
)
def not_predictable(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Say what is missing; silent where nothing is mashed."""
    del options
    if day.prediction is not None or not day.not_predictable or not day.is_mashed:
        return
    missing = ", ".join(day.not_predictable)
    yield report(
        f"The mash pH cannot be predicted: {missing}",
        mash_pointer(day),
        missing=list(day.not_predictable),
    )


@rule(
    Rule(
        id="mash-ph/thickness-outside-model",
        severity=Severity.NOTE,
        summary="The mash lies outside what the model of the mash pH was measured on.",
        why="The prediction is then an extrapolation; its band is too narrow by an unknown amount.",
        source="Troester 2009: mashes of 2 to 5 L/kg, alkalinity up to 5.5 mEq/L, calcium to 100 "
        "mg/L and above it flattening (Taylor, quoted in Briggs et al. 2004)",
        remedy="Rely on a measurement: a cooled sample ten minutes after dough-in.",
        options={
            "low": Option(
                MEASURED_L_KG[0], "L/kg", "thinnest water to grist measured", "Troester 2009"
            ),
            "high": Option(
                MEASURED_L_KG[1], "L/kg", "most water to grist measured", "Troester 2009"
            ),
        },
        passes=Example("The plain recipe."),
        fails=Example(
            "Seven litres of water to the kilogram.",
            mash_steps(step("Saccharification", "infusion", 29, 66)),
        ),
    )
)
def thickness_outside_model(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Pass on what the prediction warns of; within the measured thickness its band covers it."""
    ratio = day.water_to_grist_l_kg
    if day.prediction is None or not day.prediction.warnings or ratio is None:
        return
    thickness = not options["low"] <= ratio <= options["high"]
    yield report(
        f"The predicted mash pH is an extrapolation: {'; '.join(day.prediction.warnings)}",
        mash_pointer(day),
        confidence=Confidence.LIKELY if thickness else Confidence.POSSIBLE,
        outside=list(day.prediction.warnings),
        value=round(ratio, 1),
        unit="L/kg",
    )
