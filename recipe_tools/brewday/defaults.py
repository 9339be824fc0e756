"""What the brew day supposes where nobody says otherwise: the table ``brewday_defaults``."""

from __future__ import annotations

from functools import cache

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.reference import default_of


@cache
def default(name: str) -> Estimate:
    """Return the default of that name. Raises KeyError where the table has no such row."""
    return Estimate(*default_of(name))
