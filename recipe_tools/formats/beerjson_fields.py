"""Fields of BeerJSON records as they are read: text, numbers within bounds, words of a list.

What is wrong with them is said elsewhere (`beerjson_findings`), for all of a document.
"""

from __future__ import annotations

from typing import Any, Final

from recipe_tools.formats.beerjson_quantities import Amount, amount, number, quantity
from recipe_tools.formats.fields import (
    BOUNDS,
    LARGEST,
    MEASURED,
    QUANTITIES,
    SMALLEST,
    field_at,
    names_in,
)
from recipe_tools.formats.values import judged

_PLAIN: Final = {
    QUANTITIES[unit]: (max(low, SMALLEST) if unit in MEASURED else low, high)
    for unit, (low, high) in BOUNDS.items()
    if unit in QUANTITIES
} | {"percent": (1.0 + SMALLEST, BOUNDS["%"][1])}
"""Bounds by kind of quantity within which a value needs no second look (nor does zero)."""

_LONGEST_NAME: Final = 80
"""Letters of a name that messages repeat."""

UNIT_WORDS: Final = {
    "volume": " L",
    "mass": " kg",
    "time": " min",
    "temperature": " °C",
    "concentration": " mg/L",
    "colour": " EBC",
    "percent": " %",
    "specific_volume": " L/kg",
    "bitterness": " IBU",
}


def sized(kinds: tuple[str, ...], value: Any) -> tuple[float, float, str] | None:
    """Return a quantity in the unit of its field, the number shown for it and the unit shown.

    kinds: of quantity that it may be. None where its meaning is not plain.
    """
    if len(kinds) > 1:
        found = amount(value)
        return None if found is None else (_size(found), found.value, f" {found.unit}")
    size = _quantity(kinds[0], value)
    return None if size is None else (size, size, UNIT_WORDS.get(kinds[0], ""))


def _quantity(kind: str, value: Any) -> float | None:
    size = quantity(kind, value)
    if kind == "colour" and size == 0.0:  # so converted, a negative one is 0
        written = number(value.get("value") if type(value) is dict else value)
        return written if written is not None and written < 0.0 else size
    return size


def _size(found: Amount) -> float:
    """Return the kilograms or litres of an amount, or the bare number where it is neither."""
    if found.value > LARGEST:
        return found.value
    if found.mass_kg is not None:
        return found.mass_kg
    return found.value if found.volume_l is None else found.volume_l


def measured(kind: str, record: dict[str, Any], key: str, at: str) -> float | None:
    """Return a quantity of a record (in the unit of `units.convert`), or None.

    What lies outside the bounds of its field is left out; points (1048) and degrees Plato for a
    gravity and fractions for a percentage are converted.
    """
    if key not in record:
        return None
    value = quantity(kind, record[key])
    if value == 0.0:
        value = _quantity(kind, record[key])
    if value is None:
        return None
    low, high = _PLAIN[kind]
    if low <= value <= high or (value == 0.0 and kind != "gravity"):
        return value
    return _read(value, f"{at}/{key}")


def bare(record: dict[str, Any], key: str, at: str) -> float | None:
    """Return a number that stands without a unit; None for one that cannot be."""
    size = number(record.get(key))
    return None if size is None else _read(size, f"{at}/{key}")


def weighed(record: dict[str, Any], key: str, at: str) -> Amount | None:
    """Return the amount of an ingredient; one that cannot be is left out."""
    found = amount(record.get(key))
    if found is None or SMALLEST <= (size := _size(found)) <= LARGEST or size == 0.0:
        return found
    return amount({"value": 0, "unit": found.unit}) if _read(size, f"{at}/{key}") == 0.0 else None


def _read(size: float, pointer: str) -> float | None:
    field = field_at(names_in(pointer))
    return size if field is None else judged(field, size).size


def text(record: dict[str, Any], key: str) -> str:
    """Return a text; a number there is given as text, anything else as the empty one."""
    value = record.get(key)
    if type(value) is str:
        return value
    return str(value) if type(value) is int or type(value) is float else ""


def word(record: dict[str, Any], key: str) -> str:
    """Return a word of a list in lower case."""
    return text(record, key).strip().lower()


def whole(record: dict[str, Any], key: str) -> int | None:
    """Return a whole number, or None."""
    value = number(record.get(key))
    if value is None or not -1e15 < value < 1e15 or value != int(value):
        return None
    return int(value)


def records(record: dict[str, Any], key: str) -> list[tuple[int, dict[str, Any]]]:
    """Return (place, record) of the objects in a list."""
    value = record.get(key)
    if type(value) is list:
        return [(place, item) for place, item in enumerate(value) if type(item) is dict]
    return []


def named(record: dict[str, Any]) -> str:
    """Return the name of a record in quotes, as messages show it; empty where it has none."""
    name = record.get("name")
    if type(name) is not str or not name:
        return ""
    return f'"{name}"' if len(name) <= _LONGEST_NAME else f'"{name[: _LONGEST_NAME - 1]}…"'
