"""How a field of BeerXML 1.0 is described: its kind, unit, requirement and bounds.

The bounds are not part of the standard, which states none: they are what the quantity allows (a
mass is not negative, a percentage ends at 100), common practice, no source.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, Literal, NamedTuple

Kind = Literal["text", "list", "boolean", "integer", "number", "percentage", "record", "set"]
Required = Literal["yes", "no", "conditional"]

LARGEST: Final = 1e9
"""No litres, kilograms or minutes of a brewery come near; a larger number is a slip."""

SMALLEST: Final = 1e-9
"""A microgram or microlitre: nobody measures less, and a sum that left such a rest meant none."""

MEASURED: Final = frozenset({"kg", "L", "L|kg"})
"""Units of what is weighed or measured out."""

BOUNDS: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "kg": (0.0, LARGEST),
        "L": (0.0, LARGEST),
        "L|kg": (0.0, LARGEST),
        "C": (-20.0, 110.0),
        "min": (0.0, LARGEST),
        "day": (0.0, LARGEST),
        "%": (0.0, 100.0),
        "%/h": (0.0, 100.0),
        "ppm": (0.0, 1e6),
        "pH": (0.0, 14.0),
        "SG": (0.9, 1.3),
        "Lovibond|SRM": (0.0, LARGEST),
        "SRM": (0.0, LARGEST),
        "IBU": (0.0, LARGEST),
        "IBU*gal/lb": (0.0, LARGEST),
        "vol CO2": (0.0, LARGEST),
        "Lintner": (0.0, LARGEST),
        "cal/(g*C)": (0.0, LARGEST),
    }
)
"""Least and greatest value that makes sense, by unit."""

QUANTITIES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "kg": "mass",
        "L": "volume",
        "C": "temperature",
        "min": "time",
        "day": "time",
        "%": "percent",
        "ppm": "concentration",
        "pH": "acidity",
        "SG": "gravity",
        "Lovibond|SRM": "colour",
        "SRM": "colour",
        "IBU": "bitterness",
        "vol CO2": "carbonation",
        "Lintner": "diastatic_power",
        "cal/(g*C)": "specific_heat",
    }
)
"""Quantity in `units` by the unit of a field; other units are not converted."""


class Field(NamedTuple):
    """One tag of one record.

    unit: of the bare number; two units with a bar where a condition chooses. words: listed values
    of a list, in the order of the standard. child: record that a set or record holds. extension:
    from Appendix A, where numbers may carry a unit. needed: the water and the mash are computed
    from it. low, high: bounds of a number. fraction_below: a value from above 0 up to this one is a
    fraction written for a percentage; 0 where that cannot be told.
    """

    tag: str
    kind: Kind
    unit: str = ""
    required: Required = "no"
    condition: str = ""
    words: tuple[str, ...] = ()
    child: str = ""
    extension: bool = False
    needed: bool = False
    low: float = -LARGEST
    high: float = LARGEST
    fraction_below: float = 0.0


class Record(NamedTuple):
    """A record of the standard: its tag and its fields, in the order of the standard."""

    tag: str
    fields: tuple[Field, ...]


def text(
    tag: str, required: Required = "no", *, needed: bool = False, condition: str = ""
) -> Field:
    """Return a field of free text."""
    return Field(tag, "text", required=required, needed=needed, condition=condition)


def number(
    tag: str,
    unit: str = "",
    required: Required = "no",
    *,
    needed: bool = False,
    condition: str = "",
    low: float | None = None,
    high: float | None = None,
    extension: bool = False,
) -> Field:
    """Return a field with a floating point number in a fixed unit."""
    least, greatest = BOUNDS.get(unit, (-LARGEST, LARGEST))
    return Field(
        tag,
        "number",
        unit,
        required,
        condition,
        extension=extension,
        needed=needed,
        low=least if low is None else low,
        high=greatest if high is None else high,
    )


def percent(
    tag: str,
    required: Required = "no",
    *,
    unit: str = "%",
    needed: bool = False,
    condition: str = "",
    low: float = 0.0,
    high: float = 100.0,
    fraction_below: float = 0.0,
    extension: bool = False,
) -> Field:
    """Return a field with a percentage."""
    return Field(
        tag,
        "percentage",
        unit,
        required,
        condition,
        extension=extension,
        needed=needed,
        low=low,
        high=high,
        fraction_below=fraction_below,
    )


def word_list(
    tag: str,
    words: str,
    required: Required = "no",
    *,
    needed: bool = False,
    extension: bool = False,
) -> Field:
    """Return a field with one of the words listed, separated by bars."""
    listed = tuple(words.split("|"))
    return Field(tag, "list", required=required, words=listed, needed=needed, extension=extension)


def flag(tag: str, condition: str = "FALSE where absent", *, needed: bool = False) -> Field:
    """Return a Boolean field."""
    return Field(tag, "boolean", condition=condition, words=("TRUE", "FALSE"), needed=needed)


def integer(tag: str, condition: str = "") -> Field:
    """Return a field with a whole number from 0."""
    return Field(tag, "integer", condition=condition, low=0.0)


def record_set(
    tag: str, child: str, condition: str = "may be empty", *, needed: bool = False
) -> Field:
    """Return a record set inside a record."""
    return Field(tag, "set", required="yes", condition=condition, child=child, needed=needed)


def record(tag: str, required: Required, condition: str, *, needed: bool = False) -> Field:
    """Return a record inside a record."""
    return Field(tag, "record", required=required, condition=condition, child=tag, needed=needed)


def extensions(*tags: str) -> tuple[Field, ...]:
    """Return fields of free text from Appendix A."""
    return tuple(Field(tag, "text", extension=True) for tag in tags)
