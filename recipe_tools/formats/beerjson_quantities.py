"""Quantities of BeerJSON as real files write them: listed units, plain words, text, bare numbers.

Whether a value breaks the standard is said elsewhere (`beerjson_schema`); here it is only read, and
everything whose meaning is not plain comes back as None.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from recipe_tools.formats.numbers import written_number
from recipe_tools.units import BEERJSON_FACTORS, BEERJSON_FORMULAS, convert, meant_unit

KINDS_OF_RECORD: Final[Mapping[str, tuple[str, ...]]] = {
    "mass_or_volume": ("mass", "volume"),
    "mass_volume_or_count": ("mass", "volume", "count"),
    **{kind: (kind,) for kind in (*BEERJSON_FACTORS, *BEERJSON_FORMULAS) if kind != "count"},
}
"""Kinds of quantity by the name of the schema definition; the first that knows the unit counts."""

BARE: Final[Mapping[str, str]] = {
    "acidity": "pH",
    "percent": "%",
    "gravity": "sg",
    "concentration": "mg/l",
    "bitterness": "IBUs",
}
"""Quantities whose bare number is plain: one unit only, or several that are the same in water."""


class Amount(NamedTuple):
    """An amount of an ingredient: as written, and converted in the one way its unit allows."""

    value: float
    unit: str
    mass_kg: float | None = None
    volume_l: float | None = None
    pieces: float | None = None


_LISTED: Final[Mapping[str, str]] = {
    unit: kind for kind in ("count", "volume", "mass") for unit in BEERJSON_FACTORS[kind]
}
"""Kind of quantity by the listed unit of an amount; no unit belongs to two."""

NO_AMOUNT: Final = Amount(0.0, "")


def number(value: Any) -> float | None:
    """Return a number, also one written as text (``"5.5"``, ``"5,5"``); a unit is passed over."""
    if type(value) is float or type(value) is int:
        return value
    if type(value) is str:
        written = written_number(value)
        if written is not None and written.value - written.value == 0.0:
            return written.value
    return None


def quantity(kind: str, value: Any) -> float | None:
    """Return a quantity in the unit of `units.convert`, or None where its meaning is not plain."""
    if type(value) is dict:
        size = value.get("value")
        unit = value.get("unit")
        if type(size) is not float and type(size) is not int:
            return _from_text(kind, size, unit)
        factors = BEERJSON_FACTORS.get(kind)
        if factors is not None and type(unit) is str:
            factor = factors.get(unit)
            if factor is not None:
                return size * factor
        return _converted(kind, size, unit)
    if value is None:
        return None
    return _from_text(kind, value, None)


def listed_unit(kind: str, unit: Any) -> str | None:
    """Return the listed unit that a unit word, or its absence, plainly stands for."""
    if unit is None or unit == "":
        return BARE.get(kind)
    return meant_unit(kind, unit) if type(unit) is str else None


def amount(value: Any) -> Amount | None:
    """Return the amount of an ingredient, or None where there is none to read.

    Without a plain unit it has neither mass nor volume nor count, only the number.
    """
    if type(value) is dict:
        size = value.get("value")
        unit = value.get("unit")
        if type(size) is not float and type(size) is not int:
            size = number(size)
        elif type(unit) is str and unit in _LISTED:
            return _amount(size, unit)
        if size is None:
            return None
        word = unit if type(unit) is str else ""
        behind = _text_unit(value["value"]) if type(value["value"]) is str else ""
        if behind and word and amount_unit(behind) != amount_unit(word):
            return None
        return _amount(size, word or behind)
    size = number(value)
    if size is None:
        return None
    return _amount(size, _text_unit(value) if type(value) is str else "")


def _amount(size: float, word: str) -> Amount:
    size = float(size)
    kind, unit = amount_unit(word)
    if kind == "mass":
        return Amount(size, word, mass_kg=size * BEERJSON_FACTORS["mass"][unit])
    if kind == "volume":
        return Amount(size, word, volume_l=size * BEERJSON_FACTORS["volume"][unit])
    if kind == "count":
        return Amount(size, word, pieces=size)
    return Amount(size, word)


def amount_unit(word: str) -> tuple[str, str]:
    """Return (kind, listed unit) of a unit word of an amount; both empty where it is not plain."""
    if word in _LISTED:
        return _LISTED[word], word
    for kind in ("mass", "volume", "count") if word else ():
        unit = meant_unit(kind, word)
        if unit is not None:
            return kind, unit
    return "", ""


def _text_unit(text: str) -> str:
    written = written_number(text)
    return written.unit if written is not None else ""


def _from_text(kind: str, value: Any, unit: Any) -> float | None:
    size = number(value)
    if size is None:
        return None
    behind = _text_unit(value) if type(value) is str else ""
    if not behind:
        return _converted(kind, size, unit)
    if unit and listed_unit(kind, behind) != listed_unit(kind, unit):
        return None
    return _converted(kind, size, behind)


def _converted(kind: str, size: float, unit: Any) -> float | None:
    word = listed_unit(kind, unit)
    return None if word is None else convert(kind, size, word)
