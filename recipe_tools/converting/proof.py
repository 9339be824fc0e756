"""What the other standard asks of a written document, and what is missing in it."""

from __future__ import annotations

import functools
import json
from collections.abc import Iterator
from typing import Any

from lxml import etree

from recipe_tools.converting.ledger import Missing
from recipe_tools.converting.shapes import BODY, Shape
from recipe_tools.converting.source import fields_of
from recipe_tools.formats.beerjson_schema import FILES, FOLDER, SUFFIX, deviations
from recipe_tools.formats.fields import FIELDS, RECORDS, SETS, Field, is_numbered
from recipe_tools.formats.numbers import INTEGER, NUMBER, written_number
from recipe_tools.schema_files import schema_text

_BY_SCHEMA = "BeerJSON 1.0 requires it"
_BY_TABLE = "BeerXML 1.0 requires it"
_MASHED = ("All Grain", "Partial Mash")


def missing_json(document: dict[str, Any]) -> list[Missing]:
    """Return what a BeerJSON document lacks: the members themselves, not objects around them."""
    found: list[tuple[str, str]] = []
    for item in deviations(document):
        if item.keyword == "required":
            found += _members(item.pointer, _shape_at(item.pointer))
    return [Missing(at, member, _BY_SCHEMA) for at, member in dict.fromkeys(found)]


def _members(pointer: str, shape: Shape | None) -> Iterator[tuple[str, str]]:
    """Yield the members to state where one is missing; one is enough of a record that has none."""
    if shape is None or shape.units or shape.kind != "object":
        yield pointer, pointer.rpartition("/")[2]
        return
    for name in shape.required or (_first(pointer, shape),):
        yield from _members(f"{pointer}/{name}", shape.at(name))


def _first(pointer: str, shape: Shape) -> str:
    name = pointer.rpartition("/")[2]
    paths = (item.path for item in FIELDS if item.tag and item.path.startswith(f"{name}/"))
    return next((path.partition("/")[2] for path in paths), shape.members[0])


def _shape_at(pointer: str) -> Shape | None:
    shape: Shape | None = BODY
    for name in pointer.split("/")[2:]:
        if shape is None:
            return None
        shape = shape.entries() if name.isdecimal() else shape.at(name)
    return shape


def shape_at(pointer: str) -> Shape | None:
    """Return the schema of a place in a BeerJSON document; None where there is none."""
    return _shape_at(pointer)


def breaks_of_json(document: dict[str, Any]) -> list[str]:
    """Return where a document breaks our schemas, by jsonschema; required members are left out."""
    import jsonschema

    checker = jsonschema.Draft202012Validator(_all_schemas())
    return [
        f"{error.json_path}: {error.message}"
        for error in checker.iter_errors(document)
        if error.validator != "required"
    ]


@functools.cache
def _all_schemas() -> dict[str, Any]:
    documents = {name: json.loads(schema_text(f"{FOLDER}{name}{SUFFIX}")) for name in FILES}
    return {"$ref": documents["document"]["$id"], "$defs": documents}


def missing_xml(root: etree._Element) -> list[Missing]:
    """Return what a BeerXML document lacks: the tags themselves, not records around them."""
    found: list[Missing] = []
    for element in root.iter():
        if element.tag in RECORDS:
            found += _lacking(element, str(element.tag), path_of(element))
    return found


def _lacking(element: etree._Element, record: str, at: str) -> Iterator[Missing]:
    kind = element.findtext("TYPE") or ""
    for item in RECORDS[record].fields:
        child = element.find(item.tag)
        empty = child is not None and not len(child) and not (child.text or "").strip()
        stated = child is not None and (item.kind == "set" or not empty)
        if stated and not (item.tag == "MASH_STEPS" and child is not None and not len(child)):
            continue
        if _is_required(item, record, kind):
            if item.kind == "record":
                yield from _lacking(etree.Element(item.child), item.child, f"{at}/{item.tag}")
            else:
                yield Missing(f"{at}/{item.tag}", item.tag, _BY_TABLE)


def _is_required(item: Field, record: str, kind: str) -> bool:
    if item.required != "conditional":
        return item.required == "yes" and item.tag != "VERSION"
    return kind == "Infusion" if record == "MASH_STEP" else kind in _MASHED


def breaks_of_xml(root: etree._Element) -> list[str]:
    """Return where a document departs from the table of fields, but for what is missing."""
    found = [] if root.tag in SETS else [f"the root {root.tag}"]
    pending = [root]
    while pending:
        element = pending.pop()
        name = str(element.tag)
        for child in element:
            item = fields_of(name).get(str(child.tag)) if name in RECORDS else None
            if item is None and SETS.get(name) != child.tag:
                found.append(path_of(child))
            elif item is None or item.kind in ("set", "record"):
                pending.append(child)
            elif (child.text or "") and not fits(item, child.text or ""):
                found.append(path_of(child))
    return found


def fits(item: Field, text: str) -> bool:
    """Tell whether a text is what the table of fields has for a tag of BeerXML."""
    if item.kind == "list":
        return text in item.words
    if item.kind == "boolean":
        return text in ("TRUE", "FALSE")
    if item.kind == "integer":
        return INTEGER.fullmatch(text) is not None
    if item.kind in ("number", "percentage"):
        if item.extension:
            return written_number(text) is not None
        return NUMBER.fullmatch(text) is not None
    return True


def path_of(element: etree._Element) -> str:
    """Return the symbolic path of an element."""
    parts: list[str] = []
    one: etree._Element | None = element
    while one is not None:
        above = one.getparent()
        part = str(one.tag)
        if above is not None and is_numbered(part, str(above.tag)):
            part += f"[{sum(1 for _ in one.itersiblings(part, preceding=True)) + 1}]"
        parts.append(part)
        one = above
    return "/" + "/".join(reversed(parts))
