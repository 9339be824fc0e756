"""Quantities a person typed: ``7 gal``, ``0.25 oz``, ``12 °dH``, ``55,2 mg/l``.

The table of `units` reads them; for units that stand in no row there is pint behind it, loaded only
when one turns up, because that takes longer than a whole check.
The text may come from a stranger: only unit names, products and small powers ever reach pint.

Messages of `QuantityError` say what would be right and never repeat the text.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from recipe_tools.units import Unit, convert, quantities_with, unit_called

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

    name: in words. quantity: the same in the table of `units`, empty where it has no units. unit:
    of the result, in which bare numbers are taken. example: what to write.
    """

    name: str
    quantity: str
    unit: str
    example: str

    @property
    def row(self) -> Unit | None:
        """The unit of the result in the table."""
        return unit_called(self.quantity, self.unit)

    @property
    def expression(self) -> str:
        """The unit of the result for pint; empty where pint has none."""
        return self.row.pint if self.row is not None else "dimensionless"


VOLUME = Measure("volume", "volume", "L", "30 L or 7 gal")
MASS = Measure("mass", "mass", "g", "12 g or 0.25 oz")
TEMPERATURE = Measure("temperature", "temperature", "°C", "12 °C or 54 °F")
VOLUME_PER_MASS = Measure("volume per mass", "specific_volume", "L/kg", "1.0 L/kg")
CONDUCTIVITY = Measure("electrical conductivity", "conductivity", "µS/cm", "480 µS/cm")
PERCENT = Measure("share in percent", "percent", "%", "80 %")
COLOUR = Measure("colour", "colour", "EBC", "8 EBC or 4 SRM")
DURATION = Measure("time", "time", "min", "60 min")
MASS_CONCENTRATION = Measure("concentration", "concentration", "mg/L", "84 mg/L")
EQUIVALENTS = Measure("concentration of charge", "charge", "mEq/L", "1.8 mEq/L or 4.7 °dH")
SUBSTANCE = Measure("amount concentration", "substance", "mmol/L", "1.8 mmol/L")

_BARRELS = frozenset({"bbl", "bbls", "barrel", "barrels", "lb/bbl", "g/bbl"})

DEFINITIONS = """
equivalent = [equivalent] = eq = Eq
@alias liter = litro = litri = litr = ltr
@alias equivalent = ekv = ekw = val
"""
"""What pint does not know and people put together with its units: ``mval/l``, ``mg/litr``."""


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
    if " ".join(unit.split()).casefold() in _BARRELS:
        raise QuantityError("has a barrel that may be one of several: write US bbl or imp bbl")
    known, base = unit_called(measure.quantity, unit), measure.row
    if known is None or base is None:
        return _by_pint(value, unit, measure)
    if known.factor is None or base.factor is None:
        return convert(measure.quantity, value, known.name)
    return value * (known.factor / base.factor)


def is_measured_in(unit: str, measure: Measure) -> bool:
    """Whether a unit text is a unit of that measure. Raises QuantityError for an unknown unit."""
    if quantities_with(unit):
        return measure.quantity in quantities_with(unit)
    return bool(_unit(unit).is_compatible_with(registry().Unit(measure.expression)))


def _by_pint(value: float, unit: str, measure: Measure) -> float:
    from pint.errors import PintError

    if not measure.expression or (measure.quantity and quantities_with(unit)):
        raise QuantityError(_wanted(measure))
    parsed = _unit(unit)
    try:
        result = float(registry().Quantity(value, parsed).to(measure.expression).magnitude)
    except (PintError, OverflowError) as error:
        raise QuantityError(_wanted(measure)) from error
    if not math.isfinite(result):
        raise QuantityError("is not a finite number")
    return result


@cache
def _unit_of_expression(expression: str) -> Any:
    return registry().parse_units(expression)


def _unit(text: str) -> Any:
    """Return the pint unit of a text. Only names and small powers pass; the case may be off."""
    from pint.errors import PintError

    expression = _POWER.sub(r"^\1", _PRODUCT.sub("*", " ".join(text.split()))).replace("°", "")
    if len(expression) > 40 or not _UNIT.fullmatch(expression):
        raise QuantityError("has a unit that is not known")
    for candidate in (expression, expression.casefold()):
        try:
            return _unit_of_expression(candidate)
        except (PintError, ValueError, TypeError, AttributeError, ZeroDivisionError):
            continue
    raise QuantityError("has a unit that is not known")


@cache
def registry() -> UnitRegistry[float]:
    """Return the pint registry with the units of the trade. The first call loads pint."""
    from pint import UnitRegistry

    units: UnitRegistry[float] = UnitRegistry(
        autoconvert_offset_to_baseunit=True, cache_folder=None
    )
    for line in DEFINITIONS.strip().splitlines():
        units.define(line)
    return units


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
