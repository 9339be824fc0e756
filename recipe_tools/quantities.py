"""Quantities a person typed: ``7 gal``, ``0.25 oz``, ``12 °dH``, ``55,2 mg/l``.

One pint registry with the units of the trade reads them. It is loaded only when a unit turns up
that the short tables here do not hold, because loading it takes longer than a whole check.
The text may come from a stranger: only unit names, products and small powers ever reach pint.

Messages of `QuantityError` say what would be right and never repeat the text.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pint import UnitRegistry

MAX_LENGTH = 80
_NUMBER = r"[+-]?(?:[0-9]{1,15}(?:[.,][0-9]{1,20})?|[.,][0-9]{1,20})(?:[eE][+-]?[0-9]{1,2})?"
_WHOLE_NUMBER = re.compile(_NUMBER)
_LEADING = re.compile(rf"({_NUMBER})\s*(.*)")
_SPAN = re.compile(rf"({_NUMBER})\s*(?:-|to\b)\s*({_NUMBER})\s*(.*)")
_BELOW = re.compile(r"<\s*=?\s*(.*)")
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
_UNIT = re.compile(
    r"[A-Za-zµ_%]+(?:\^-?[123])?(?:(?:\s*[/*·]\s*|\s+)[A-Za-zµ_%]+(?:\^-?[123])?){0,5}"
)
_PRODUCT = re.compile(r"\s*·\s*|(?<=[A-Za-zµ])\.(?=[A-Za-zµ])")
_POWER = re.compile(r"(?<=[A-Za-zµ])\^?(-?[123])(?![0-9])")
"""``mg.l-1`` and ``mg·dm-3`` as laboratories of the continent print them."""
_LOOKALIKES = str.maketrans(
    {
        "μ": "µ",
        "º": "°",
        "˚": "°",
        "−": "-",
        "–": "-",
        "—": "-",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "⁻": "-",
        "¹": "1",
        "²": "2",
        "³": "3",
        "⋅": "·",
        "∙": "·",
    }
)


class QuantityError(ValueError):
    """A text that is not the quantity wanted; the message says what is, without repeating it."""


@dataclass(frozen=True, slots=True)
class Measure:
    """A kind of quantity.

    name: in words. unit: unit of the result, in which bare numbers are taken. expression: the same
    for pint. example: what to write. quick: factor to that unit for units read without pint.
    """

    name: str
    unit: str
    expression: str
    example: str
    quick: Mapping[str, float]


def _quick(**factors: float) -> Mapping[str, float]:
    return MappingProxyType(factors)


VOLUME = Measure(
    "volume", "L", "liter", "30 L or 7 gal", _quick(l=1.0, ml=0.001, litre=1.0, litres=1.0)
)
MASS = Measure("mass", "g", "gram", "12 g or 0.25 oz", _quick(g=1.0, kg=1000.0))
TEMPERATURE = Measure(
    "temperature", "°C", "degC", "12 °C or 54 °F", MappingProxyType({"°c": 1.0, "c": 1.0})
)
VOLUME_PER_MASS = Measure(
    "volume per mass", "L/kg", "liter/kilogram", "1.0 L/kg", MappingProxyType({"l/kg": 1.0})
)
CONDUCTIVITY = Measure(
    "electrical conductivity",
    "µS/cm",
    "microsiemens/centimeter",
    "480 µS/cm",
    # Case folding turns the micro sign into the Greek letter.
    MappingProxyType({"µs/cm".casefold(): 1.0, "us/cm": 1.0}),
)
PERCENT = Measure(
    "share in percent", "%", "percent", "80 %", MappingProxyType({"%": 1.0, "percent": 1.0})
)
COLOUR = Measure("colour", "EBC", "EBC", "8 EBC or 4 SRM", _quick(ebc=1.0))
DURATION = Measure("time", "min", "minute", "60 min", _quick(min=1.0))
MASS_CONCENTRATION = Measure(
    "concentration",
    "mg/L",
    "milligram/liter",
    "84 mg/L",
    MappingProxyType({"mg/l": 1.0, "ppm": 1.0, "mg/kg": 1.0, "mg/dm3": 1.0, "g/m3": 1.0}),
)
EQUIVALENTS = Measure(
    "concentration of charge",
    "mEq/L",
    "milliequivalent/liter",
    "1.8 mEq/L or 4.7 °dH",
    MappingProxyType({"meq/l": 1.0}),
)
SUBSTANCE = Measure(
    "amount concentration", "mmol/L", "millimole/liter", "1.8 mmol/L", MappingProxyType({})
)

_ALIASES: Mapping[str, str] = MappingProxyType(
    {
        "°C": "degC",
        "C": "degC",
        "°F": "degF",
        "F": "degF",
        "°dH": "german_hardness",
        "dH": "german_hardness",
        "°d": "german_hardness",
        "°GH": "german_hardness",
        "°KH": "german_hardness",
        "°fH": "french_hardness",
        "fH": "french_hardness",
        "°f": "french_hardness",
        "°TH": "french_hardness",
        "°e": "english_hardness",
        "°eH": "english_hardness",
        "°Clark": "english_hardness",
        "Clark": "english_hardness",
        "gpg": "grain_hardness",
        "°n": "german_hardness",
        "°dKH": "german_hardness",
        "°dGH": "german_hardness",
        "dKH": "german_hardness",
        "dGH": "german_hardness",
        "°fr": "french_hardness",
        "°HF": "french_hardness",
        "gr/gal": "grain/gallon",
        "gr/US gal": "grain/gallon",
        "gr/imp gal": "grain/imperial_gallon",
        "ppm": "milligram/liter",
        "ppb": "microgram/liter",
        "mg/kg": "milligram/liter",
        "MG/L": "milligram/liter",
        "°L": "lovibond",
        "°Lovibond": "lovibond",
        "degrees Lovibond": "lovibond",
        "degree Lovibond": "lovibond",
        "°P": "plato",
        "°Plato": "plato",
        "°EBC": "EBC",
        "°SRM": "SRM",
        "%": "percent",
        "%w/w": "percent",
        "% w/w": "percent",
        "US gal": "gallon",
        "US gallon": "gallon",
        "US gallons": "gallon",
        "imp gal": "imperial_gallon",
        "UK gal": "imperial_gallon",
        "imperial gallon": "imperial_gallon",
        "imperial gallons": "imperial_gallon",
        "US qt": "quart",
        "imp qt": "imperial_quart",
        "US pt": "pint",
        "imp pt": "imperial_pint",
        "fl oz": "fluid_ounce",
        "US fl oz": "fluid_ounce",
        "imp fl oz": "imperial_fluid_ounce",
        "US tsp": "teaspoon",
        "US tbsp": "tablespoon",
        "lbs": "pound",
        "US bbl": "beer_barrel",
        "imp bbl": "imperial_barrel",
        "mmho/cm": "millisiemens/centimeter",
        "µmho/cm": "microsiemens/centimeter",
    }
)
_FOLDED: Mapping[str, str] = MappingProxyType(
    {key.casefold(): value for key, value in _ALIASES.items() if key not in ("°F", "°f", "F")}
)

_BARRELS = frozenset({"bbl", "barrel", "barrels", "lb/bbl", "g/bbl"})

DEFINITIONS = """
equivalent = [equivalent] = eq = Eq
german_hardness = 0.356653 milliequivalent / liter
french_hardness = 0.199828 milliequivalent / liter
english_hardness = 0.284831 milliequivalent / liter
grain_hardness = 0.342067 milliequivalent / liter
@alias liter = litro = litri = litr = ltr
@alias equivalent = ekv = ekw = val
EBC = [beer_colour] = ebc
SRM = 1.97 * EBC = srm
lovibond = 2.668562 * EBC; offset: -1.4972 = _ = Lovibond
plato = 0.01 = _ = Plato
"""
"""Units of the trade. Hardness is counted in equivalents: a German degree is 10 mg/L CaO
(56.077 g/mol), a French one 10 mg/L, an English one 14.254 mg/L (1 grain per imperial gallon) and a
grain per US gallon 17.118 mg/L of CaCO3 (100.086 g/mol). EBC = 1.97 SRM: EBC Analytica 8.5, ASBC
Beer-10. SRM = 1.3546 °L - 0.76: common practice. One degree Plato is 1 g of extract in 100 g."""


def number(text: str) -> float:
    """Return a number written with ASCII digits and at most one decimal point or comma.

    Raises QuantityError for anything else, ``inf``, ``nan``, ``1_000`` and full-width digits among
    them, and for ``1,200``, which some write for 1200 and others for 1.2.
    """
    cleaned = _cleaned(text)
    if not _WHOLE_NUMBER.fullmatch(cleaned):
        raise QuantityError("is not a plain number such as 12.5")
    return _number(cleaned)


def amount(value: object, measure: Measure) -> float:
    """Return a quantity in the unit of its measure.

    value: a number, taken in that unit, or text with a unit. Raises QuantityError.
    """
    if isinstance(value, str):
        return amount_with_unit(*split(value), measure)
    return plain(value, measure)


def plain(value: object, measure: Measure) -> float:
    """Return a value that is a number already. Raises QuantityError for any other, inf and nan."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise QuantityError(_wanted(measure))
    try:
        result = float(value)
    except OverflowError:
        result = math.inf
    if not math.isfinite(result):
        raise QuantityError("is not a finite number")
    return result


def split(text: str) -> tuple[float, str]:
    """Return the number at the start of a text and the rest, the unit. Raises QuantityError."""
    match = _LEADING.fullmatch(_cleaned(text))
    if match is None:
        raise QuantityError("does not start with a number such as 12.5")
    return _number(match[1]), match[2]


def split_span(text: str) -> tuple[float, float, float, str]:
    """Return lowest, best and highest number of a text and the unit.

    ``80 - 110 mg/L`` gives the ends and their middle. ``< 0.5 mg/L``, below what the laboratory can
    tell, gives 0, half and the whole of it (half is what Commission Directive 2009/90/EC, article
    5, puts in for averages; from memory). Raises QuantityError.
    """
    cleaned = _cleaned(text)
    if below := _BELOW.fullmatch(cleaned):
        limit, unit = split(below[1])
        if limit < 0:
            raise QuantityError("is a limit below zero")
        return 0.0, limit / 2.0, limit, unit
    if match := _SPAN.fullmatch(cleaned):
        low, high = _number(match[1]), _number(match[2])
        if low > high:
            raise QuantityError("is a span whose first number is the greater one")
        return low, (low + high) / 2.0, high, match[3]
    value, unit = split(cleaned)
    return value, value, value, unit


def amount_with_unit(value: float, unit: str, measure: Measure) -> float:
    """Return a number with the given unit in the unit of the measure. Raises QuantityError."""
    if not unit:
        return value
    factor = measure.quick.get(unit.casefold())
    if factor is not None:
        return value * factor
    return _by_pint(value, unit, measure)


def is_measured_in(unit: str, measure: Measure) -> bool:
    """Whether a unit text is a unit of that measure. Raises QuantityError for an unknown unit."""
    if unit.casefold() in measure.quick:
        return True
    registry = _registry()
    wanted = registry.Unit(measure.expression)
    return bool(_unit(unit).is_compatible_with(wanted))


def _by_pint(value: float, unit: str, measure: Measure) -> float:
    from pint.errors import PintError

    parsed = _unit(unit)
    registry = _registry()
    try:
        result = float(registry.Quantity(value, parsed).to(measure.expression).magnitude)
    except (PintError, OverflowError) as error:
        raise QuantityError(_wanted(measure)) from error
    if not math.isfinite(result):
        raise QuantityError("is not a finite number")
    return result


@cache
def _unit_of_expression(expression: str) -> Any:
    return _registry().parse_units(expression)


def _unit(text: str) -> Any:
    """Return the pint unit of a text. Only names and small powers pass; the case may be off."""
    from pint.errors import PintError

    squeezed = " ".join(text.split())
    if squeezed.casefold() in _BARRELS:
        raise QuantityError("has a barrel that may be one of several: write US bbl or imp bbl")
    expression = _ALIASES.get(squeezed) or _FOLDED.get(squeezed.casefold())
    if expression is None:
        expression = _POWER.sub(r"^\1", _PRODUCT.sub("*", squeezed)).replace("°", "")
        if len(expression) > 40 or not _UNIT.fullmatch(expression):
            raise QuantityError("has a unit that is not known")
    for candidate in (expression, expression.casefold()):
        try:
            return _unit_of_expression(candidate)
        except (PintError, ValueError, TypeError, AttributeError, ZeroDivisionError):
            continue
    raise QuantityError("has a unit that is not known")


@cache
def _registry() -> UnitRegistry[float]:
    from pint import UnitRegistry

    registry: UnitRegistry[float] = UnitRegistry(
        autoconvert_offset_to_baseunit=True, cache_folder=None
    )
    for line in DEFINITIONS.strip().splitlines():
        registry.define(line)
    return registry


def registry() -> UnitRegistry[float]:
    """Return the pint registry with the units of the trade. The first call loads pint."""
    return _registry()


def _wanted(measure: Measure) -> str:
    return f"is not a {measure.name}, such as {measure.example}"


def _cleaned(text: str) -> str:
    if len(text) > MAX_LENGTH:
        raise QuantityError(f"is longer than {MAX_LENGTH} characters")
    return text.translate(_LOOKALIKES).strip()


def _number(text: str) -> float:
    if _THOUSANDS.fullmatch(text):
        raise QuantityError(
            "has a comma before three digits, which can mean thousands or decimals: "
            "leave it out or write a decimal point"
        )
    result = float(text.replace(",", "."))
    if not math.isfinite(result):
        raise QuantityError("is not a finite number")
    return result
