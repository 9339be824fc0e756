"""Every field of both standards, one row each in ``fields.csv``: what reading and checking ask.

Sources: the BeerXML 1.0 standard, revision 1.0J of October 2004, with its Appendix A (extensions);
the BeerJSON 1.0 schemas. The bounds are not part of the standards, which state none: they are what
the quantity allows (a mass is not negative, a percentage ends at 100), common practice, no source.
Nothing ferments above 60 °C; an apparent attenuation passes 100 % where a beer ends below 1.000.
"""

from __future__ import annotations

import csv
import functools
import math
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, Literal, NamedTuple

from recipe_tools.findings import Severity

Kind = Literal["text", "list", "boolean", "integer", "number", "percentage", "record", "set"]

LARGEST: Final = 1e9
"""No litres, kilograms or minutes of a brewery come near; a larger number is a slip."""

SMALLEST: Final = 1e-9
"""A microgram or microlitre: nobody measures less, and a sum that left such a rest meant none."""

MEASURED: Final = frozenset({"kg", "L", "L|kg", "L/kg"})
"""Units of what is weighed or measured out."""

_POSITIVE: Final = (0.0, LARGEST)
_ANY: Final = (-LARGEST, LARGEST)
BOUNDS: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        **dict.fromkeys(("kg", "L", "L|kg", "L/kg", "min", "day", "IBU", "IBU*gal/lb"), _POSITIVE),
        **dict.fromkeys(("Lovibond|SRM", "SRM", "vol CO2", "Lintner"), _POSITIVE),
        "cal/(g*C)": _POSITIVE,
        "C": (-20.0, 110.0),
        "%": (0.0, 100.0),
        "%/h": (0.0, 100.0),
        "ppm": (0.0, 1e6),
        "pH": (0.0, 14.0),
        "SG": (0.95, 1.3),
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
        "L/kg": "specific_volume",
        "cal/(g*C)": "specific_heat",
    }
)
"""Quantity in `units` by the unit of a field; other units are not converted."""


class Pair(NamedTuple):
    """A word of BeerXML and one of BeerJSON that stand for each other.

    sign: ``=`` where they mean the same, ``>`` where the second stands for the first, which means
    more, ``<`` the other way round. Words that differ in case alone are not listed.
    """

    tag_word: str
    sign: str
    path_word: str


class Field(NamedTuple):
    """One field of one record.

    tag: in BeerXML, path: of members in the record of BeerJSON; one of them is empty where a
    standard lacks the field. unit: of the bare number in BeerXML (two with a bar where a condition
    chooses); where only BeerJSON has it, the one it is converted to. BeerXML says required
    (``yes``, ``no``, ``conditional``), words, condition, extension (Appendix A, where numbers may
    carry a unit), BeerJSON required_json and words_json. needed: the water and the mash are
    computed from it. child: record that a set or record holds. low, high: bounds of a number.
    fraction_below: a value from above 0 up to this one is a fraction written for a percentage; 0
    where that cannot be told. members: of `recipe` that hold it.
    entry: where BeerJSON holds what BeerXML has a tag for without path: in an entry of a list that
    a word tells from the others (``mash_steps[type=sparge]/step_temperature``), or in place of a
    member that is not there. pairs: words of both standards that stand for each other.
    """

    record: str
    tag: str
    path: str
    kind: Kind
    unit: str
    required: str
    required_json: bool
    needed: bool
    extension: bool
    words: tuple[str, ...]
    words_json: tuple[str, ...]
    child: str
    low: float
    high: float
    fraction_below: float
    condition: str
    members: tuple[str, ...]
    entry: str
    pairs: tuple[Pair, ...]


class Record(NamedTuple):
    """A record of BeerXML: its tag and its fields, in the order of the standard."""

    tag: str
    fields: tuple[Field, ...]


def _field(row: list[str]) -> Field:
    record, tag, path, kind, unit, required, required_json, needed, extension = row[:9]
    words, words_json, child, low, high, fraction, condition, members, entry, pairs = row[9:]
    least, greatest = BOUNDS.get(unit, _ANY)
    if kind in ("percentage", "integer"):
        least, greatest = 0.0, 100.0 if kind == "percentage" else LARGEST
    settled: Any = kind
    return Field(
        record,
        tag,
        path,
        settled,
        unit,
        required,
        required_json == "yes",
        needed == "yes",
        extension == "yes",
        _listed(words),
        _listed(words_json),
        child,
        float(low) if low else least,
        float(high) if high else greatest,
        float(fraction) if fraction else 0.0,
        condition,
        tuple(members.split()),
        entry,
        tuple(map(_pair, _listed(pairs))),
    )


def _pair(text: str) -> Pair:
    sign = next(sign for sign in "=<>" if sign in text)
    return Pair(*text.partition(sign))


def _listed(words: str) -> tuple[str, ...]:
    return tuple(words.split("|")) if words else ()


def _read() -> tuple[Field, ...]:
    lines = Path(__file__).with_suffix(".csv").read_text("utf-8").splitlines()
    return tuple(map(_field, list(csv.reader(lines))[1:]))


FIELDS: Final = _read()
"""All fields, record by record."""

DOCUMENT: Final = "DOCUMENT"
"""Record of the table for what stands at the root of a file, and in the libraries of BeerJSON."""


def _records() -> dict[str, Record]:
    records: dict[str, list[Field]] = {}
    for field in FIELDS:
        if field.tag and field.record != DOCUMENT:
            records.setdefault(field.record, []).append(field)
    return {tag: Record(tag, tuple(fields)) for tag, fields in records.items()}


RECORDS: Final[Mapping[str, Record]] = MappingProxyType(_records())
"""All records of BeerXML by tag."""

SETS: Final[Mapping[str, str]] = MappingProxyType(
    {field.tag: field.child for field in FIELDS if field.kind == "set" and field.tag}
)
"""All record sets by tag, with the record they hold."""

ROOTS: Final = frozenset(SETS) - {"MASH_STEPS"}
"""Record sets that a file of BeerXML may have as its root."""

REPEATED: Final = frozenset(SETS.values())
"""Records that may stand several times side by side."""

_BARE_IN_RECIPE = frozenset(("STYLE", "EQUIPMENT", "MASH"))
_SINGLE: Final[Mapping[tuple[str, str], str]] = MappingProxyType(
    {("HOP", "time_min"): "timing", ("MISC", "time_min"): "timing", ("MISC", "unit"): "amount/unit"}
)
"""Where a member of `recipe` is not shown at the path of its field in BeerJSON."""

_BESIDE: Final = frozenset(
    field.path for field in FIELDS if field.record == DOCUMENT and not field.needed
) - {"boil", "packaging", "profiles", "equipments", "version"}
"""Libraries of BeerJSON: what they hold is looked up by name, and only `_LOOKED_UP` is needed."""
_LOOKED_UP: Final = "di_ph"


IONS: Final = (
    *("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "bicarbonate"),
    *("carbonate", "nitrate", "nitrite", "fluoride", "iron"),
)
"""Ions of a water; BeerXML has six of them."""


def sure_bounds(field: Field) -> tuple[float, float]:
    """Return the bounds within which a number needs no second look; nor does 0 where it may be."""
    low = math.nextafter(field.fraction_below, 2.0) if field.fraction_below else field.low
    return (max(low, SMALLEST) if field.unit in MEASURED else low), field.high


def is_upside_down(low: float, high: float) -> bool:
    """Tell whether a range is, by more than rounding; a greatest value of 0 is none."""
    return high > 0.0 and low > 1.001 * high


def is_numbered(tag: str, parent: str) -> bool:
    """Tell whether symbolic paths number a record: any that a set holds, STYLE only in STYLES."""
    return tag in REPEATED and (tag not in _BARE_IN_RECIPE or SETS.get(parent) == tag)


@functools.cache
def tags_of(record: str) -> Mapping[str, str]:
    """Return where BeerXML holds the members of `recipe`, as the rest of a symbolic path."""
    found: dict[str, str] = {}
    for field in RECORDS[record].fields:
        for member in field.members:
            found.setdefault(member, f"/{field.tag}")
    return MappingProxyType(found)


@functools.cache
def paths_of(record: str) -> Mapping[str, str]:
    """Return where BeerJSON holds the members of `recipe`, as the rest of a JSON pointer."""
    found = {
        member: f"/{_SINGLE.get((record, member), field.path)}"
        for field in FIELDS
        if field.record == record and field.path
        for member in field.members
    }
    return MappingProxyType(found)


@functools.cache
def _by_path() -> Mapping[tuple[str, str], Field]:
    return {(field.record, field.path): field for field in FIELDS if field.path}


@functools.cache
def _holders() -> Mapping[str, str]:
    """Return the record in a member of BeerJSON by the name of the member."""
    return {field.path.rpartition("/")[2]: field.child for field in FIELDS if field.child}


@functools.lru_cache(maxsize=4096)
def field_at(names: tuple[str, ...]) -> Field | None:
    """Return the field of BeerJSON at the members that lead to it from the root, or None.

    Places in lists are left out; unit and value of a quantity are the quantity.
    """
    record, inside = DOCUMENT, list[str]()
    holders = _holders()
    for place, name in enumerate(names, 1):
        if name in holders and place < len(names):
            record, inside = holders[name], []
        elif record == DOCUMENT and name == "boil" and place < len(names):
            record, inside = "RECIPE", ["boil"]  # in a list of its own as it is in a recipe
        elif name != "beerjson":
            inside.append("pH" if name == "ph" else name)
    if record == DOCUMENT and names[0] not in ("beerjson", "recipes"):
        record = "RECIPE"  # one without the members around it
    known = _by_path()
    field = known.get((record, "/".join(inside)))
    if field is None and inside[-1:] in (["unit"], ["value"]):
        field = known.get((record, "/".join(inside[:-1])))
    return field


def names_in(pointer: str) -> tuple[str, ...]:
    """Return the members that a JSON pointer leads through."""
    return tuple(name for name in pointer.split("/")[1:] if not name.isdecimal())


def is_needed(names: tuple[str, ...]) -> bool:
    """Tell whether the check lacks a value where the field at some members is absent or wrong."""
    field = field_at(names)
    if field is None or not field.needed:
        return False
    return _BESIDE.isdisjoint(names[:2]) or field.path == _LOOKED_UP


def is_demanded(field: Field) -> bool:
    """Tell whether the water or the mash needs a field that a record always has."""
    return field.needed and (field.required == "yes" if field.tag else field.required_json)


def weight(field: Field | None, declared: Severity) -> Severity | None:
    """Return the severity of a fault in a field; None leaves it to the declaration."""
    if field is None or not field.needed:
        return Severity.NOTE
    return Severity.WARNING if declared is Severity.ERROR and not is_demanded(field) else None
