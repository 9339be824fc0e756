"""Numbers, units, words and dates of one standard as the other writes them."""

from __future__ import annotations

import math
import re
from datetime import date
from decimal import Decimal
from typing import Any, Final, NamedTuple

from recipe_tools import units
from recipe_tools.converting.ledger import UnfitError
from recipe_tools.converting.shapes import Shape
from recipe_tools.converting.source import Value
from recipe_tools.formats.fields import QUANTITIES, Field
from recipe_tools.formats.numbers import written_number

_NOT_IN_XML: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_DATE: Final = re.compile(r"(\d{1,2})\.? ([A-Za-z]{3})[a-z]*\.?,? (\d{4})")
_MONTHS: Final = ("jan", "feb", "mar", "apr", "may", "jun")
_MONTHS_LATER: Final = ("jul", "aug", "sep", "oct", "nov", "dec")
_BY_FORMULA: Final = frozenset({"gravity", "colour", "diastatic_power"})
TOO_LARGE: Final = "it is too large a number"
_LARGEST: Final = 1e300
"""What is larger may be infinite in another unit."""
_SAME: Final = 1e-9


class Written(NamedTuple):
    """A value as the other standard writes it. why: in which way it is not the same; else empty."""

    value: Any
    why: str = ""


def number_text(value: float) -> str:
    """Return a number without exponent and without the noise of binary fractions."""
    text = format(Decimal(f"{value:.15g}"), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def plain_number(raw: Any) -> tuple[float, str]:
    """Return the number of a value, and the unit a text has behind it."""
    if isinstance(raw, bool):
        raise UnfitError("it is no number")
    if isinstance(raw, (int, float)):
        if abs(raw) > _LARGEST:
            raise UnfitError(TOO_LARGE)
        return raw, ""
    written = written_number(str(raw))
    if written is None or not abs(written.value) <= _LARGEST:
        raise UnfitError("it is no number")
    return written.value, written.unit


def as_shown(value: Value) -> str:
    """Return a number with its unit as a text. Raises UnfitError."""
    return f"{number_text(plain_number(value.raw)[0])} {value.unit}".strip()


def _plain(value: float) -> float | int:
    return int(value) if value == int(value) and abs(value) < 1e15 else value


def partner(item: Field, word: str, *, to_json: bool) -> Written:
    """Return the word of the other standard that stands for one. Raises UnfitError."""
    plain = " ".join(word.split()).casefold()
    for tag_word, sign, path_word in item.pairs:
        known, other = (tag_word, path_word) if to_json else (path_word, tag_word)
        if known.casefold() == plain and sign in ("=", ">" if to_json else "<"):
            return Written(other, "" if sign == "=" else f"{other} stands for it, and for more")
    words = item.words_json if to_json else item.words
    for other in words:
        if other.casefold() == plain:
            return Written(other)
    raise UnfitError(f"no word of the list ({', '.join(words)}) stands for it")


def unit_of(item: Field, scale: str) -> str:
    """Return the unit of BeerJSON for a bare number of BeerXML.

    scale: what settles it where the field leaves two units open.
    """
    wanted = scale if "|" in item.unit else item.unit
    for quantity in dict.fromkeys((QUANTITIES.get(item.unit, ""), "mass", "volume", "colour")):
        unit = units.meant_unit(quantity, wanted) if quantity else None
        if unit is not None:
            return unit
    return ""


def as_json(item: Field, value: Value, shape: Shape, scale: str) -> Written:
    """Return a value of BeerXML as a member of BeerJSON wants it. Raises UnfitError.

    scale: see `unit_of`.
    """
    raw = value.raw
    if shape.kind == "enum":
        return partner(item, str(raw), to_json=True)
    if shape.kind == "boolean":
        if str(raw).strip().upper() not in ("TRUE", "FALSE"):
            raise UnfitError("it is neither TRUE nor FALSE")
        return Written(str(raw).strip().upper() == "TRUE")
    if shape.kind == "string":
        return _json_text(str(raw), shape)
    number, behind = plain_number(raw)
    if shape.units:
        return _json_quantity(item, number, behind, shape, scale)
    if shape.whole and number != int(number):
        raise UnfitError("a whole number is wanted")
    said = f"{behind} is not written there" if behind else ""
    return Written(_plain(number), said)


def _json_text(raw: str, shape: Shape) -> Written:
    if shape.takes(raw):
        return Written(raw)
    plain = raw.strip()
    if shape.takes(plain):
        return Written(plain, "without the blanks around it")
    match = _DATE.fullmatch(plain)
    months = (*_MONTHS, *_MONTHS_LATER)
    if match is not None and match[2].lower() in months:
        try:
            day = date(int(match[3]), months.index(match[2].lower()) + 1, int(match[1]))
        except ValueError:
            raise UnfitError("there is no such day") from None
        if shape.takes(day.isoformat()):
            return Written(day.isoformat(), "the date is written as year, month and day")
    dated = "\\d" in str(shape.schema.get("pattern"))
    raise UnfitError("a date as 2026-03-01 is wanted" if dated else "one capital letter is wanted")


def _json_quantity(item: Field, number: float, behind: str, shape: Shape, scale: str) -> Written:
    unit = unit_of(item, scale) if item.unit else ""
    if behind:
        found = (word for word in shape.units if behind == word)
        unit = next(found, None) or _meant(behind, shape) or ""
    if not unit:
        raise UnfitError(f"{behind} is no unit there" if behind else "no unit stands behind it")
    if unit not in shape.units:
        raise UnfitError(f"{unit} is no unit there")
    if shape.whole:
        return _whole(number, unit)
    return Written({"unit": unit, "value": _plain(number)})


def _meant(word: str, shape: Shape) -> str | None:
    for quantity, known in units.UNITS.items():
        unit = units.meant_unit(quantity, word)
        if unit is not None and unit in shape.units and unit in known:
            return unit
    return None


def _whole(number: float, unit: str) -> Written:
    """Return a time in whole numbers: in a smaller unit where it has to be."""
    factors = units.BEERJSON_FACTORS["time"]
    if not math.isfinite(number * factors[unit] / factors["sec"]):
        raise UnfitError(TOO_LARGE)
    smaller = [name for name in factors if factors[name] <= factors[unit]]
    for name in sorted(smaller, key=lambda name: -factors[name]):
        count = number * factors[unit] / factors[name]
        if abs(count - round(count)) <= _SAME * max(1.0, abs(count)):
            return Written({"unit": name, "value": round(count)})
    seconds = round(number * factors[unit] / factors["sec"])
    return Written({"unit": "sec", "value": seconds}, "rounded to whole seconds")


def as_xml(item: Field, value: Value, scale: str) -> Written:
    """Return a value of BeerJSON as the text of a tag of BeerXML. Raises UnfitError."""
    raw, unit = value.raw, value.unit
    if item.kind == "list":
        return partner(item, str(raw), to_json=False)
    if item.kind == "boolean":
        if isinstance(raw, str):
            return partner(item, raw, to_json=False)
        return Written("TRUE" if raw else "FALSE")
    if item.kind == "text":
        if isinstance(raw, (int, float)) and not isinstance(raw, bool):
            return Written(f"{number_text(raw)} {unit}".strip())
        return xml_text(str(raw))
    number, behind = plain_number(raw)
    if item.kind == "integer" and number != int(number):
        raise UnfitError("a whole number is wanted")
    unit = unit or behind
    if not unit or not item.unit:
        return Written(number_text(number))
    return _in_unit(item, number, unit, scale)


def _in_unit(item: Field, number: float, unit: str, scale: str) -> Written:
    wanted = unit_of(item, scale)
    quantity = next((name for name, known in units.UNITS.items() if wanted in known), "")
    if unit == wanted:
        return Written(number_text(number))
    if unit not in units.UNITS.get(quantity, {}):
        raise UnfitError(f"{unit} cannot be turned into {item.unit.replace('|', ' or ')}")
    result = units.convert(quantity, number, unit)
    if quantity == "colour":
        result = units.lovibond(result) if wanted == "Lovi" else result / units.EBC_PER_SRM
    elif wanted != "sg" and quantity != "temperature":
        result /= units.convert(quantity, 1.0, wanted)
    if not math.isfinite(result):
        raise UnfitError(TOO_LARGE)
    why = f"converted from {unit} by a formula" if quantity in _BY_FORMULA else ""
    return Written(number_text(result), why)


def percent_an_hour(value: Value, size: Value | None) -> Written:
    """Return litres boiled off in an hour in percent of the boil size. Raises UnfitError."""
    volumes = units.UNITS["volume"]
    if size is None or size.unit not in volumes or value.unit not in volumes:
        raise UnfitError("litres of a boil size that is not stated")
    boil = units.convert("volume", plain_number(size.raw)[0], size.unit)
    litres = units.convert("volume", plain_number(value.raw)[0], value.unit)
    share = 100.0 * litres / boil if boil else math.inf
    if not math.isfinite(share):
        raise UnfitError("percent of no boil size at all")
    return Written(number_text(round(share, 9)), "litres an hour, in percent of the boil size")


def xml_text(text: str) -> Written:
    """Return a text without the characters XML cannot hold."""
    clean = _NOT_IN_XML.sub("", text)
    return Written(clean, "without control characters, which XML forbids" if clean != text else "")
