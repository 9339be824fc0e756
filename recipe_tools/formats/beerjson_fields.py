"""Fields of BeerJSON records: text, numbers within physical bounds, gravities, words of a list."""

from __future__ import annotations

from typing import Any, Final

from recipe_tools.findings import Severity
from recipe_tools.formats import values
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
from recipe_tools.formats.notices import Notices
from recipe_tools.formats.values import Deviating

_PLAIN: Final = {
    QUANTITIES[unit]: (max(low, SMALLEST) if unit in MEASURED else low, high)
    for unit, (low, high) in BOUNDS.items()
    if unit in QUANTITIES
} | {"percent": (1.0 + SMALLEST, BOUNDS["%"][1])}
"""Bounds by kind of quantity within which a value needs no second look (nor does zero)."""

_FAR_BEYOND: Final = 1e300
"""Shown for what converting its unit made infinite, which no report can hold."""

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


class Fields:
    """Reads the fields of one recipe's records; what cannot be is left out and noticed.

    owner: what messages call the record being read where a part of it has no name of its own.
    """

    __slots__ = ("notices", "owner")

    def __init__(self, notices: Notices) -> None:
        self.notices = notices
        self.owner = "the recipe"

    def quantity(self, kind: str, record: dict[str, Any], key: str, at: str) -> float | None:
        """Return a quantity of a record (in the unit of `units.convert`), or None.

        What lies outside the bounds of its field is left out and noticed; points (1048) and degrees
        Plato for a gravity and fractions for a percentage are converted.
        """
        if key not in record:
            return None
        value = quantity(kind, record[key])
        if value is None:
            return None
        low, high = _PLAIN[kind]
        if kind == "colour" and (written := number(_size(record[key]))) is not None and written < 0:
            value = written  # converting it would make it 0
        if low <= value <= high or (value == 0.0 and kind != "gravity"):
            return value
        return self._settled(record, key, f"{at}/{key}", value, UNIT_WORDS.get(kind, ""))

    def extension(self, kind: str, record: dict[str, Any], key: str, at: str) -> float | None:
        """Return a quantity the schema does not look at, so that nobody else says it is none."""
        value = self.quantity(kind, record, key, at)
        if record.get(key) is not None and quantity(kind, record[key]) is None:
            self.unreadable(key, named(record) or self.owner, f"{at}/{key}")
        return value

    def unreadable(self, key: str, owner: str, pointer: str) -> None:
        """Note a member that is to hold a quantity and holds something else."""
        self.notices.add(
            "standard/wrong-type",
            pointer,
            (key, "unreadable"),
            severity=Severity.NOTE,
            field=f"The {key} of {owner}",
            value=key,
            written="something else",
            expected="a quantity",
            outcome="it is left out",
        )

    def amount(self, record: dict[str, Any], key: str, at: str) -> Amount | None:
        """Return the amount of an ingredient; a negative one is left out."""
        found = amount(record.get(key))
        if found is None:
            return None
        size = _measured(found)
        if (size >= SMALLEST and found.value <= LARGEST) or size == 0.0:
            return found
        size = size if found.value <= LARGEST else found.value
        settled = self._settled(
            record, key, f"{at}/{key}", size, f" {found.unit}", shown=found.value
        )
        return amount({"value": 0, "unit": found.unit}) if settled == 0.0 else None

    def _settled(
        self,
        record: dict[str, Any],
        key: str,
        pointer: str,
        size: float,
        unit: str,
        shown: float | None = None,
    ) -> float | None:
        field = field_at(names_in(pointer))
        if field is None:
            return size
        size = min(max(size, -_FAR_BEYOND), _FAR_BEYOND)
        written = size if shown is None else min(max(shown, -_FAR_BEYOND), _FAR_BEYOND)
        value = Deviating(
            field,
            f"The {key} of {named(record) or self.owner}",
            f"{written:g}{unit}",
            pointer,
            self.notices,
            written,
            edit_at=f"{pointer}/value" if type(record[key]) is dict else pointer,
        )
        return values.plausible(value, size)

    def text(self, record: dict[str, Any], key: str) -> str:
        """Return a text; a number there is given as text, anything else as the empty one."""
        value = record.get(key)
        if type(value) is str:
            return value
        return str(value) if type(value) is int or type(value) is float else ""

    def whole(self, record: dict[str, Any], key: str) -> int | None:
        """Return a whole number, or None."""
        value = number(record.get(key))
        if value is None or not -1e15 < value < 1e15 or value != int(value):
            return None
        return int(value)

    def records(self, record: dict[str, Any], key: str) -> list[tuple[int, dict[str, Any]]]:
        """Return (place, record) of the objects in a list."""
        value = record.get(key)
        if type(value) is list:
            return [(place, item) for place, item in enumerate(value) if type(item) is dict]
        return []


def _size(value: Any) -> Any:
    return value.get("value") if type(value) is dict else value


def _measured(found: Amount) -> float:
    """Return the kilograms or litres of an amount, or the bare number where it is neither."""
    if found.mass_kg is not None:
        return found.mass_kg
    return found.value if found.volume_l is None else found.volume_l


def named(record: dict[str, Any]) -> str:
    """Return the name of a record in quotes, as messages show it; empty where it has none."""
    name = record.get("name")
    if type(name) is not str or not name:
        return ""
    return f'"{name}"' if len(name) <= _LONGEST_NAME else f'"{name[: _LONGEST_NAME - 1]}…"'
