"""The one table of units (``units.csv``); gravity, colour and temperature by formula.

A row holds a unit of one quantity: its factor to this project's unit for that quantity (see
`convert`), what else people and files call it, the same as an expression for pint (with which the
tests compare it), whether the closed lists of BeerJSON 1.0 have it, source and mark. Temperatures,
colours, gravities and diastatic power need a formula and have no factor.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final, NamedTuple


class Unit(NamedTuple):
    """A unit of the table.

    factor: to this project's unit; None where it takes a formula. pint: expression, where pint has
    one. listed: it stands in the closed list of BeerJSON. words: other names.
    """

    name: str
    factor: float | None
    pint: str
    listed: bool
    words: tuple[str, ...]


def _key(word: str) -> str:
    return " ".join(word.casefold().split())


def _table() -> Mapping[str, Mapping[str, Unit]]:
    lines = Path(__file__).with_suffix(".csv").read_text("utf-8").splitlines()
    units: dict[str, dict[str, Unit]] = {}
    for quantity, name, factor, words, pint, listed, _, _ in list(csv.reader(lines))[1:]:
        units.setdefault(quantity, {})[name] = Unit(
            name=name,
            factor=float(factor) if factor else None,
            pint=pint,
            listed=listed == "yes",
            words=tuple(words.split("; ")) if words else (),
        )
    return units


UNITS: Final = _table()
"""Units by quantity and name."""
_NAMED: Final[Mapping[str, Mapping[str, Unit]]] = {
    quantity: {_key(word): unit for unit in units.values() for word in (*unit.words, unit.name)}
    for quantity, units in UNITS.items()
}
_LISTED: Final = {
    quantity: listed
    for quantity, units in UNITS.items()
    if (listed := {name: unit.factor for name, unit in units.items() if unit.listed})
}
BEERJSON_FACTORS: Final[Mapping[str, Mapping[str, float]]] = MappingProxyType(
    {
        quantity: {name: factor for name, factor in listed.items() if factor is not None}
        for quantity, listed in _LISTED.items()
        if None not in listed.values()
    }
)
"""Factor by quantity and unit word of BeerJSON; the units it leads to are those of `convert`."""
BEERJSON_FORMULAS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {quantity: tuple(listed) for quantity, listed in _LISTED.items() if None in listed.values()}
)
"""Unit words of the quantities that need more than a factor."""


_GRAVITY_POINTS = (900.0, 1300.0)
_POINTS_ABOVE_ONE = 150.0
_GRAVITY_PERCENT = (1.3, 32.0)
"""The strongest worts are at 32 degrees Plato, 1.14; a larger number counts thousandths above 1."""


def gravity_meant(value: float) -> tuple[float, str] | None:
    """Return (specific gravity, "points" or "plato") for a number that cannot be one itself.

    None where the number is a plausible specific gravity, or where it fits no reading: 1038 and 46
    are read as points (1.038, 1.046) and 11.6 as degrees Plato.
    """
    if _GRAVITY_POINTS[0] <= value <= _GRAVITY_POINTS[1]:
        return value / 1000.0, "points"
    if _GRAVITY_PERCENT[0] < value <= _GRAVITY_PERCENT[1]:
        return specific_gravity(value, "plato"), "plato"
    if _GRAVITY_PERCENT[1] < value <= _POINTS_ABOVE_ONE:
        return 1.0 + value / 1000.0, "points"
    return None


def unit_called(quantity: str, word: str) -> Unit | None:
    """Return the unit of a quantity that has this name, whatever its case, or None."""
    return _NAMED.get(quantity, {}).get(_key(word))


def quantities_with(word: str) -> tuple[str, ...]:
    """Return the quantities of which some unit has this name."""
    key = _key(word)
    return tuple(quantity for quantity, named in _NAMED.items() if key in named)


def meant_unit(quantity: str, word: str) -> str | None:
    """Return the listed unit an unlisted word plainly stands for (``liters`` -> ``l``), or None."""
    unit = unit_called(quantity, word)
    return unit.name if unit is not None and unit.listed else None


def convert(quantity: str, value: float, unit: str) -> float:
    """Return the value in this project's unit for the quantity.

    Units out: L, kg, min, mg/L, mEq/L, mmol/L, uS/cm, degrees C, EBC, specific gravity (20/20
    degrees C), L/kg, J/(kg K), kPa, mPa s, volumes of CO2, IBU, pH, percent, Lintner, pieces.
    unit: by its name in the table. Raises KeyError for any other.
    """
    factor = UNITS[quantity][unit].factor
    if factor is not None:
        return value * factor
    number = float(value)
    if quantity == "temperature":
        return (number - 32.0) / 1.8
    if quantity == "colour":
        return colour_ebc(number, unit)
    if quantity == "gravity":
        return specific_gravity(number, unit)
    return (number + 16.0) / 3.5


EBC_PER_SRM: Final = convert("colour", 1.0, "SRM")
_SRM_PER_LOVIBOND: Final = 1.3546
_SRM_AT_ZERO_LOVIBOND: Final = -0.76


def colour_ebc(value: float, unit: str) -> float:
    """Return a colour in EBC; ``unit`` is ``EBC``, ``SRM`` or ``Lovi``, else KeyError.

    Below 0.56 Lovibond the published line would turn negative; colourless stays colourless.
    """
    if unit == "EBC":
        return value
    if unit == "SRM":
        return value * EBC_PER_SRM
    if unit == "Lovi":
        return max(0.0, _SRM_PER_LOVIBOND * value + _SRM_AT_ZERO_LOVIBOND) * EBC_PER_SRM
    raise KeyError(unit)


def lovibond(ebc: float) -> float:
    """Return degrees Lovibond of a colour in EBC, the inverse of `colour_ebc`."""
    return (ebc / EBC_PER_SRM - _SRM_AT_ZERO_LOVIBOND) / _SRM_PER_LOVIBOND


def specific_gravity(value: float, unit: str) -> float:
    """Return the specific gravity 20/20 degrees C.

    ``unit`` is ``sg``, ``plato`` or ``brix`` (both mass percent of sucrose), else KeyError.
    SG = 1 + P / (258.6 - 227.1 P / 258.2), the usual inverse of the ASBC tables (from memory); good
    to 0.0002 up to 30 percent.
    """
    if unit == "sg":
        return value
    if unit in ("plato", "brix"):
        # Nothing holds more than 100 percent; the fit has its pole at 294.
        return 1.0 + value / (258.6 - 227.1 / 258.2 * value) if value <= 100.0 else float("inf")
    raise KeyError(unit)
