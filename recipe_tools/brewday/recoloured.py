"""The same brew day with other colours of its malts: what a wrong scale would change.

colours_ebc: one for each fermentable of the recipe, in its order. What cannot be computed is None.
"""

from __future__ import annotations

from collections.abc import Sequence

from recipe_tools.brewday.grist import malt_shares, plan_grist
from recipe_tools.brewday.records import BrewDay
from recipe_tools.brewday.wort import wort_without_hops
from recipe_tools.chemistry.mash_ph import predict
from recipe_tools.config import Options
from recipe_tools.recipe import Recipe

_NO_LOTS = Options()


def colour_with(day: BrewDay, colours_ebc: Sequence[float | None]) -> float | None:
    """Return the colour of the beer in EBC with other colours of the fermentables."""
    return wort_without_hops(_recoloured(day, colours_ebc)).colour_ebc


def mash_ph_with(day: BrewDay, colours_ebc: Sequence[float | None]) -> float | None:
    """Return the mash pH with other colours of the fermentables. A lot of known pH keeps it."""
    grist = plan_grist(_recoloured(day, colours_ebc), _NO_LOTS)
    if day.mash_input is None or len(grist) != len(day.grist):
        return None
    shares = zip(day.mash_input.malts, malt_shares(grist, _NO_LOTS), strict=True)
    malts = tuple(old if old.group.startswith("lot:") else new for old, new in shares)
    return predict(day.mash_input._replace(malts=malts)).ph


def _recoloured(day: BrewDay, colours_ebc: Sequence[float | None]) -> Recipe:
    return day.recipe._replace(
        fermentables=tuple(
            item._replace(colour_ebc=colour)
            for item, colour in zip(day.recipe.fermentables, colours_ebc, strict=True)
        )
    )
