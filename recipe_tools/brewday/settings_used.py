"""Which entries of the configuration a recipe made use of."""

from __future__ import annotations

from collections.abc import Iterator

from recipe_tools.brewday.grist import lot_of
from recipe_tools.brewday.records import BrewDay
from recipe_tools.brewday.targets import style_names
from recipe_tools.config import Options


def settings_used(day: BrewDay, options: Options) -> Iterator[str]:
    """Yield the keys of the malts and styles that fit the recipe: ``malt[0]``, ``style.stout``."""
    if options.malts:
        for item in day.recipe.fermentables:
            lot = lot_of(item, options)
            if lot is not None:
                yield f"malt[{options.malts.index(lot)}]"
    if options.styles:
        for name in style_names(day.family, day.recipe.style):
            if name in options.styles:
                yield f"style.{name}"
