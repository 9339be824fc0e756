"""The same recipe with its masses and volumes in other units: what a mixed-up unit would change."""

from __future__ import annotations

from typing import NamedTuple

from recipe_tools.brewday.records import BrewDay
from recipe_tools.brewday.wort import without_hops


class Rescaled(NamedTuple):
    """Thickness in L/kg, gravity and colour in EBC; None for what cannot be computed."""

    water_to_grist_l_kg: float | None
    og: float | None
    colour_ebc: float | None


def rescaled(day: BrewDay, *, kilograms: float = 1.0, litres: float = 1.0) -> Rescaled:
    """Return what a recipe gives with all its fermentables and volumes multiplied by a factor."""
    wort = without_hops(day.recipe, kilograms=kilograms, litres=litres)
    thickness = day.water_to_grist_l_kg
    if thickness is not None:
        thickness *= litres / kilograms
    return Rescaled(thickness, wort.og, wort.colour_ebc)
