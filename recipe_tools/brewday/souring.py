"""Beers that are soured on purpose: by style, by what ferments them or by a step of the mash."""

from __future__ import annotations

from recipe_tools.recipe import Recipe
from recipe_tools.reference import FamilyMatch, says

_SOURING_KINDS = frozenset({"bacteria", "lacto", "pedio", "mixed-culture", "spontaneous"})


def soured_by(recipe: Recipe, family: FamilyMatch | None) -> str:
    """Return the name of what says that a beer is soured; empty where nothing does.

    Souring is not modelled: neither the pH it reaches nor whether mash, kettle or fermenter is
    soured. A family guessed from numbers alone says nothing.
    """
    if family is not None and family.family == "sour" and family.how != "numbers":
        style = recipe.style
        return style.name if style is not None and style.name else family.style_name
    for culture in recipe.cultures:
        if culture.kind.casefold() in _SOURING_KINDS or says(culture.name, "souring"):
            return culture.name or culture.kind
    for addition in recipe.additions:
        if says(addition.name, "living") and says(addition.name, "souring"):
            return addition.name
    for step in recipe.mash.steps if recipe.mash is not None else ():
        if step.kind.startswith("sour"):
            return step.name or step.kind
    return ""
