"""The structural check of BeerJSON: our schemas, compiled once into plain functions.

`schemas/beerjson` is the statement of the standard. A general JSON Schema engine in Python takes
milliseconds for a recipe, so the few keywords those schemas use are compiled here into closures;
the tests hold them against jsonschema on every sample and on thousands of changed ones. A keyword
that is not known here stops the compilation, so a schema never says more than what is checked.
The schemas state no bounds; those of `fields` are compiled in beside them.
"""

from __future__ import annotations

import functools
import json
import math
import re
from collections.abc import Callable, Mapping
from typing import Any

from recipe_tools.formats.beerjson_quantities import KINDS_OF_RECORD, quantity
from recipe_tools.formats.fields import QUANTITIES, Field, field_at, is_upside_down, sure_bounds
from recipe_tools.schema_files import schema_text
from recipe_tools.units import UNITS, convert

FOLDER = "beerjson/"
FILES = ("units", "ingredients", "process", "surroundings", "recipe", "document")
SUFFIX = ".schema.json"
UNLISTED = "unlisted"
"""Keyword of a deviation that breaks no schema: an open record has a member the standard lacks."""
BOUNDS = "bounds"
"""Keyword of a number that needs a second look: beyond what makes sense, or not plainly written."""
RANGE = "range"
"""Keyword of a range whose least value lies above its greatest."""

_ANNOTATIONS = {"$schema", "$id", "$defs", "title", "description", "$comment"}
_ASSERTIONS = {
    "object": {"type", "required", "properties", "additionalProperties", "minProperties"},
    "array": {"type", "items", "minItems"},
    "string": {"type", "minLength", "maxLength", "pattern"},
    "number": {"type"},
    "integer": {"type"},
    "boolean": {"type"},
}


class Deviation:
    """One place where a document leaves the standard.

    keyword: JSON Schema keyword that fails, `UNLISTED`, `BOUNDS` or `RANGE`. record: name of the
    definition the member belongs to (``mash_step``, ``volume``). member: the member meant.
    expected: what the schema says there, for `BOUNDS` whether nothing else looks at the value, for
        `RANGE` its two ends as they are read.
    found: the value (None for an absent member). parts: path from the inside outwards.
    """

    __slots__ = ("expected", "found", "keyword", "member", "parts", "record")

    def __init__(
        self, keyword: str, record: str, member: str, expected: Any, found: Any, parts: list[Any]
    ) -> None:
        self.keyword = keyword
        self.record = record
        self.member = member
        self.expected = expected
        self.found = found
        self.parts = parts

    @property
    def pointer(self) -> str:
        """JSON pointer of the value from the root; of an absent member, where it would stand."""
        pointer = ""
        for part in reversed(self.parts):
            pointer += f"/{part}" if type(part) is int else "/" + escaped(part)
        return pointer


Check = Callable[[Any], "list[Deviation] | None"]
_Names = tuple[str, ...]


def escaped(member: str) -> str:
    """Return a member name as it stands in a JSON pointer (RFC 6901)."""
    if "~" in member or "/" in member:
        return member.replace("~", "~0").replace("/", "~1")
    return member


class UnknownKeywordError(Exception):
    """A schema uses a keyword this module does not compile."""


@functools.cache
def _documents() -> Mapping[str, Any]:
    return {name + SUFFIX: json.loads(schema_text(FOLDER + name + SUFFIX)) for name in FILES}


@functools.cache
def compiled(part: str = "document") -> Check:
    """Return the compiled check of a whole ``document``, of its ``body`` or of one ``recipe``.

    The body is what stands under the root member. ``ingredients#hop_addition`` is the definition of
    that name in a schema file. Paths of deviations start inside the part.
    """
    compiler = _Compiler(_documents())
    if part == "body":
        body = _documents()["document" + SUFFIX]["properties"]["beerjson"]
        return compiler.compile(body, "document" + SUFFIX, "beerjson", ())
    file, _, name = part.partition("#")
    return compiler.definition(file + SUFFIX, name)


def deviations(value: Any, part: str = "document") -> list[Deviation]:
    """Return where a parsed value leaves BeerJSON 1.0, in the order of the document.

    ``part`` says what the value is (see `compiled`).
    """
    return compiled(part)(value) or []


def listed_members(record: str) -> tuple[str, ...]:
    """Return the member names the standard knows for a record, by the name of its definition."""
    for document in _documents().values():
        schema = document.get("$defs", {}).get(record)
        if schema is not None:
            return tuple(schema.get("properties", ()))
    return tuple(_documents().get(record + SUFFIX, {}).get("properties", ()))


class _Compiler:
    """Compiles definitions for where they stand: ``names`` are the members that lead there."""

    def __init__(self, documents: Mapping[str, Any]) -> None:
        self.documents = documents

    def definition(self, file: str, name: str, names: _Names = ()) -> Check:
        document = self.documents[file]
        schema = document["$defs"][name] if name else document
        return self.compile(schema, file, name or file.removesuffix(SUFFIX), names)

    def compile(self, schema: Any, file: str, record: str, names: _Names) -> Check:
        if schema is True:
            return _open(field_at(names) if names else None)
        asserted = {key: value for key, value in schema.items() if key not in _ANNOTATIONS}
        if "$ref" in asserted:
            return self._reference(asserted, file, names)
        if "enum" in asserted:
            return _enum(asserted, record)
        kind = asserted.get("type")
        if not isinstance(kind, str) or not asserted.keys() <= _ASSERTIONS.get(kind, set()):
            raise UnknownKeywordError(f"{file}: {sorted(asserted)} in {record}")
        if kind == "object":
            return self._object(asserted, file, record, names)
        if kind == "array":
            compiled_once = functools.partial(self.compile, asserted["items"], file, record, names)
            return _array(compiled_once, asserted.get("minItems", 0), record)
        if kind == "string":
            return _string(asserted, record)
        return _leaf(kind, record, field_at(names) if names else None)

    def _reference(self, asserted: Mapping[str, Any], file: str, names: _Names) -> Check:
        if len(asserted) > 1:
            raise UnknownKeywordError(f"{file}: {sorted(asserted)} beside a reference")
        other, _, fragment = asserted["$ref"].partition("#")
        name = fragment.removeprefix("/$defs/")
        return self.definition(other.rpartition(":")[2] + SUFFIX if other else file, name, names)

    def _object(self, schema: Mapping[str, Any], file: str, record: str, names: _Names) -> Check:
        if schema.get("additionalProperties", False) is not False:
            raise UnknownKeywordError(f"{file}: additionalProperties in {record}")
        properties = schema.get("properties", {})
        measured = list(properties) == ["unit", "value"] and "additionalProperties" in schema
        children = {
            key: self.compile(
                value,
                file,
                key if _inline_object(value) else record,
                () if measured else (*names, key),
            )
            for key, value in properties.items()
        }
        if list(properties) == ["minimum", "maximum"]:
            return _range(schema, children, record)
        if measured:
            return _quantity(schema, children, record, field_at(names) if names else None)
        return _object(schema, children, record)


def _inline_object(schema: Any) -> bool:
    return isinstance(schema, dict) and schema.get("type") == "object"


def _open(field: Field | None) -> Check:
    """Return the check of a member that may be anything and is read where it is a quantity."""
    kind = QUANTITIES[field.unit] if field else ""
    low, high = sure_bounds(field) if field else (0.0, 0.0)

    def check(value: Any) -> list[Deviation] | None:
        if value is None or not kind:
            return None
        size = quantity(kind, value)
        if size is not None and low <= size <= high:
            return None
        return [Deviation(BOUNDS, kind, "", True, value, [])]

    return check


def _is_integer(value: Any) -> bool:
    return type(value) is int or (type(value) is float and value.is_integer())


def _enum(schema: Mapping[str, Any], record: str) -> Check:
    if len(schema) > 1:
        raise UnknownKeywordError(f"{sorted(schema)} in {record}")
    words = frozenset(schema["enum"])
    expected = tuple(schema["enum"])

    def check(value: Any) -> list[Deviation] | None:
        if type(value) is str and value in words:
            return None
        return [Deviation("enum", record, "", expected, value, [])]

    return check


def _leaf(kind: str, record: str, field: Field | None) -> Check:
    low, high = sure_bounds(field) if field else (-math.inf, math.inf)

    def failed(value: Any) -> list[Deviation]:
        return [Deviation("type", record, "", kind, value, [])]

    def within(value: float) -> list[Deviation] | None:
        if low <= value <= high:
            return None
        return [Deviation(BOUNDS, "", "", False, value, [])]

    def number(value: Any) -> list[Deviation] | None:
        return within(value) if type(value) is float or type(value) is int else failed(value)

    def integer(value: Any) -> list[Deviation] | None:
        return within(value) if _is_integer(value) else failed(value)

    def boolean(value: Any) -> list[Deviation] | None:
        return None if type(value) is bool else failed(value)

    return {"number": number, "integer": integer, "boolean": boolean}[kind]


def _string(schema: Mapping[str, Any], record: str) -> Check:
    shortest, longest = schema.get("minLength", 0), schema.get("maxLength")
    pattern = re.compile(schema["pattern"]) if "pattern" in schema else None

    def plain(value: Any) -> list[Deviation] | None:
        if type(value) is str:
            return None
        return [Deviation("type", record, "", "string", value, [])]

    if len(schema) == 1:
        return plain

    def check(value: Any) -> list[Deviation] | None:
        if type(value) is not str:
            return plain(value)
        failed = []
        if len(value) < shortest:
            failed.append(Deviation("minLength", record, "", shortest, value, []))
        if longest is not None and len(value) > longest:
            failed.append(Deviation("maxLength", record, "", longest, value, []))
        if pattern is not None and pattern.search(value) is None:
            failed.append(Deviation("pattern", record, "", pattern.pattern, value, []))
        return failed or None

    return check


def _array(compile_item: Callable[[], Check], fewest: int, record: str) -> Check:
    item: Check | None = None

    def check(value: Any) -> list[Deviation] | None:
        nonlocal item
        if item is None:  # most files have few of the lists
            item = compile_item()
        if type(value) is not list:
            return [Deviation("type", record, "", "array", value, [])]
        failed: list[Deviation] | None = None
        if len(value) < fewest:
            failed = [Deviation("minItems", record, "", fewest, value, [])]
        for place, element in enumerate(value):
            found = item(element)
            if found:
                for deviation in found:
                    deviation.parts.append(place)
                if failed is None:
                    failed = found
                else:
                    failed += found
        return failed

    return check


def _object(schema: Mapping[str, Any], children: Mapping[str, Check], record: str) -> Check:
    get = children.get
    required: tuple[str, ...] = tuple(schema.get("required", ()))
    all_required = frozenset(required).issubset
    fewest = schema.get("minProperties", 0)
    stray = "additionalProperties" if "additionalProperties" in schema else UNLISTED

    def check(value: Any) -> list[Deviation] | None:
        if type(value) is not dict:
            return [Deviation("type", record, "", "object", value, [])]
        failed: list[Deviation] = []
        if not all_required(value):
            failed = [
                Deviation("required", record, key, key, None, [key])
                for key in required
                if key not in value
            ]
        if len(value) < fewest:
            failed.append(Deviation("minProperties", record, "", fewest, value, []))
        for key, item in value.items():
            member = get(key)
            if member is None:
                failed.append(Deviation(stray, record, key, None, item, [key]))
                continue
            found = member(item)
            if found:
                for deviation in found:
                    deviation.parts.append(key)
                    deviation.member = deviation.member or key
                failed += found
        return failed or None

    return check


def _range(schema: Mapping[str, Any], children: Mapping[str, Check], record: str) -> Check:
    ends, kind = _object(schema, children, record), record.removesuffix("_range")

    def check(value: Any) -> list[Deviation] | None:
        failed = ends(value)
        if type(value) is dict:
            low, high = quantity(kind, value.get("minimum")), quantity(kind, value.get("maximum"))
            if low is not None and high is not None and is_upside_down(low, high):
                return [*(failed or ()), Deviation(RANGE, record, "", (low, high), value, [])]
        return failed

    return check


def _convert(kind: str, unit: str, size: float) -> float:
    return size if kind == "colour" and size < 0 else convert(kind, size, unit)


def _spans(
    record: str, field: Field
) -> Mapping[str, tuple[float, float, Callable[[float], float] | None]]:
    """Return by listed unit the bounds in it, or in the unit of the field with a formula to it."""
    low, high = sure_bounds(field)
    spans: dict[str, tuple[float, float, Callable[[float], float] | None]] = {}
    for kind in KINDS_OF_RECORD.get(record, ()):
        for name, unit in UNITS[kind].items():
            if unit.factor is not None:
                spans[name] = (low / unit.factor, high / unit.factor, None)
            else:
                spans[name] = (low, high, functools.partial(_convert, kind, name))
    return spans


def _quantity(
    schema: Mapping[str, Any], children: Mapping[str, Check], record: str, field: Field | None
) -> Check:
    careful = _object(schema, children, record)
    known = _spans(record, field) if field is not None else {}
    endless = (-math.inf, math.inf, None)
    spans = {word: known.get(word, endless) for word in schema["properties"]["unit"]["enum"]}
    whole = schema["properties"]["value"]["type"] == "integer"
    nothing = field is None or (field.low <= 0.0 and field.unit != "SG")

    def check(value: Any) -> list[Deviation] | None:
        # The common case without a loop: exactly the two members, both right.
        if type(value) is dict and len(value) == 2:
            unit, number = value.get("unit"), value.get("value")
            if (
                type(unit) is str
                and (span := spans.get(unit)) is not None
                and (
                    type(number) is int
                    or (type(number) is float and (not whole or number.is_integer()))
                )
            ):
                low, high, formula = span
                size = number if formula is None else formula(number)
                if low <= size <= high or (number == 0 and nothing):
                    return None
        failed = careful(value) or []
        if field is not None:
            failed.append(Deviation(BOUNDS, record, "", False, value, []))
        return failed or None

    return check
