"""Stated colour, gravity, bitterness and alcohol against what the ingredients give.

The tolerances are wide: the formulas in use differ from each other by as much.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.wort import alcohol_percent
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.rules import rule
from recipe_tools.rules.examples import quantity
from recipe_tools.rules.verdicts import report
from recipe_tools.units import EBC_PER_SRM

_PLAIN = Example("The plain recipe.")
_OWN = "derived_default"


def _tolerances(percent: float, at_least: float, unit: str) -> dict[str, Option]:
    return {
        "percent": Option(percent, "%", "difference that passes, of the computed value", _OWN),
        "at_least": Option(at_least, unit, "difference that always passes", _OWN),
    }


def _differs(stated: float, computed: float, options: Mapping[str, Any]) -> bool:
    percent: float = options["percent"]
    at_least: float = options["at_least"]
    return abs(stated - computed) > max(percent / 100.0 * abs(computed), at_least)


@rule(
    Rule(
        id="recipe/colour-against-malts",
        severity=Severity.NOTE,
        summary="The stated colour does not follow from the malts.",
        why="A malt may be missing or have a wrong colour, or SRM and EBC (1.97 times as much) "
        "were mixed up. Malt colours also decide the predicted mash pH.",
        source="Morey's equation, SRM = 1.4922 MCU^0.6859, from memory; other formulas differ by "
        "a third",
        remedy="Check the colours of the malts and the unit of the stated colour.",
        options=_tolerances(45, 5, "EBC"),
        passes=_PLAIN,
        fails=Example(
            "Thirty EBC stated for a blonde ale.", {"color_estimate": quantity(30, "EBC")}
        ),
    )
)
def colour_against_malts(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare in EBC; say so where the factor between the scales explains the difference."""
    stated, computed = day.recipe.colour_ebc, day.colour_ebc
    if stated is None or computed is None or stated <= 0 or computed <= 0:
        return
    if not _differs(stated, computed, options):
        return
    ratio = stated / computed
    hint = ""
    if abs(ratio / EBC_PER_SRM - 1.0) < 0.15 or abs(ratio * EBC_PER_SRM - 1.0) < 0.15:
        hint = "; SRM and EBC may have been mixed up"
    yield report(
        f"The recipe states {stated:.0f} EBC, but its malts give about {computed:.0f} EBC{hint}",
        day.recipe.origin.at("colour_ebc"),
        confidence=Confidence.LIKELY,
        quantity="colour",
        value=round(stated, 1),
        computed=round(computed, 1),
        unit="EBC",
    )


@rule(
    Rule(
        id="recipe/gravity-against-grist",
        severity=Severity.NOTE,
        summary="The stated original gravity does not follow from grist, efficiency and volume.",
        why="One of the three is wrong, and the mash pH and every dose depend on the grist.",
        source="extract potential of the fermentables times efficiency over volume; tolerance "
        + _OWN,
        remedy="Check the amounts of malt, the efficiency and the batch size.",
        options=_tolerances(18, 6, "points (thousandths)"),
        passes=_PLAIN,
        fails=Example("An original gravity of 1.080.", {"original_gravity": quantity(1.080, "sg")}),
    )
)
def gravity_against_grist(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare in points (thousandths above 1)."""
    stated, computed = day.recipe.og, day.og
    if stated is None or computed is None or stated <= 1.0 or computed <= 1.0:
        return
    if not _differs(1000 * (stated - 1.0), 1000 * (computed - 1.0), options):
        return
    yield report(
        f"The recipe states an original gravity of {stated:.3f}, but its ingredients give about "
        f"{computed:.3f}",
        day.recipe.origin.at("og"),
        confidence=Confidence.LIKELY,
        quantity="original gravity",
        value=round(stated, 4),
        computed=round(computed, 4),
        unit="sg",
    )


@rule(
    Rule(
        id="recipe/bitterness-against-hops",
        severity=Severity.NOTE,
        summary="The stated bitterness does not follow from the hops.",
        why="A hop, its alpha acid or its boiling time is probably wrong. Bitterness also "
        "decides which style family an unnamed style is taken for.",
        source="Tinseth's equation, from memory; other formulas differ by a third; hops that "
        "steep: rates of isomerisation of Malowicki and Shellhammer 2005, from memory",
        remedy="Check amount, alpha acid and time of each hop.",
        options=_tolerances(50, 8, "IBU"),
        passes=_PLAIN,
        fails=Example(
            "Sixty IBU stated for a blonde ale.",
            {"ibu_estimate": {"method": "Tinseth", "value": quantity(60, "IBUs")}},
        ),
    )
)
def bitterness_against_hops(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare in IBU, with the nearer end of what hops that steep or are mashed leave open."""
    stated, given = day.recipe.ibu, day.ibu
    if stated is None or given is None or stated <= 0 or not day.recipe.hops:
        return
    computed = min(max(stated, given.low), given.high)
    if not _differs(stated, computed, options):
        return
    span = f"{given.best:.0f} IBU"
    if f"{given.low:.0f}" != f"{given.high:.0f}":
        span = f"{given.low:.0f} to {given.high:.0f} IBU, by how hot they steep and how long"
    yield report(
        f"The recipe states {stated:.0f} IBU, but its hops give about {span}",
        day.recipe.origin.at("ibu"),
        confidence=Confidence.LIKELY,
        quantity="bitterness",
        value=round(stated, 1),
        computed=round(given.best, 1),
        low=round(given.low, 1),
        high=round(given.high, 1),
        unit="IBU",
    )


@rule(
    Rule(
        id="recipe/abv-against-gravities",
        severity=Severity.NOTE,
        summary="The stated alcohol does not follow from the two gravities.",
        why="One of three numbers is wrong; often alcohol by weight was meant, or a default was "
        "left.",
        source="Balling's balance in the form of Hall 1995, from memory; tolerance " + _OWN,
        remedy="Correct the gravities or the alcohol.",
        options=_tolerances(15, 0.5, "% by volume"),
        passes=_PLAIN,
        fails=Example(
            "Seven percent from 1.046 to 1.010.", {"alcohol_by_volume": quantity(7.0, "%")}
        ),
    )
)
def abv_against_gravities(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare in percent by volume; a final gravity above the original one is told as such."""
    recipe = day.recipe
    stated, og, fg = recipe.abv_percent, recipe.og, recipe.fg
    if og is None or fg is None or og <= 1.0 or not fg >= 0.98:
        return
    if fg > og:
        yield report(
            f"The final gravity {fg:.3f} lies above the original gravity {og:.3f}",
            recipe.origin.at("fg"),
            value=round(fg, 4),
            computed=round(og, 4),
            unit="sg",
        )
        return
    computed = alcohol_percent(og, fg)
    if stated is None or stated <= 0 or not _differs(stated, computed, options):
        return
    yield report(
        f"The recipe states {stated:.1f} % alcohol, but its gravities give {computed:.1f} %",
        recipe.origin.at("abv_percent"),
        confidence=Confidence.LIKELY,
        value=round(stated, 2),
        computed=round(computed, 2),
        unit="% by volume",
    )
