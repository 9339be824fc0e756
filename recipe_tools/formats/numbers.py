"""Numbers as they stand in text files: strict digits, a decimal comma, a unit behind the number.

``float()`` alone takes ``nan``, ``inf``, ``1_000`` and full-width digits; nothing here does.
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

NUMBER: Final = re.compile(
    r"[ \t\r\n]*[+-]?(?:[0-9]++(?:\.[0-9]*+)?|\.[0-9]++)(?:[eE][+-]?[0-9]++)?[ \t\r\n]*"
)
"""A plain number with a decimal point, perhaps an exponent and blanks around it (`fullmatch`)."""

INTEGER: Final = re.compile(r"[ \t\r\n]*[+-]?[0-9]++[ \t\r\n]*")

# Digits are never given back (``++``): a field of a hundred thousand digits and a letter would be
# tried at every split otherwise, which takes minutes.
_COMMA = re.compile(r"[+-]?[0-9]*+,[0-9]++")
_WITH_UNIT = re.compile(
    r"([+-]?(?:[0-9]++(?:[.,][0-9]*+)?|[.,][0-9]++)(?:[eE][+-]?[0-9]++)?)"
    r"\s*+([^\W\d_°%µμ][^0-9,;]*|[°%µμ][^0-9,;]*)"
)
_NOT_FINITE = re.compile(
    r"[+-]?(?:nan(?:\([^)]*\))?|inf(?:inity)?|∞|1\.#(?:inf|ind|qnan)0*)(?![a-z])[^\d]*", re.I
)


class Written(NamedTuple):
    """A number as written: its value, the unit word behind it (or empty), and a decimal comma."""

    value: float
    unit: str = ""
    comma: bool = False


def written_number(text: str) -> Written | None:
    """Return the number a text stands for, or None where it is not one number.

    Digits are ASCII digits; a single comma is a decimal comma; grouped digits are refused, as they
    cannot be told from a decimal comma. A value beyond the range of floats comes back infinite.
    """
    stripped = text.strip()
    if NUMBER.fullmatch(stripped):
        return Written(float(stripped))
    if _COMMA.fullmatch(stripped):
        return Written(float(stripped.replace(",", ".")), comma=True)
    match = _WITH_UNIT.fullmatch(stripped)
    if match is None:
        return None
    digits, unit = match.groups()
    return Written(float(digits.replace(",", ".")), unit.strip(), "," in digits)


def is_not_finite(text: str) -> bool:
    """Tell whether a text spells out infinity or "not a number", perhaps with a unit behind it."""
    return _NOT_FINITE.fullmatch(text.strip()) is not None
