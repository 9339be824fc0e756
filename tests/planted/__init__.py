"""Faults planted into clean recipes: which of them are found, and what else is said.

`python -m tests.planted [RECIPES] [SEED]` checks a generated archive (500 recipes) and prints what
was found of each fault, and what was said of clean recipes.
"""
