"""The predicted mash pH against the window in which a mash should lie."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.mash_ph import Prediction
from recipe_tools.findings import Confidence, Example, Finding, Related, Rule, Severity
from recipe_tools.judgement.mash import (
    ABOVE_RANGE,
    BELOW_RANGE,
    LOWER_EDGE,
    MARGIN_PH,
    NEAR_EDGE,
    WINDOW_SOURCE,
)
from recipe_tools.rules import rule
from recipe_tools.rules.examples import (
    additions,
    dose,
    grist,
    malt,
    more_additions,
    style,
    together,
)
from recipe_tools.rules.examples import well_with as water
from recipe_tools.rules.liquors import mash_pointer
from recipe_tools.rules.verdicts import Verdict, outside, report, standing

MEASURED_L_KG = (2.0, 5.0)
"""Thickness of the mashes behind the model, L/kg (Troester 2009)."""
GUESSED_PH = 1.0
"""How far the pH of a malt nobody measured may lie from its guess (derived_default).

Its share of the grist pulls that much on the mash. A name that is only guessed may be anything.
"""
_LIKELY = Confidence.LIKELY
_PALE_MALT = grist(malt("Pale ale malt", 4.0, 2.8))

_CAUSES = {
    "carbonate": "the alkalinity of the water moves",
    "calcium_magnesium": "calcium and magnesium move",
    "acid": "the acid moves",
    "base": "the alkaline additions move",
    "readings": "what your readings say moves",
}


def predicted(day: BrewDay) -> Estimate | None:
    """Return the predicted pH with its band, or None."""
    found = day.prediction
    return None if found is None else Estimate(found.low, found.ph, found.high)


def weighed(day: BrewDay, verdict: Verdict | None) -> Verdict | None:
    """Return a verdict on the pH as it may be spoken, or None.

    With unknown water only what holds for any water is said. There, beyond the thickness that was
    measured, and with malts that are only guessed, a band is no real 95 % band: what would be
    certain is only likely.
    """
    if verdict is None or verdict.confidence is not Confidence.CERTAIN:
        return verdict if day.source.known else None
    ratio = day.water_to_grist_l_kg or 0.0
    measured = MEASURED_L_KG[0] <= ratio <= MEASURED_L_KG[1]
    sound = day.source.known and measured and not guessed_malts(day, verdict)
    return verdict if sound else verdict._replace(confidence=_LIKELY)


def guessed_malts(day: BrewDay, verdict: Verdict) -> tuple[str, ...]:
    """Return the names of malts whose guessed class or values take a verdict its certainty."""
    names = [item.fermentable.name for item in day.grist if item.guess == "name"]
    unmeasured = [item for item in day.grist if item.guess == "values"]
    estimate = predicted(day)
    if estimate is not None and unmeasured:
        above = verdict.side == "above"
        room = estimate.low - verdict.limit if above else verdict.limit - estimate.high
        if 0.0 < room < GUESSED_PH * sum(item.share for item in unmeasured):
            names += [item.fermentable.name for item in unmeasured]
    return tuple(dict.fromkeys(names))


def largest_pull(found: Prediction, upwards: bool) -> str:
    """Return what moves the pH most in a direction, in words, or nothing where it moves little."""
    shifts = {key: shift for key, shift in found.contributions_ph.items() if key != "malt"}
    if not shifts:
        return ""
    key = max(shifts, key=lambda name: shifts[name] if upwards else -shifts[name])
    if abs(shifts[key]) < 0.03 or (shifts[key] > 0) != upwards:
        return ", from the malt itself"
    return f"; {_CAUSES[key]} it by {shifts[key]:+.2f}"


def _why(day: BrewDay, found: Prediction, verdict: Verdict) -> str:
    guessed = guessed_malts(day, verdict)
    doubt = f"; what '{guessed[0]}' does to the pH is a guess" if guessed else ""
    if not day.source.known:
        return f", whatever drinking water it is{doubt}"
    return largest_pull(found, verdict.side == "above") + doubt


def _acids_and_bases(day: BrewDay) -> tuple[Related, ...]:
    return tuple(
        Related(item.addition.origin.at("amount"), f"{item.addition.name} goes into the mash")
        for item in day.doses
        if item.stage == "mash" and (item.acid_meq.best > 0 or item.alkalinity_meq.best > 0)
    )[:3]


def _stands(found: Prediction, verdict: Verdict) -> str:
    estimate = Estimate(found.low, found.ph, found.high)
    read = f"read at {found.at_celsius:.0f} °C"
    return standing(verdict, estimate, 2, "pH {}", at="at ", note=read)


def _finding(day: BrewDay, found: Prediction, verdict: Verdict) -> Finding:
    certain = verdict.confidence is Confidence.CERTAIN
    return report(
        f"The mash {_stands(found, verdict)}{_why(day, found, verdict)}",
        mash_pointer(day),
        confidence=verdict.confidence,
        severity=Severity.ERROR if certain else Severity.WARNING,
        related=_acids_and_bases(day),
        value=round(found.ph, 2),
        low=round(found.low, 2),
        high=round(found.high, 2),
        limit=verdict.limit,
        unit="pH",
    )


@rule(
    Rule(
        id=ABOVE_RANGE.rule,
        severity=Severity.WARNING,
        summary="The mash pH will be too high.",
        why="Above the window starch converts slowly, the beer gets darker and harsher, and "
        "run-off draws tannin from the husk. An error only where the whole band lies outside.",
        source=WINDOW_SOURCE,
        remedy="Add food-grade acid or acidulated malt to the mash; `recipe-tools dose FILE` "
        "says how much. Measure a cooled sample after ten minutes.",
        options=ABOVE_RANGE.options,
        passes=Example("The plain recipe."),
        fails=Example(
            "Hard water, pale malt only, no acid.",
            together(water(calcium=80, bicarbonate=260, sodium=28), _PALE_MALT),
        ),
    )
)
def above_range(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare the predicted pH with the upper edge."""
    estimate, found = predicted(day), day.prediction
    if estimate is None or found is None:
        return
    verdict = weighed(day, outside(estimate, high=options["high"], margin=MARGIN_PH))
    if verdict is not None:
        yield _finding(day, found, verdict)


@rule(
    Rule(
        id=BELOW_RANGE.rule,
        severity=Severity.WARNING,
        summary="The mash pH will be too low.",
        why="Below the window enzymes work badly, the beer tastes sour and thin, and hops bitter "
        "less.",
        source=WINDOW_SOURCE,
        remedy="Leave out acid, acidulated malt or part of the calcium, or add baking soda; "
        "`recipe-tools dose FILE` says how much.",
        options=BELOW_RANGE.options,
        passes=Example("The plain recipe."),
        fails=Example(
            "A third of dark malt in soft water.",
            grist(
                malt("Pale ale malt", 2.6, 2.8),
                malt("Roasted barley", 0.8, 500, "roasted"),
                malt("Dark caramel malt", 0.6, 120, "caramel"),
                malt("Acidulated malt", 0.2, 2, "specialty"),
            ),
        ),
    )
)
def below_range(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare the predicted pH with the lower edge."""
    estimate, found = predicted(day), day.prediction
    if estimate is None or found is None:
        return
    verdict = weighed(day, outside(estimate, low=options["low"], margin=MARGIN_PH))
    if verdict is not None and not day.soured_by:
        yield _finding(day, found, verdict)


@rule(
    Rule(
        id="mash-ph/soured",
        severity=Severity.NOTE,
        summary="The beer is soured on purpose, so a mash below the window is not judged.",
        why="Brewers of sour beer put acid or acidulated malt into mash or kettle, or let bacteria "
        "do it. How far that goes, and where, is not modelled; the water is judged as usual.",
        source="common practice, no source",
        remedy="Measure the pH before you pitch and while it sours. If the beer is not meant to be "
        "sour, correct its style, its culture or its acid.",
        options=LOWER_EDGE,
        passes=Example("The plain recipe."),
        fails=Example(
            "A Berliner Weisse with twenty millilitres of lactic acid in its mash.",
            together(
                style("Berliner Weisse", 23, "A"),
                more_additions(dose("Lactic acid 80 %", 20, "ml", step=1)),
            ),
        ),
    )
)
def soured(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Say that nothing is said where another beer would be warned of a low pH."""
    estimate, found = predicted(day), day.prediction
    if estimate is None or found is None or not day.soured_by:
        return
    verdict = weighed(day, outside(estimate, low=options["low"], margin=MARGIN_PH))
    if verdict is None:
        return
    yield report(
        f"The beer is soured ('{day.soured_by}'), which is not modelled: a mash predicted at pH "
        f"{found.ph:.2f} (most likely {found.low:.2f} to {found.high:.2f}) is not judged against "
        f"{options['low']:g}",
        mash_pointer(day),
        confidence=verdict.confidence,
        related=_acids_and_bases(day),
        value=round(found.ph, 2),
        low=round(found.low, 2),
        high=round(found.high, 2),
        limit=options["low"],
        soured_by=day.soured_by,
        unit="pH",
    )


@rule(
    Rule(
        id=NEAR_EDGE.rule,
        severity=Severity.NOTE,
        summary="The mash pH will lie just inside the window.",
        why="The next sack of malt or a change of the tap water takes it over the edge.",
        source="derived_default",
        remedy="Have a little acid (or baking soda) ready and measure a cooled sample early.",
        options=NEAR_EDGE.options,
        passes=Example("The plain recipe."),
        fails=Example(
            "Pale malt only, in water a little harder than the plain one.",
            together(water(calcium=42, bicarbonate=103), _PALE_MALT),
        ),
    )
)
def near_edge(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look at the best value; with unknown water it has no meaning."""
    found = day.prediction
    if found is None or not day.source.known:
        return
    low, high, within = options["low"], options["high"], options["within"]
    if not low <= found.ph <= high:
        return
    edge = low if found.ph - low <= high - found.ph else high
    if abs(found.ph - edge) > within:
        return
    yield report(
        f"The mash is predicted at pH {found.ph:.2f} (most likely {found.low:.2f} to "
        f"{found.high:.2f}), just inside the edge at {edge:g}",
        mash_pointer(day),
        confidence=Confidence.LIKELY,
        value=round(found.ph, 2),
        low=round(found.low, 2),
        high=round(found.high, 2),
        limit=edge,
        unit="pH",
    )


@rule(
    Rule(
        id="mash-ph/acid-overshoots",
        severity=Severity.WARNING,
        summary="The acid takes the mash below the window, where it would have been without.",
        why="Acid bought to correct a high pH now does harm; most often it is stronger or more "
        "than was meant.",
        source=WINDOW_SOURCE,
        remedy="Use less acid; check its strength on the bottle. `recipe-tools dose FILE` says "
        "how much.",
        options=LOWER_EDGE,
        passes=Example(
            "Two millilitres of lactic acid.",
            together(_PALE_MALT, more_additions(dose("Lactic acid 80 %", 2, "ml"))),
        ),
        fails=Example(
            "Twelve millilitres of lactic acid.",
            together(_PALE_MALT, additions(dose("Lactic acid 80 %", 12, "ml"))),
        ),
    )
)
def acid_overshoots(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare the predicted pH with and without the acid; the verdict is that of the former."""
    estimate, found = predicted(day), day.prediction
    if estimate is None or found is None:
        return
    pull = found.contributions_ph.get("acid", 0.0)
    verdict = weighed(day, outside(estimate, low=options["low"], margin=MARGIN_PH))
    if verdict is None or pull >= 0 or day.soured_by:
        return
    without = found.ph - pull
    if without < options["low"]:
        return
    acids = [i for i in day.doses if i.stage == "mash" and i.acid_meq.best > 0]
    if not acids:
        return
    main = max(acids, key=lambda item: item.acid_meq.best)
    certain = verdict.confidence is Confidence.CERTAIN
    yield report(
        f"With {main.addition.name} the mash {_stands(found, verdict)}; without acid it would be "
        f"near {without:.1f}",
        main.addition.origin.at("amount"),
        confidence=verdict.confidence,
        severity=Severity.ERROR if certain else Severity.WARNING,
        related=(Related(mash_pointer(day), "the mash it goes into"),),
        value=round(found.ph, 2),
        low=round(found.low, 2),
        high=round(found.high, 2),
        without_acid=round(without, 1),
        limit=options["low"],
        unit="pH",
    )
