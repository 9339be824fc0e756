"""Rules on the source water: whether it is known, believable, fit to drink and free of chlorine."""

from recipe_tools.rules.water import (
    analysis,
    chlorine,
    crosschecks,
    drinking,
    incomplete,
    records,
    unknown,
)

__all__ = ["analysis", "chlorine", "crosschecks", "drinking", "incomplete", "records", "unknown"]
