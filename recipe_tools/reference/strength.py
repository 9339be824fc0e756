"""The strength of an acid or solution as names and notes state it: ``88 %``, ``5 N``."""

from __future__ import annotations

import re
from typing import NamedTuple

from recipe_tools.reference.wording import folded

_PERCENT = re.compile(
    r"(?<![\d.,])(\d{1,3}(?:[.,]\d{1,4})?)[ \t]{0,3}-?[ \t]{0,3}"
    r"(?:\(?(w/w|w/v|m/m|m/v|v/v|wt|vol)\.?\)?[ \t]{0,3})?"
    r"(?:%|pct\b|percent\b|per cent\b|prozent|proz\b|pour ?cent\b|por ?cien(?:to)?\b|por ?cento\b"
    r"|per ?cento\b|procent|prosent|proc\b|процент)"
    r"(?:[ \t,]{0,3}\(?(w/w|w/v|m/m|m/v|v/v|wt|vol)\b)?"
)
_NORMAL = re.compile(
    r"(?<![\w.,])(\d{1,3}(?:[.,]\d{1,4})?)[ \t]{0,2}-?[ \t]{0,2}"
    r"(N|M|mol/[lL]|normal|molar)(?![\w/])"
)
_BARE = re.compile(r"(?<![\w.,/-])(\d\d)(?![\w.,/%])")
_UNIT_FOLLOWS = re.compile(
    r"[ \t]{0,2}(?:g|gr|mg|kg|ml|cl|dl|l|oz|lbs?|tsp|tbsp|gal|gram\w*|litre\w*|liter\w*|drops?"
    r"|min\w*|c|f|ppm|ec|г|мл|л)\b"
)
_BARE_STRENGTHS = frozenset({10, 20, 30, 31, 33, 35, 37, 50, 60, 75, 80, 85, 88, 90, 96, 98})
_LONGEST = 400


class Strength(NamedTuple):
    """percent: as stated, also 0 or above 100. basis: ``w/w``, ``w/v`` ... where stated.

    molarity: mol/L. normality: equivalents per litre.
    """

    percent: float | None = None
    basis: str | None = None
    normality: float | None = None
    molarity: float | None = None


NO_STRENGTH = Strength()


def stated_strength(text: str) -> Strength:
    """Return the first strength with a percent sign or word, N or M in a text.

    A purity such as ``100 %`` beside another percentage is passed over.
    """
    plain = folded(text[:_LONGEST])
    if "%" in plain or "p" in plain or "п" in plain:
        found = _PERCENT.findall(plain)
        if found:
            return _chosen(found)
    normal = _NORMAL.search(text[:_LONGEST])
    if normal is None:
        return NO_STRENGTH
    amount = _decimal(normal[1])
    if normal[2] in ("N", "normal"):
        return Strength(normality=amount)
    return Strength(molarity=amount)


def percentages(text: str) -> tuple[float, ...]:
    """Return all percentages of a text."""
    return tuple(_decimal(found[0]) for found in _PERCENT.findall(folded(text[:_LONGEST])))


def bare_strength(text: str) -> float | None:
    """Return a number without a percent sign that is a usual strength of acids or solutions."""
    plain = folded(text[:_LONGEST])
    for found in _BARE.finditer(plain):
        amount = int(found[1])
        if amount in _BARE_STRENGTHS and not _UNIT_FOLLOWS.match(plain, found.end()):
            return float(amount)
    return None


def _chosen(found: list[tuple[str, str, str]]) -> Strength:
    first = next((item for item in found if 0 < _decimal(item[0]) < 100), found[0])
    return Strength(percent=_decimal(first[0]), basis=first[1] or first[2] or None)


def _decimal(text: str) -> float:
    return float(text.replace(",", "."))
