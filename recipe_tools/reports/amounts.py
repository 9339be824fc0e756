"""Amounts as scale, syringe and jug show them, and the names of products within a sentence."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from recipe_tools.units import convert

if TYPE_CHECKING:
    from recipe_tools.config.options import Units

_MOST_DIGITS = 4
_THREE_DIGITS_FROM = 99.95
"""A scale that carries more shows fewer digits (common practice, no source)."""
_WHOLE_FROM = 10.0
_US = {"g": ("oz", "mass", 0.001), "L": ("gal", "volume", 1.0)}
"""Unit -> the one beside it, its quantity, and the factor to the unit of `units.convert`."""
_NAMES = ("Epsom", "Campden")


def figure(value: float, *, tenths: bool = False) -> str:
    """Return an amount without its unit: every digit of the plan, from 100 on three of them.

    A whole one from 10 on has no point: it was weighed by the gram. tenths: it has, as of a jug.
    """
    if value >= _THREE_DIGITS_FROM:
        left_of_point = len(f"{value:.0f}")
        return f"{round(value, 3 - left_of_point):.0f}"
    digits = 0 if value >= _WHOLE_FROM and not tenths else 1
    while digits < _MOST_DIGITS and round(value, digits) != round(value, _MOST_DIGITS):
        digits += 1
    return f"{value:.{digits}f}"


def amount(value: float, unit: str, units: Units = "metric") -> str:
    """Return an amount with its unit; with units ``us`` in ounces or gallons as well."""
    shown = f"{figure(value, tenths=unit == 'L')} {unit}"
    other = us_figure(value, unit) if units == "us" else ""
    return f"{shown} or {other} {_US[unit][0]}" if other else shown


def us_unit(unit: str) -> str:
    """Return the US unit beside a unit; empty where there is none: a syringe shows mL."""
    return _US[unit][0] if unit in _US else ""


def us_figure(value: float, unit: str) -> str:
    """Return the same amount in the US unit: three digits, to a thousandth at most."""
    if unit not in _US:
        return ""
    name, quantity, factor = _US[unit]
    found = value * factor / convert(quantity, 1.0, name)
    if found >= _THREE_DIGITS_FROM:
        return figure(found)
    digits = 1 if found >= 10.0 else 2 if found >= 0.1 else 3
    return f"{found:.{digits}f}"


def amounts_in(units: Units) -> Callable[[float, str], str]:
    """Return `amount` for the units of a brewery."""
    return lambda value, unit: amount(value, unit, units)


def spoken(name: str) -> str:
    """Return the name of a product within a sentence: without what stands in brackets."""
    plain = name.partition(" (")[0]
    return plain if plain.startswith(_NAMES) else plain[:1].lower() + plain[1:]
