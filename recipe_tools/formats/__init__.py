"""Readers of the recipe standards: bytes in, recipes and findings out, and edits of the bytes."""
