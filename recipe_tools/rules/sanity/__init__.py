"""Rules of the topic ``recipe``: whether the numbers of a recipe can be true together."""

from recipe_tools.rules.sanity import malt_colours, numbers, styles, unlikely, us_units, volumes

__all__ = ["malt_colours", "numbers", "styles", "unlikely", "us_units", "volumes"]
