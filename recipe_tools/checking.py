"""One file in, its recipes, brew days and findings out."""

from __future__ import annotations

import functools
from collections.abc import Mapping

from recipe_tools.findings import Rule
from recipe_tools.own_rules import OWN_RULES
from recipe_tools.results import CheckedFile, CheckedRecipe, Run, Unlisted

__all__ = ["CheckedFile", "CheckedRecipe", "Run", "Unlisted", "catalogue"]


@functools.cache
def catalogue() -> Mapping[str, Rule]:
    """Return the declaration of every finding there is, by id, in the order of the ids."""
    from recipe_tools.formats.deviations import DEVIATIONS
    from recipe_tools.rules import recipe_rules

    declared = {**DEVIATIONS, **OWN_RULES}
    declared.update((name, item.declaration) for name, item in recipe_rules().items())
    return dict(sorted(declared.items()))
