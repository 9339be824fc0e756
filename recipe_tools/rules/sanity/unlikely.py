"""Numbers that can be and hardly are: most often a slip of unit, digit or field.

No opinion on taste: the limits lie beyond what beers of all styles are brewed with.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.recipe import Culture, Hop
from recipe_tools.rules import rule
from recipe_tools.rules.examples import quantity
from recipe_tools.rules.verdicts import report

_OWN = "derived_default"
_FRESH, _EXTRACT = "leaf (wet)", "extract"
_HOPS_AND_ACID = "no hop cone holds more; pellets and cones of the strongest kinds have about 20 %"
_TOO_MANY_HOPS = "per litre of beer, in one addition; heavily dry-hopped beers take 15 to 25 in all"
_SLURRY = "per litre of beer; a thick slurry for a strong lager is about 20 to 30"
_CARBONATED = "bottles burst; the liveliest styles have 4 to 5, table of the BJCP guidelines 2021"


def _hop(amount: float, alpha: float) -> list[Mapping[str, Any]]:
    return [
        {
            "name": "Bittering hop",
            "alpha_acid": quantity(alpha, "%"),
            "amount": quantity(amount, "g"),
            "timing": {"use": "add_to_boil", "duration": quantity(60, "min")},
        }
    ]


@rule(
    Rule(
        id="recipe/unlikely-value",
        severity=Severity.NOTE,
        summary="A number can be, but hardly any beer is brewed with it: 30 kg of hops in 20 L.",
        why="Most often a unit, a digit or a field slipped: grams entered as kilograms, packages "
        "as litres. What cannot be at all is standard/impossible-value.",
        source="common practice, no source, beyond what beers of all styles are brewed with; "
        "limits derived_default",
        remedy="Look at the number and its unit; leave it where it is meant.",
        options={
            "alpha_acid": Option(25, "%", _HOPS_AND_ACID, _OWN),
            "hops": Option(30, "g/L", _TOO_MANY_HOPS, _OWN),
            "culture": Option(150, "g or mL per L", _SLURRY, _OWN),
            "carbonation": Option(6, "volumes of CO2", _CARBONATED, _OWN),
            "beyond_boil": Option(1, "min", "a hop may be timed beyond the boil", _OWN),
        },
        passes=Example("The plain recipe."),
        fails=Example(
            "A hop with 40 % of alpha acid.", {"ingredients": {"hop_additions": _hop(4, 40)}}
        ),
    )
)
def unlikely_value(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Judge hops, cultures and carbonation; amounts by the size of the batch."""
    recipe = day.recipe
    for hop in recipe.hops:
        yield from _of_hop(hop, day, options)
    for culture in recipe.cultures:
        yield from _of_culture(culture, day, options)
    volumes = recipe.carbonation_volumes
    if volumes is not None and volumes > options["carbonation"]:
        yield _unlikely(
            f"The carbonation is {volumes:g} volumes of CO2, above {options['carbonation']:g}",
            recipe.origin.at("carbonation_volumes"),
            value=volumes,
            limit=options["carbonation"],
            unit="volumes of CO2",
        )


def _of_hop(hop: Hop, day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    form, whole = hop.form, day.recipe.boil_min
    alpha = hop.alpha_percent
    if alpha is not None and alpha > options["alpha_acid"] and form != _EXTRACT:
        yield _unlikely(
            f"The alpha acid of '{hop.name}' is {alpha:g} %, above {options['alpha_acid']:g} %, "
            "and it is no extract",
            hop.origin.at("alpha_percent"),
            value=alpha,
            limit=options["alpha_acid"],
            unit="%",
        )
    litres = day.recipe.batch_l
    if hop.amount_kg is not None and litres and form != _FRESH:
        grams = 1000.0 * hop.amount_kg / litres
        if grams > options["hops"]:
            yield _unlikely(
                f"The hop '{hop.name}' comes to {grams:.0f} g per litre of beer "
                f"({hop.amount_kg:g} kg in all), above {options['hops']:g} g",
                hop.origin.at("amount_kg"),
                value=round(grams, 1),
                limit=options["hops"],
                unit="g/L",
            )
    late = hop.time_min is not None and whole and hop.time_min > whole + options["beyond_boil"]
    if late and hop.use == "boil":
        yield _unlikely(
            f"'{hop.name}' boils for {hop.time_min:g} min in a boil of {whole:g} min",
            hop.origin.at("time_min"),
            value=hop.time_min or 0.0,
            limit=whole or 0.0,
            unit="min",
        )


def _of_culture(culture: Culture, day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    litres = day.recipe.batch_l
    for size, unit, small in ((culture.amount_kg, "kg", "g"), (culture.amount_l, "L", "mL")):
        if size is None or not litres:
            continue
        share = 1000.0 * size / litres
        if share > options["culture"]:
            yield _unlikely(
                f"The culture '{culture.name}' comes to {share:.0f} {small} per litre of beer "
                f"({size:g} {unit} in all), above {options['culture']:g} {small}",
                culture.origin.at("amount_kg"),
                value=round(share, 1),
                limit=options["culture"],
                unit=f"{small}/L",
            )


def _unlikely(said: str, at: str, *, value: float, limit: float, unit: str) -> Finding:
    message = f"{said}: the number or its unit is probably a slip"
    return report(message, at, confidence=Confidence.LIKELY, value=value, limit=limit, unit=unit)
