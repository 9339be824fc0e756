"""Patterns of XML markup that the repair and the search for positions share."""

from __future__ import annotations

from typing import Final

NAME: Final = r"[A-Za-z_:\u0080-\U0010ffff][^\s/><=\"'&]*"
ATTRIBUTES: Final = r"(?:[^\"'<>]++|\"[^\"<]*\"|'[^'<]*')*+"

WRAPPER: Final = "_document"
"""Element around everything in a repaired copy, so that it may hold several roots."""
