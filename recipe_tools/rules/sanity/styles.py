"""The style: whether it is known, and whether gravity, colour and bitterness lie in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Confidence, Example, Finding, Option, Rule, Severity
from recipe_tools.reference import family_words, table
from recipe_tools.rules import rule
from recipe_tools.rules.examples import style
from recipe_tools.rules.verdicts import report
from recipe_tools.units import EBC_PER_SRM

_PLAIN = Example("The plain recipe.")


class StyleRange(NamedTuple):
    """A range of the style with its quantity's name, field of the recipe, unit and shown digits."""

    name: str
    field: str
    unit: str
    digits: int
    low: float | None
    high: float | None


@rule(
    Rule(
        id="recipe/style-unknown",
        severity=Severity.NOTE,
        summary="The style is missing or in no table, so ions are not compared with a style.",
        why="Whether 20 or 300 mg/L of sulfate are right depends on the beer.",
        source="style codes and names of the BJCP Style Guidelines 2021",
        remedy="Give the recipe a style name or code of the BJCP guidelines, or declare a family "
        "in recipe-tools.toml.",
        passes=_PLAIN,
        fails=Example(
            "No style at all.",
            {
                "style": None,
                "original_gravity": None,
                "color_estimate": None,
                "ibu_estimate": None,
                "ingredients": {"hop_additions": []},
            },
        ),
        reference=("style_codes(code,name,family)",),
    )
)
def style_unknown(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """Say it where no family was found, or where it had to be guessed from the numbers."""
    del options
    if not day.recipe.is_beer:
        return
    style = day.recipe.style
    name = style.name.strip() if style is not None else ""
    what = f"The style '{name}' is in no table" if name else "The recipe names no style"
    if day.family is None:
        text = f"{what}, so the ions are not compared with a style"
    elif day.family.how == "numbers":
        text = (
            f"{what}; by gravity, colour and bitterness it is taken for the family "
            f"{family_words(day.family.family)}"
        )
    else:
        return
    pointer = style.origin.at("name") if style is not None else day.recipe.origin.at("name")
    yield report(text, pointer, value=name)


@rule(
    Rule(
        id="recipe/colour-or-gravity-outside-style",
        severity=Severity.NOTE,
        summary="Gravity, bitterness or colour lies outside the style.",
        why="Either the style is not the one that was meant - then the water is judged by a "
        "wrong one - or the beer goes its own way.",
        source="ranges of the style in the file, else of the BJCP Style Guidelines 2021; slack "
        "derived_default",
        remedy="Name the style the beer belongs to, or ignore this rule.",
        options={
            "slack_percent": Option(
                10, "% of the range's upper end", "how far outside still passes", "derived_default"
            )
        },
        passes=_PLAIN,
        fails=Example("A Doppelbock of 1.046.", style("Doppelbock", 9, "A")),
        reference=("style_codes(code,name,og_low,og_high,ibu_low,ibu_high,srm_low,srm_high)",),
    )
)
def outside_style(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
    """One finding for each quantity outside."""
    recipe = day.recipe
    style = recipe.style.name if recipe.style is not None else ""
    for item in style_ranges(day):
        value = getattr(recipe, item.field)
        if value is None or value <= 0:
            continue
        side = _side(value, item, options["slack_percent"] / 100.0)
        if not side:
            continue
        edge = (item.high if side == "above" else item.low) or 0.0
        yield report(
            f"The {item.name} of {value:.{item.digits}f}{item.unit} is {side} "
            f"{edge:.{item.digits}f}{item.unit}, the edge of the style {style}",
            recipe.origin.at(item.field),
            confidence=Confidence.LIKELY,
            quantity=item.name,
            value=round(value, 4),
            limit=round(edge, 4),
        )


def _side(value: float, item: StyleRange, slack: float) -> str:
    """Return ``above``, ``below`` or nothing. Gravity is compared in thousandths above 1."""
    low, high = item.low, item.high
    if item.field == "og":
        value = 1000.0 * (value - 1.0)
        low = None if low is None else 1000.0 * (low - 1.0)
        high = None if high is None else 1000.0 * (high - 1.0)
    if high is not None and value > high * (1.0 + slack):
        return "above"
    if low is not None and value < low * (1.0 - slack):
        return "below"
    return ""


def style_ranges(day: BrewDay) -> Iterator[StyleRange]:
    """Yield the ranges of gravity, bitterness and colour: those of the file, else of the style."""
    style = day.recipe.style
    if style is None:
        return
    row = _rows().get(day.family.code) if day.family is not None and day.family.code else None
    for name, field, unit, digits, stated in (
        ("original gravity", "og", "", 3, style.og),
        ("bitterness", "ibu", " IBU", 0, style.ibu),
        ("colour", "colour_ebc", " EBC", 0, style.colour_ebc),
    ):
        low, high = stated
        if (not low and not high) and row is not None:
            low, high = row[field]
        if high is not None and high <= 0:
            continue
        yield StyleRange(name, field, unit, digits, low, high)


@cache
def _rows() -> Mapping[str, Mapping[str, tuple[float | None, float | None]]]:
    """Return ranges of the BJCP styles by code, colour in EBC."""
    return {
        row["code"]: {
            "og": (_number(row["og_low"]), _number(row["og_high"])),
            "ibu": (_number(row["ibu_low"]), _number(row["ibu_high"])),
            "colour_ebc": (
                _number(row["srm_low"], EBC_PER_SRM),
                _number(row["srm_high"], EBC_PER_SRM),
            ),
        }
        for row in table("style_codes")
    }


def _number(text: str, factor: float = 1.0) -> float | None:
    return float(text) * factor if text else None
