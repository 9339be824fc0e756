"""Patterns of XML markup that the repair and the search for positions share."""

from __future__ import annotations

from typing import Final

# A letter, colon, underscore or anything beyond ASCII, put as what it is not: a range up to the
# last code point takes milliseconds to compile.
NAME: Final = r"[^\x00-9;-@\[-^`{-\x7f][^\s/><=\"'&]*"
ATTRIBUTES: Final = r"(?:[^\"'<>]++|\"[^\"<]*\"|'[^'<]*')*+"

WRAPPER: Final = "_document"
"""Element around everything in a repaired copy, so that it may hold several roots."""
