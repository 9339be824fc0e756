"""What a BeerXML file means beyond its letters: as its check reads it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from recipe_tools.brewday import plan
from recipe_tools.config import Options
from recipe_tools.converting.source import Node
from recipe_tools.formats.numbers import written_number
from recipe_tools.recipe import Recipe
from recipe_tools.units import colour_ebc

_NO_COLOURS: Mapping[str, float] = MappingProxyType({})


class Meaning(NamedTuple):
    """What BeerJSON has to say in words, by symbolic path.

    colours: EBC of a fermentable. weighed: additions without AMOUNT_IS_WEIGHT whose amount is a
    mass. sparged: recipes whose sparge is what their mash water leaves of the boil size.
    """

    colours: Mapping[str, float] = _NO_COLOURS
    weighed: frozenset[str] = frozenset()
    sparged: frozenset[str] = frozenset()


def meaning(recipes: Iterable[Recipe]) -> Meaning:
    """Return how some recipes of BeerXML are read."""
    colours: dict[str, float] = {}
    weighed: set[str] = set()
    sparged: set[str] = set()
    for recipe in recipes:
        for item in recipe.fermentables:
            if item.colour_ebc is not None:
                colours[item.origin.path] = item.colour_ebc
        day = plan(recipe, Options())
        if day.sparge is not None:
            sparged.add(recipe.origin.path)
        for dose in day.doses:
            if dose.addition.is_weight is None and dose.grams is not None:
                weighed.add(dose.addition.origin.path)
    return Meaning(colours, frozenset(weighed), frozenset(sparged))


def in_its_scale(written: dict[str, Any], why: str, ebc: float) -> tuple[dict[str, Any], str]:
    """Return a colour in the scale it is read in, which its DISPLAY_COLOR may give away."""
    number = float(written["value"])
    for unit in dict.fromkeys((written["unit"], "Lovi", "SRM", "EBC")):
        if math.isclose(colour_ebc(number, unit), ebc, rel_tol=1e-6, abs_tol=1e-6):
            if unit == written["unit"]:
                break
            return {**written, "unit": unit}, "the scale that its DISPLAY_COLOR gives away"
    return written, why


def flagless(node: Node, written: dict[str, Any], why: str) -> tuple[dict[str, Any], str]:
    """Return an amount without flag in litres, as the standard has it, and say so."""
    if not node.text("AMOUNT_IS_WEIGHT") and written["unit"] == "l":
        return (
            written,
            "litres, as the standard has it without AMOUNT_IS_WEIGHT; see whether kg is meant",
        )
    return written, why


def pieces(node: Node) -> float | None:
    """Return the number of pieces, where the text for showing gives away that they are meant."""
    from recipe_tools.formats.beerxml_recipe import counts_pieces

    amount = written_number(node.text("AMOUNT"))
    if amount is None or not counts_pieces(node.text("DISPLAY_AMOUNT"), amount.value):
        return None
    return amount.value
