"""Conformance vectors: small documents, one for each clause of BeerXML 1.0 and BeerJSON 1.0.

``python -m tests.conformance.vectors FOLDER`` writes them for other validators: the documents in
``beerxml/`` and ``beerjson/``, and ``manifest.json``, a list with one object for each:

file: path below the folder. standard: ``BeerXML 1.0`` or ``BeerJSON 1.0``.
clause: record and field (with kind, unit, whether it is required) or rule of the document.
fault: what was done to a document that keeps to the standard; empty where nothing was.
valid: whether the document keeps to the text of the standard. The standards state no bounds, so a
    negative mass is ``valid`` and yet a fault.
at: where the fault is, an element path with places from 1 or a JSON pointer; empty for none.
findings: rules of this project that must speak, and no others under ``standard/`` and ``file/`` may
    (`recipe-tools explain RULE` says what each means).

Sources: the tables of BeerXML 1.0 with Appendix A and the BeerJSON 1.0 schemas, as `fields.csv` and
`schemas/beerjson` state them; tests hold both to the published ones, and the verdict on each
document of BeerJSON to that of the published schemas.
"""

from __future__ import annotations

import copy
import functools
import json
import sys
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from recipe_tools.formats.fields import LARGEST, RECORDS, SETS, Field, field_at
from tests.conformance.beerjson_engines import own_documents

Json = dict[str, Any]

TYPICAL: Mapping[str, float] = {"SG": 1.05, "pH": 5.4, "C": 20, "%": 50, "%/h": 8}
"""Values that make sense, by unit; 5 for any other."""
UNITS_BEHIND = {"kg": "kg", "L": "L", "C": "C", "min": "min", "%": "%", "SG": "sg"}
HOLDERS = {
    **{held: (root, held) for root, held in SETS.items() if root != "MASH_STEPS"},
    "MASH_STEP": ("MASHS", "MASH", "MASH_STEPS", "MASH_STEP"),
}
"""Elements from the root to a record of BeerXML, by record."""


@dataclass(frozen=True)
class Vector:
    """A document with what a validator has to say of it (see the module)."""

    file: str
    standard: str
    clause: str
    fault: str
    valid: bool
    at: str
    findings: tuple[str, ...]
    text: str


@functools.cache
def vectors() -> tuple[Vector, ...]:
    """Return all vectors, in the order of the standards."""
    return (*_beerxml(), *_xml_documents(), *_beerjson())


# BeerXML

Values = dict[str, str]


def _value(field: Field) -> str:
    """Return a value that keeps to the standard."""
    if field.kind == "list":
        return field.words[0]
    if field.kind == "boolean":
        return "TRUE"
    if field.kind == "integer":
        return "1"
    if field.kind in ("number", "percentage"):
        return f"{TYPICAL.get(field.unit, 5):g}"
    return "A" if field.tag == "STYLE_LETTER" else "some text"


def _inside(field: Field) -> str:
    """Return the content of a set or record that a record holds."""
    if field.kind == "record":
        return _elements(_plain(field.child))
    return f"<{field.child}>{_elements(_plain(field.child))}</{field.child}>"


def _plain(record: str, *, every: bool = False) -> Values:
    """Return a record with what is required, or with every field."""
    return {
        field.tag: _inside(field) if field.child else _value(field)
        for field in RECORDS[record].fields
        if every or field.required != "no"
    }


def _elements(values: Mapping[str, str]) -> str:
    return "".join(
        f"<{tag}>{text if text.startswith('<') else escape(text)}</{tag}>\n"
        for tag, text in values.items()
    )


def _document(record: str, values: Mapping[str, str]) -> str:
    text = _elements(values)
    for tag in reversed(HOLDERS[record]):
        outer = _plain(tag) if tag == "MASH" and record == "MASH_STEP" else {}
        outer.pop("MASH_STEPS", None)
        text = f"<{tag}>\n{_elements(outer)}{text}</{tag}>\n"
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}'


def _at(record: str, tag: str = "") -> str:
    path = "".join(
        f"/{name}[1]" if name in SETS.values() else f"/{name}" for name in HOLDERS[record]
    )
    return f"{path}/{tag}" if tag else path


def _xml(record: str, name: str, fault: str, values: Mapping[str, str], **more: Any) -> Vector:
    said = {"clause": record, "valid": True, "at": "", "findings": ()} | more
    text = _document(record, values)
    return Vector(f"beerxml/{record}.{name}.xml", "BeerXML 1.0", fault=fault, text=text, **said)


def _beerxml() -> Iterator[Vector]:
    for record, form in RECORDS.items():
        yield _xml(record, "required-fields", "", _plain(record))
        yield _xml(record, "all-fields", "", _plain(record, every=True))
        shuffled = dict(reversed(_plain(record).items()))
        yield _xml(record, "other-order", "", shuffled, clause=f"{record}: any order")
        own = {**_plain(record), "X_ALDERMOOR_SACK": "4"}
        yield _xml(record, "own-tag", "", own, clause=f"{record}: unknown tags are ignored")
        for field in form.fields:
            yield from _xml_field(record, field)


def _xml_field(record: str, field: Field) -> Iterator[Vector]:
    """Yield what each clause of a field can be broken by."""
    tag = field.tag
    plain = {**_plain(record), tag: _inside(field) if field.child else _value(field)}
    said = {"yes": "required", "conditional": "required under a condition"}
    required = said.get(field.required, "optional")
    clause = ", ".join(filter(None, (f"{record}.{tag}: {field.kind}", field.unit, required)))
    version, rule = tag == "VERSION", "file/unknown-version"

    def faulty(name: str, fault: str, text: str, finding: str, *, valid: bool = False) -> Vector:
        return _xml(
            record,
            f"{tag}.{name}",
            fault,
            {**plain, tag: text},
            clause=clause,
            valid=valid,
            at=_at(record, tag) if finding else "",
            findings=(rule if version else finding,) if finding else (),
        )

    if field.required == "yes":
        left = {name: text for name, text in plain.items() if name != tag}
        missing = (rule if version else "standard/required-missing",)
        yield _xml(
            record,
            f"{tag}.missing",
            "a required field is missing",
            left,
            clause=clause,
            valid=False,
            at=_at(record),
            findings=missing,
        )
    if field.child:
        return
    if field.kind == "text":
        if field.required == "yes":
            empty = faulty("empty", "a required text is empty", "", "standard/required-missing")
            yield Vector(**{**vars(empty), "at": _at(record)})
        return
    if version:
        yield faulty("later", "another edition", "7", rule, valid=False)
        return
    yield faulty("empty", "no value", "", "standard/empty-number")
    yield faulty("word", "a word of its own", "some or other", _WORD_RULES[field.kind])
    lower = {name: text for name, text in plain.items() if name != tag}
    yield _xml(
        record,
        f"{tag}.lower-case",
        "the tag is in lower case",
        {**lower, tag.lower(): plain[tag]},
        clause=clause,
        valid=False,
        at=_at(record, tag),
        findings=("standard/misspelt-tag",),
    )
    if field.kind == "list":
        for place, word in enumerate(field.words[1:], 2):
            yield faulty(f"word-{place}", "", word, "", valid=True)
        yield faulty("case", "a listed word in capitals", field.words[-1].swapcase(), _UNLISTED)
    elif field.kind == "boolean":
        yield faulty("false", "", "FALSE", "", valid=True)
        yield faulty("case", "a Boolean in lower case", "true", "standard/boolean-spelling")
    else:
        yield from _xml_number(field, faulty)


_UNLISTED = "standard/value-not-listed"
_WORD_RULES = {
    **dict.fromkeys(("number", "percentage", "integer", "boolean"), "standard/wrong-type"),
    "list": _UNLISTED,
}


def _xml_number(field: Field, faulty: Any) -> Iterator[Vector]:
    finite = "standard/wrong-type" if field.kind == "integer" else "standard/not-finite"
    yield faulty("not-finite", "a number that is none", "NaN", finite)
    yield from (
        faulty(
            name, "a number that cannot be", f"{size:g}", "standard/impossible-value", valid=True
        )
        for name, size in _beyond(field)
        if field.kind != "integer" or size < 0
    )
    if field.kind == "integer":
        yield faulty("fraction", "a fraction for a whole number", "1.5", "standard/wrong-type")
        return
    value = _value(field)
    yield faulty("comma", "a decimal comma", f"{float(value):.2f}".replace(".", ","), _COMMA)
    unit = UNITS_BEHIND.get(field.unit)
    if unit:
        finding = "" if field.extension else "standard/number-with-unit"
        fault = "" if field.extension else "a unit behind a bare number"
        yield faulty("unit", fault, f"{value} {unit}", finding, valid=field.extension)
    if field.fraction_below:
        fraction = f"{field.fraction_below / 2:g}"
        fault = "a fraction for a percentage"
        yield faulty("fraction", fault, fraction, "standard/fraction-for-percent", valid=True)


_COMMA = "standard/decimal-comma"


def _beyond(field: Field) -> Iterator[tuple[str, float]]:
    """Yield numbers below and above all that makes sense, that are no gravity in another scale."""
    if field.low > -LARGEST:
        yield "too-low", 0.5 if field.unit == "SG" else field.low - 40
    yield "too-high", 5000 if field.unit == "SG" else max(field.high * 10, field.high + 40)


def _xml_documents() -> Iterator[Vector]:
    """Yield one document for each rule of BeerXML on documents."""
    plain = _document("HOP", _plain("HOP"))
    hop, declared = _elements(_plain("HOP")), '<?xml version="1.0" encoding="UTF-8"?>\n'
    cases = (
        ("comment", "comments may stand anywhere", "", plain.replace("<HOP>", "<!-- x -->\n<HOP>")),
        ("cdata", "CDATA is text", "", plain.replace("some text", "<![CDATA[some text]]>")),
        ("no-declaration", "the declaration may be left out", "", plain.removeprefix(declared)),
        ("empty-set", "a set may be empty", "file/empty-document", f"{declared}<HOPS/>\n"),
        ("two-records", "a set holds any number of records", "",
         plain.replace("</HOPS>", f"<HOP>{hop}</HOP></HOPS>")),
        ("bare-record", "the root is a record set", "file/root-not-standard",
         f"{declared}<HOP>\n{hop}</HOP>\n"),
        ("several-roots", "a document has one root", "file/several-roots",
         plain + plain.removeprefix(declared)),
        ("attribute", "no data stands in attributes", "standard/attribute-data",
         plain.replace("<ALPHA>", '<ALPHA unit="%">')),
        ("namespace", "there are no namespaces", "file/namespace",
         plain.replace("<HOPS>", '<HOPS xmlns="urn:aldermoor:hops">')),
        ("entities", "there is no document type", "file/entity-declaration",
         plain.replace("<HOPS>", '<!DOCTYPE HOPS [<!ENTITY a "b">]>\n<HOPS>')),
        ("bare-ampersand", "an ampersand is escaped", "file/markup-repaired",
         plain.replace("some text", "salt & pepper")),
        ("cut-short", "a document is well-formed", "file/unreadable", plain[:120]),
        ("other-record", "a set holds records of its kind", "standard/misplaced-tag",
         plain.replace("</HOPS>", f"<YEAST>{_elements(_plain('YEAST'))}</YEAST></HOPS>")),
        ("field-elsewhere", "a field stands in its record", "standard/misplaced-tag",
         plain.replace("</HOP>", "<STEP_TEMP>66</STEP_TEMP></HOP>")),
        ("twice", "a field stands once", "file/duplicate-member",
         plain.replace("</HOP>", "<ALPHA>6</ALPHA></HOP>")),
        ("misspelt", "tags are those of the tables", "standard/misspelt-tag",
         plain.replace("</HOP>", "<ORIGINE>Weir valley</ORIGINE></HOP>")),
    )  # fmt: skip
    for name, clause, finding, text in cases:
        yield Vector(
            f"beerxml/document.{name}.xml",
            "BeerXML 1.0",
            f"document: {clause}",
            "" if not finding or name == "empty-set" else f"not so: {clause}",
            not finding or name == "empty-set",
            "",
            (finding,) if finding else (),
            text,
        )
    for record, low, high in (("STYLE", "OG_MIN", "OG_MAX"), ("STYLE", "ABV_MIN", "ABV_MAX"),
                              ("YEAST", "MIN_TEMPERATURE", "MAX_TEMPERATURE")):  # fmt: skip
        values = {**_plain(record), low: "7" if low != "OG_MIN" else "1.07", high: "5"}
        values[high] = "5" if low != "OG_MIN" else "1.05"
        clause, fault = f"{record}.{low}: not above {high}", "a range is upside down"
        at, rules = _at(record, low), ("standard/impossible-value",)
        yield _xml(record, f"{low}.above", fault, values, clause=clause, at=at, findings=rules)
    step = {**_plain("MASH_STEP"), "TYPE": "Infusion"}
    del step["INFUSE_AMOUNT"]
    missing = {"valid": False, "findings": ("standard/required-missing",)}
    clause = "MASH_STEP.INFUSE_AMOUNT: required where TYPE is Infusion"
    fault = "a field is missing that a condition requires"
    at = _at("MASH_STEP")
    yield _xml("MASH_STEP", "INFUSE_AMOUNT.missing", fault, step, clause=clause, at=at, **missing)
    step["TYPE"] = "Temperature"
    yield _xml("MASH_STEP", "INFUSE_AMOUNT.not-needed", "", step, clause=clause)
    for tag in ("MASH", "EFFICIENCY"):
        clause = f"RECIPE.{tag}: required where TYPE is All Grain or Partial Mash"
        for kind, needed in (("All Grain", True), ("Partial Mash", True), ("Extract", False)):
            values = {**_plain("RECIPE"), "TYPE": kind}
            del values[tag]
            name = f"{tag}.{'missing' if needed else 'not-needed'}-{kind.split()[0].lower()}"
            more = {"at": _at("RECIPE"), **missing} if needed else {}
            yield _xml("RECIPE", name, fault if needed else "", values, clause=clause, **more)


# BeerJSON

LISTS = {
    "recipes": "recipe",
    "hop_varieties": "hop_record",
    "fermentables": "fermentable_record",
    "miscellaneous_ingredients": "misc_record",
    "cultures": "culture_record",
    "profiles": "water_record",
    "styles": "style_record",
    "equipments": "equipment_set",
    "mashes": "mash",
    "boil": "boil",
    "fermentations": "fermentation",
    "packaging": "packaging",
}
"""Lists at the root of BeerJSON with the record each holds."""
_SCHEMAS = own_documents()
_ODD: Mapping[str, Any] = {
    "string": 4,
    "object": [],
    "array": {},
    "integer": True,
    "number": True,
    "boolean": 4,
}
"""A value of another type, by the type that is asked for."""


def _target(schema: Json) -> Json:
    """Follow references."""
    while "$ref" in schema:
        other, _, pointer = schema["$ref"].partition("#")
        document = _SCHEMAS[f"{other.rpartition(':')[2]}.schema.json"] if other else schema["in"]
        inner = document
        for part in pointer.split("/")[1:]:
            inner = inner[part]
        schema = _placed(inner, document)
    return schema


def _placed(schema: Any, document: Json) -> Any:
    """Return a schema that knows its document, for references within it."""
    if schema is True:
        return {"free": True}
    return {**schema, "in": document}


def _members(schema: Json) -> dict[str, Json]:
    return {
        name: _target(_placed(inner, schema["in"]))
        for name, inner in schema.get("properties", {}).items()
    }


def _is_quantity(schema: Json) -> bool:
    return list(schema.get("properties", {})) == ["unit", "value"]


def _sample(schema: Json, names: tuple[str, ...], *, every: bool) -> Any:
    """Return a value that keeps to a schema: what is required, or all there is."""
    if "enum" in schema:
        return schema["enum"][0]
    kind = schema.get("type")
    field = field_at(names)
    size = TYPICAL.get(field.unit, 5) if field is not None else 5
    if kind == "object":
        if _is_quantity(schema):
            listed = _members(schema)["unit"]["enum"]
            unit = next((word for word in ("kg", "l", "min") if word in listed), listed[0])
            return {"unit": unit, "value": size}
        wanted = schema.get("required", ())
        members = _members(schema).items()
        record = {
            name: _sample(inner, (*names, name), every=every)
            for name, inner in members
            if "free" not in inner and (every or name in wanted)
        }
        if not record and schema.get("minProperties"):
            name, inner = next(iter(members))
            record = {name: _sample(inner, (*names, name), every=every)}
        return record
    if kind == "array":
        item = _target(_placed(schema["items"], schema["in"]))
        return [_sample(item, names, every=every)]
    if kind == "string":
        pattern = schema.get("pattern", "")
        return "2024-05-17" if "d" in pattern else "A" if pattern else "some text"
    return True if kind == "boolean" else 5


def _beerjson() -> Iterator[Vector]:
    root = _target({"$ref": "urn:recipe-tools:beerjson:1.0:document#"})
    body = _members(root)["beerjson"]
    for member in LISTS:
        schema = _target(_placed(body["properties"][member]["items"], body["in"]))
        names = ("beerjson", member)
        for name, every in (("required-members", False), ("all-members", True)):
            record = _sample(schema, names, every=every)
            yield _json(member, name, member, "", record)
        plain, full = (_sample(schema, names, every=every) for every in (False, True))
        yield from _json_inside(schema, names, (plain, full), (), member)
    yield from _json_documents()


def _json(
    member: str, name: str, clause: str, fault: str, record: Any, *more: str, **said: Any
) -> Vector:
    document = {"beerjson": {"version": 1, member: [record]}}
    return Vector(
        f"beerjson/{member}.{name}.json",
        "BeerJSON 1.0",
        clause,
        fault,
        bool(said.get("valid", True)),
        str(said.get("at", "")),
        more,
        json.dumps(document, indent=1) + "\n",
    )


Parts = tuple[str | int, ...]
_Pair = tuple[Any, Any]


def _json_inside(
    schema: Json, names: tuple[str, ...], full: _Pair, parts: Parts, member: str
) -> Iterator[Vector]:
    """Yield what each clause below an object of the full record can be broken by."""
    closed = "additionalProperties" in schema
    rule = "standard/schema" if closed else "standard/unlisted-member"
    stray = "a member the standard does not name"
    yield _broken(full, (*parts, "x_sack"), 4, "own-member", stray, member, rule, valid=not closed)
    for name, inner in _members(schema).items():
        if "free" in inner:
            continue
        at, inside = (*parts, name), (*names, name)
        if name in schema.get("required", ()):
            fault = "a required member is missing"
            yield _broken(full, at, None, "missing", fault, member, "standard/required-missing")
        yield from _json_value(inner, inside, full, at, member)


def _json_value(
    schema: Json, names: tuple[str, ...], full: _Pair, at: Parts, member: str
) -> Iterator[Vector]:
    kind = schema.get("type", "string")
    listed = schema.get("enum")
    odd, fault = _ODD[kind], "a value of another type"
    yield _broken(full, at, odd, "type", fault, member, "standard/wrong-type")
    if listed:
        fault = "a word that is not listed"
        yield _broken(full, at, "some or other", "word", fault, member, _UNLISTED)
    if kind == "array":
        item = _target(_placed(schema["items"], schema["in"]))
        if schema.get("minItems"):
            yield _broken(full, at, [], "empty", "an empty list", member, "standard/schema")
        if item.get("type") == "object":
            yield from _json_inside(item, names, full, (*at, 0), member)
    elif _is_quantity(schema):
        yield from _json_quantity(schema, names, full, at, member)
    elif kind == "object":
        yield from _json_inside(schema, names, full, at, member)
        if list(schema.get("properties", {})) == ["minimum", "maximum"]:
            fault, rule = "a range is upside down", "standard/impossible-value"
            low, size = (*at, "minimum", "value"), 25 if "gravity" not in names[-1] else 1.06
            size = 60 if names[-1] != "temperature_range" and size == 25 else size
            yield _broken(full, low, size, "above", fault, member, rule, valid=True, shown=at)
    elif kind in ("number", "integer"):
        yield from _json_bounds(names, full, at, at, member)


def _json_quantity(
    schema: Json, names: tuple[str, ...], full: _Pair, at: Parts, member: str
) -> Iterator[Vector]:
    unit, value = (*at, "unit"), (*at, "value")
    missing, stray = "standard/required-missing", "a member the standard does not name"
    yield _broken(full, (*at, "x_sack"), 4, "own-member", stray, member, "standard/schema")
    yield _broken(full, unit, None, "missing", "the unit is missing", member, missing)
    yield _broken(full, value, None, "missing", "the number is missing", member, missing)
    yield _broken(full, unit, "sackful", "word", "a unit that is not listed", member, _UNLISTED)
    yield _broken(full, value, [], "type", "a list for a number", member, "standard/wrong-type")
    if _members(schema)["value"]["type"] == "integer":
        fault, rule = "a fraction for a whole number", "standard/wrong-type"
        yield _broken(full, value, 1.5, "fraction", fault, member, rule)
    yield from _json_bounds(names, full, value, at, member)


def _json_bounds(
    names: tuple[str, ...], full: _Pair, value: Parts, at: Parts, member: str
) -> Iterator[Vector]:
    field = field_at(names)
    if field is None:
        return
    for name, size in _beyond(field):
        number = round(size) if float(size).is_integer() else size
        fault, rule = "a number that cannot be", "standard/impossible-value"
        yield _broken(full, value, number, name, fault, member, rule, valid=True, shown=at)


def _along(plain: Any, full: Any, at: Parts) -> Any:
    """Return a record with what is required and, whole, what leads to a place."""
    if not at or type(plain) is not type(full) or at[0] == 0:
        return full if not at or at[0] != 0 else [_along(plain[0], full[0], at[1:])]
    if at[0] not in full:
        return plain
    inner = full[at[0]]
    return {**plain, at[0]: _along(plain[at[0]], inner, at[1:]) if at[0] in plain else inner}


def _broken(
    full: _Pair,
    at: Parts,
    value: Any,
    name: str,
    fault: str,
    member: str,
    rule: str,
    *,
    valid: bool = False,
    shown: Parts | None = None,
) -> Vector:
    """Return a record with one member put in, or left out where the value is None.

    full: the record with what is required, and with every member.
    """
    record = copy.deepcopy(_along(*full, at))
    holder = record
    for part in at[:-1]:
        holder = holder[part]
    if value is None:
        del holder[at[-1]]
    else:
        holder[at[-1]] = value
    path = ".".join(str(part) for part in at if part != 0)
    pointer = "".join(f"/{part}" for part in (shown or at))
    return _json(
        member,
        f"{path}.{name}",
        f"{member}: {path}",
        fault,
        record,
        rule,
        valid=valid,
        at=f"/beerjson/{member}/0{pointer}",
    )


def _json_documents() -> Iterator[Vector]:
    hop = json.dumps({"name": "Mill Garden", "alpha_acid": {"unit": "%", "value": 5}})
    whole = f'{{"beerjson": {{"version": 1, "hop_varieties": [{hop}]}}}}'
    cases = (
        ("no-version", "the version is required", "file/unknown-version",
         whole.replace('"version": 1, ', "")),
        ("version-as-text", "the version is a number", "standard/wrong-type",
         whole.replace('"version": 1', '"version": "1"')),
        ("own-list", "the root names its lists", "standard/schema",
         whole.replace('"version": 1', '"version": 1, "x_sacks": []')),
        ("beside-the-root", "nothing stands beside the root", "standard/schema",
         whole.replace('{"beerjson"', '{"x_sack": 4, "beerjson"')),
        ("empty", "all lists are optional", "file/empty-document", '{"beerjson": {"version": 1}}'),
        ("twice", "a member stands once", "file/duplicate-member",
         whole.replace('"value": 5', '"value": 5, "value": 6')),
        ("not-finite", "numbers are finite", "standard/not-finite",
         whole.replace('"value": 5', '"value": NaN')),
        ("cut-short", "the text is JSON", "file/unreadable", whole[:60]),
        ("no-root", "the root member is beerjson", "file/not-a-recipe", "{}"),
    )  # fmt: skip
    for name, clause, finding, text in cases:
        yield Vector(
            f"beerjson/document.{name}.json",
            "BeerJSON 1.0",
            f"document: {clause}",
            "" if name == "empty" else f"not so: {clause}",
            name in ("empty", "twice"),
            "",
            (finding,),
            text + "\n",
        )


def manifest() -> list[Json]:
    """Return the list that describes the documents."""
    described = [asdict(vector) for vector in vectors()]
    for item in described:
        del item["text"]
    return described


def write(folder: Path) -> int:
    """Write all documents and the manifest; return how many documents there are."""
    made = vectors()
    for vector in made:
        path = folder / vector.file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(vector.text, encoding="utf-8")
    (folder / "manifest.json").write_text(json.dumps(manifest(), indent=1) + "\n", "utf-8")
    return len(made)


if __name__ == "__main__":
    print(f"{write(Path(sys.argv[1]))} documents")
