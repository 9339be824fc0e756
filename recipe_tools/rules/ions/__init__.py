"""Rules on the ions of the brewing water: limits of taste and yeast, ranges of the style."""

from recipe_tools.rules.ions import families, limits, minerals

__all__ = ["families", "limits", "minerals"]
