"""The same brew day with other colours of its malts: what a wrong scale would change."""

from __future__ import annotations

from collections.abc import Sequence

from recipe_tools.brewday.grist import malt_shares, plan_grist
from recipe_tools.brewday.records import BrewDay
from recipe_tools.brewday.wort import plan_wort
from recipe_tools.chemistry.mash_ph import predict
from recipe_tools.config import Options

_NO_LOTS = Options()


def recoloured(
    day: BrewDay, colours_ebc: Sequence[float | None]
) -> tuple[float | None, float | None]:
    """Return the colour of the beer in EBC and the mash pH with other colours of the fermentables.

    colours_ebc: one for each fermentable of the recipe, in its order. A lot whose pH is known keeps
    it. None for what cannot be computed.
    """
    recipe = day.recipe._replace(
        fermentables=tuple(
            item._replace(colour_ebc=colour)
            for item, colour in zip(day.recipe.fermentables, colours_ebc, strict=True)
        )
    )
    colour = plan_wort(recipe).colour_ebc
    grist = plan_grist(recipe, _NO_LOTS)
    if day.mash_input is None or len(grist) != len(day.grist):
        return colour, None
    shares = zip(day.mash_input.malts, malt_shares(grist, _NO_LOTS), strict=True)
    malts = tuple(old if old.group.startswith("lot:") else new for old, new in shares)
    return colour, predict(day.mash_input._replace(malts=malts)).ph
