"""How much of an addition: slips of the unit, missing amounts, doses no scale can show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.brewday import BrewDay, Dose
from recipe_tools.findings import (
    Confidence,
    Example,
    Finding,
    Option,
    ProposedEdit,
    Related,
    Rule,
    Severity,
)
from recipe_tools.recipe import Addition
from recipe_tools.rules import rule
from recipe_tools.rules.examples import dose, more_additions, xml_file, xml_misc
from recipe_tools.rules.liquors import STAGE_WORDS, amount_text, into_water
from recipe_tools.rules.verdicts import grams, report

_PLAIN = Example("The plain recipe.")


@rule(
    Rule(
        id="addition/unit-slip",
        severity=Severity.ERROR,
        summary="The amount is a thousand times too much: kilograms for grams or litres for "
        "millilitres.",
        why="Five kilograms of gypsum in a batch are a slip of the unit. Brewed as written the "
        "beer is lost; counted as a thousandth everything else of the recipe can still be judged.",
        source="2.4 g/L of gypsum dissolve (OECD 105 study), 5 mL/L of a 10 % acid take away the "
        "alkalinity of very hard water; the limits of 5 g/L and 20 mL/L are a derived_default",
        remedy="Divide the amount by 1000, or name the unit you meant.",
        passes=_PLAIN,
        fails=Example(
            "Five kilograms of gypsum.",
            more_additions(dose("Gypsum (calcium sulfate dihydrate)", 2, "kg", step=1)),
        ),
    )
)
def unit_slip(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Pass on what the brew day noticed, with the corrected number as an edit."""
    del options
    for item in day.doses:
        if "unit-slip" not in item.doubts:
            continue
        addition = item.addition
        pointer = addition.origin.at("amount")
        written = grams(1000.0 * item.grams.best) if item.grams is not None else _litres(item)
        yield report(
            f"{written} of '{addition.name}' in {STAGE_WORDS[item.stage]} is a thousand times too "
            f"much; counted as {amount_text(item)}",
            pointer,
            related=into_water(day, item),
            edits=_thousandth(addition, amount_text(item)),
            value=addition.name,
            amount=addition.amount,
            unit=addition.unit,
        )


def _litres(item: Dose) -> str:
    best = item.millilitres.best if item.millilitres is not None else 0.0
    return f"{best:.2f} L"


def _thousandth(addition: Addition, meant: str) -> tuple[ProposedEdit, ...]:
    amount, origin = addition.amount, addition.origin
    if amount is None or amount <= 0 or "amount" not in origin.members:
        return ()
    pointer = origin.at("amount")
    if origin.members.get("unit") == f"{origin.members.get('amount')}/unit":
        pointer += "/value"  # BeerJSON: the amount is an object of value and unit
    text = f"{amount / 1000.0:.9f}".rstrip("0").rstrip(".")
    return (ProposedEdit(f"a thousandth of the amount: {meant}", pointer, text),)


@rule(
    Rule(
        id="addition/amount-missing",
        severity=Severity.WARNING,
        summary="A water agent has no amount, or the amount 0.",
        why="It is meant to be added, but is counted as nothing.",
        source="common practice, no source",
        remedy="Give the amount, or take the addition out of the recipe.",
        passes=_PLAIN,
        fails=Example(
            "Epsom salt without an amount.",
            more_additions({k: v for k, v in dose("Epsom salt", 1).items() if k != "amount"}),
        ),
    )
)
def amount_missing(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look for recognised agents without amount or with none of it."""
    del options
    for item in day.doses:
        if item.agent is None:
            continue
        zero = item.addition.amount == 0
        if zero or "amount-missing" in item.doubts:
            what = "has the amount 0" if zero else "has no amount"
            yield report(
                f"'{item.addition.name}' {what} and is not counted",
                item.addition.origin.at("amount") if zero else item.pointer,
                value=item.addition.name,
            )


@rule(
    Rule(
        id="addition/pieces-as-litres",
        severity=Severity.NOTE,
        summary="A number of pieces stands where the standard has litres or kilograms.",
        why="BeerXML has no word for pieces. One tablet written as AMOUNT 1 reads as one litre.",
        source="BeerXML 1.0 (AMOUNT)",
        remedy="Give the mass: a tablet against chlorine weighs about 0.44 g; other sizes are on "
        "sale.",
        passes=Example(
            "The mass of the tablet is given.",
            raw=xml_file(xml_misc("Campden tablet (sodium metabisulfite)", "0.00044", "TRUE")),
        ),
        fails=Example(
            "One tablet as AMOUNT 1.",
            raw=xml_file(xml_misc("Campden tablet (sodium metabisulfite)", "1", "FALSE")),
        ),
    )
)
def pieces_as_litres(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look for agents counted by pieces; a warning where that leaves them uncounted."""
    del options
    for item in day.doses:
        if "pieces" not in item.doubts:
            continue
        addition = item.addition
        taken = amount_text(item)
        meaning = f"counted as {taken} in all" if taken else "and is not counted"
        yield report(
            f"The amount of '{addition.name}' is a number of pieces, {meaning}",
            addition.origin.at("amount"),
            confidence=Confidence.LIKELY,
            severity=Severity.NOTE if taken else Severity.WARNING,
            value=addition.name,
            amount=addition.amount,
        )


@rule(
    Rule(
        id="addition/below-scale-resolution",
        severity=Severity.NOTE,
        summary="The dose is smaller than a brewer's scale can show.",
        why="A scale that steps by 0.1 g gives anything from nothing to twice such a dose.",
        source="0.1 g is the step of usual kitchen and pocket scales (common practice, no source)",
        remedy="Dissolve a gram in a litre of water and dose millilitres, or use a finer scale.",
        options={"scale_g": Option(0.1, "g", "step of the scale", "common practice, no source")},
        passes=_PLAIN,
        fails=Example(
            "Thirty milligrams of Epsom salt.", more_additions(dose("Epsom salt", 0.03, step=1))
        ),
    )
)
def below_scale_resolution(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Look for solids below one step."""
    step = options["scale_g"]
    for item in day.doses:
        if item.grams is None or item.form == "tablet" or not 0 < item.grams.best < step:
            continue
        yield report(
            f"{amount_text(item)} of '{item.addition.name}' is less than a scale with steps of "
            f"{step:g} g can show",
            item.addition.origin.at("amount"),
            value=round(item.grams.best, 4),
            limit=step,
            unit="g",
        )


@rule(
    Rule(
        id="addition/duplicate",
        severity=Severity.NOTE,
        summary="The same agent is listed twice with the same amount at the same moment.",
        why="Two doses for mash and sparge are usual; two equal ones for the same water are most "
        "often one, entered twice.",
        source="common practice, no source",
        remedy="Delete one of them, or give the sum in one entry.",
        passes=Example(
            "One dose for the mash and an equal one for the sparge.",
            more_additions(dose("Gypsum (calcium sulfate dihydrate)", 2, step=2)),
        ),
        fails=Example(
            "Twice the same dose for the mash.",
            more_additions(dose("Gypsum (calcium sulfate dihydrate)", 2, step=1)),
        ),
    )
)
def duplicate(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Compare agent, stage, step, time and amount."""
    del options
    seen: dict[tuple[object, ...], Dose] = {}
    for item in day.doses:
        addition = item.addition
        if item.agent is None or addition.amount is None:
            continue
        key = (
            item.agent.id,
            item.stage,
            addition.step,
            addition.time_min,
            addition.mass_g,
            addition.volume_ml,
            addition.amount,
        )
        first = seen.setdefault(key, item)
        if first is item:
            continue
        yield report(
            f"{amount_text(item)} of '{addition.name}' is listed twice for "
            f"{STAGE_WORDS[item.stage]}",
            item.pointer,
            confidence=Confidence.LIKELY,
            related=(Related(first.pointer, "first entry"),),
            value=addition.name,
        )
