"""Rules on the mash pH: the window, what the recipe itself states, and souring by lactate."""

from recipe_tools.rules.mash_ph import lactate, stated, window

__all__ = ["lactate", "stated", "window"]
