"""From the brew day to what to weigh: salts, acid or base, pure water; or why no plan exists."""

from __future__ import annotations

from recipe_tools.config import Options
from recipe_tools.dosing.records import (
    Dilution,
    Proposal,
    ProposedDose,
    Request,
    Stock,
    Unmet,
)
from recipe_tools.recipe import Recipe


def propose(recipe: Recipe, options: Options, request: Request | None = None) -> Proposal:
    """Return a dosing plan for a recipe, or the reason why none exists (see `proposing`).

    Loaded when it is asked for: a check asks for a single dose at most.
    """
    from recipe_tools.dosing.proposing import propose as proposed

    return proposed(recipe, options, request)


__all__ = ["Dilution", "Proposal", "ProposedDose", "Request", "Stock", "Unmet", "propose"]
