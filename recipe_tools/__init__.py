"""Checks the water, salts, acids and mash pH of beer recipes before brew day."""

__version__ = "0.1.0"
