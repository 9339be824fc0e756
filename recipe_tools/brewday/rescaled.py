"""The same recipe with its masses and volumes in other units: what a mixed-up unit would change."""

from __future__ import annotations

from typing import NamedTuple

from recipe_tools.brewday.records import BrewDay
from recipe_tools.brewday.wort import plan_wort


class Rescaled(NamedTuple):
    """Thickness in L/kg, gravity and colour in EBC; None for what cannot be computed."""

    water_to_grist_l_kg: float | None
    og: float | None
    colour_ebc: float | None


def rescaled(day: BrewDay, *, kilograms: float = 1.0, litres: float = 1.0) -> Rescaled:
    """Return what a recipe gives with all its fermentables and volumes multiplied by a factor."""
    recipe = day.recipe
    larger = recipe._replace(
        batch_l=None if recipe.batch_l is None else recipe.batch_l * litres,
        boil_l=None if recipe.boil_l is None else recipe.boil_l * litres,
        fermentables=tuple(
            item._replace(amount_kg=None if item.amount_kg is None else item.amount_kg * kilograms)
            for item in recipe.fermentables
        ),
    )
    wort = plan_wort(larger)
    thickness = day.water_to_grist_l_kg
    if thickness is not None:
        thickness *= litres / kilograms
    return Rescaled(thickness, wort.og, wort.colour_ebc)
