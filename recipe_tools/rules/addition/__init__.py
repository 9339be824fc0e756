"""Rules on single additions: what they are, how much of them, where they go, sulfite."""

from recipe_tools.rules.addition import amounts, doubts, names, notes, places, solubility, sulfite

__all__ = ["amounts", "doubts", "names", "notes", "places", "solubility", "sulfite"]
