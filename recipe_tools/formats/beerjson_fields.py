"""Fields of BeerJSON records: text, numbers within physical bounds, gravities, words of a list."""

from __future__ import annotations

from typing import Any, Final

from recipe_tools.findings import ProposedEdit, Severity
from recipe_tools.formats.beerjson_quantities import Amount, amount, number, quantity
from recipe_tools.formats.fields import (
    BOUNDS,
    LARGEST,
    MEASURED,
    QUANTITIES,
    SMALLEST,
    field_at,
    names_in,
    weight,
)
from recipe_tools.formats.json_notices import JsonNotices
from recipe_tools.units import gravity_meant

_FAR_BEYOND: Final = 1e300
"""Shown for what converting its unit made infinite, which no report can hold."""

_BOUNDS: Final = {quantity: BOUNDS[unit] for unit, quantity in QUANTITIES.items()}
_MEASURED: Final = frozenset(QUANTITIES[unit] for unit in MEASURED if unit in QUANTITIES)

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

    recipe: 0-based index for the findings, None for records beside the recipes. owner: what
    messages call the record being read where a part of it has no name of its own.
    """

    __slots__ = ("notices", "owner", "recipe")

    def __init__(self, notices: JsonNotices, recipe: int | None) -> None:
        self.notices = notices
        self.recipe = recipe
        self.owner = "the recipe"

    def quantity(self, kind: str, record: dict[str, Any], key: str, at: str) -> float | None:
        """Return a quantity of a record (in the unit of `units.convert`), or None.

        What lies outside the bounds of its kind is left out and noticed.
        """
        if key not in record:
            return None
        value = quantity(kind, record[key])
        if value is None:
            return None
        low, high = _BOUNDS[kind]
        if 0.0 < value < SMALLEST and kind in _MEASURED:
            return self._nothing(record, key, f"{at}/{key}", value, UNIT_WORDS[kind])
        if low <= value <= high:
            return value
        self.impossible(kind, record, key, f"{at}/{key}", value, low, high)
        return None

    def unlisted(self, kind: str, record: dict[str, Any], key: str, at: str) -> float | None:
        """Return a quantity the schema does not look at, so that nobody else says it is none."""
        value = self.quantity(kind, record, key, at)
        if record.get(key) is not None and quantity(kind, record[key]) is None:
            self.notices.add(
                "standard/wrong-type",
                (key, "unreadable"),
                f"{at}/{key}",
                "{member} of {owner} is not a quantity that can be understood; it was left out.",
                recipe=self.recipe,
                severity=Severity.NOTE,
                member=key,
                owner=named(record) or self.owner,
                value=key,
            )
        return value

    def share(self, record: dict[str, Any], key: str, at: str) -> float | None:
        """Return a percentage that cannot be as small as 1: a fraction is read as a percentage."""
        value = self.quantity("percent", record, key, at)
        if value is None or not 0.0 < value <= 1.0:
            return value
        self.notices.add(
            "standard/fraction-for-percent",
            (key,),
            f"{at}/{key}",
            "The {member} of {owner} is {value:g} %, which cannot be meant; read as {read:g} %.",
            recipe=self.recipe,
            member=key,
            owner=named(record) or self.owner,
            value=value,
            read=100.0 * value,
        )
        return 100.0 * value

    def amount(self, record: dict[str, Any], key: str, at: str) -> Amount | None:
        """Return the amount of an ingredient; a negative one is left out."""
        found = amount(record.get(key))
        if found is not None and 0.0 < _measured(found) < SMALLEST:
            self._nothing(record, key, f"{at}/{key}", found.value, f" {found.unit}")
            return amount({"value": 0, "unit": found.unit})
        if found is None or 0.0 <= found.value <= LARGEST:
            return found
        self.impossible("", record, key, f"{at}/{key}", found.value, 0.0, LARGEST, found.unit)
        return None

    def gravity(self, record: dict[str, Any], key: str, at: str) -> float | None:
        """Return a specific gravity; points (1048) and degrees Plato under ``sg`` are converted."""
        if key not in record:
            return None
        value = quantity("gravity", record[key])
        if value is None or _BOUNDS["gravity"][0] <= value <= _BOUNDS["gravity"][1]:
            return value
        meant = gravity_meant(value)
        if meant is None or meant[0] < _BOUNDS["gravity"][0]:
            self.impossible("gravity", record, key, f"{at}/{key}", value, *_BOUNDS["gravity"])
            return None
        self._points(record, key, f"{at}/{key}", value, *meant)
        return meant[0]

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

    def impossible(
        self,
        kind: str,
        record: dict[str, Any],
        key: str,
        pointer: str,
        value: float,
        low: float,
        high: float,
        unit: str = "",
    ) -> None:
        """Notice a value that cannot be, and that it was left out."""
        word = UNIT_WORDS.get(kind) or (f" {unit}" if unit else "")
        value = min(max(value, -_FAR_BEYOND), _FAR_BEYOND)
        if low <= value:
            limit = f"more than {high:g}{word} cannot be"
        elif low == 0.0:
            limit = "it cannot be negative"
        else:
            limit = f"less than {low:g}{word} cannot be"
        self.notices.add(
            "standard/impossible-value",
            (pointer,),
            pointer,
            "The {member} of {owner} is {value:g}{unit}; {limit}. It was left out.",
            recipe=self.recipe,
            severity=weight(field_at(names_in(pointer)), Severity.ERROR),
            member=key,
            owner=named(record) or self.owner,
            value=value,
            unit=word,
            limit=limit,
        )

    def _nothing(
        self, record: dict[str, Any], key: str, pointer: str, value: float, unit: str
    ) -> float:
        self.notices.add(
            "standard/impossible-value",
            (key, "nothing"),
            pointer,
            "The {member} of {owner} is {value:g}{unit}, which nobody can measure; read as 0.",
            recipe=self.recipe,
            severity=Severity.NOTE,
            member=key,
            owner=named(record) or self.owner,
            value=value,
            unit=unit,
        )
        return 0.0

    def _points(
        self, record: dict[str, Any], key: str, pointer: str, value: float, read: float, how: str
    ) -> None:
        reading = "gravity points" if how == "points" else "degrees Plato"
        self.notices.add(
            "standard/gravity-not-sg",
            (key, how),
            pointer,
            "The {member} of {owner} is {value:g}, which is not a specific gravity; "
            "read as {reading}, that is {read:.4g}.",
            recipe=self.recipe,
            edit=ProposedEdit(f"Write it as {read:.4f} sg", f"{pointer}/value", f"{read:.4f}"),
            member=key,
            owner=named(record) or self.owner,
            value=value,
            reading=reading,
            read=read,
        )


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
