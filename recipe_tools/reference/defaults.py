"""What is supposed where nobody says otherwise: the table ``brewday_defaults``."""

from __future__ import annotations

from functools import cache

from recipe_tools.reference.tables import table


@cache
def default_of(name: str) -> tuple[float, float, float]:
    """Return lowest, best and highest value of a default. Raises KeyError for an unknown name."""
    for row in table("brewday_defaults"):
        if row["name"] == name:
            return float(row["low"]), float(row["best"]), float(row["high"])
    raise KeyError(name)
