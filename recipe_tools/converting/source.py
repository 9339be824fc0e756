"""A document of either standard as records of the table of fields, each value with its place."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, NamedTuple

from lxml import etree

from recipe_tools.converting.ledger import Ledger
from recipe_tools.formats.beerjson_schema import escaped
from recipe_tools.formats.beerxml_values import inner_text
from recipe_tools.formats.fields import DOCUMENT, FIELDS, Field, is_numbered

NO_SUCH_TAG = "a program's own tag: BeerXML has none of that name there"
NO_SUCH_MEMBER = "a program's own member: BeerJSON has none of that name there"


class Value(NamedTuple):
    """One value of a record. raw: text of BeerXML; text, number or flag of BeerJSON, with unit."""

    pointer: str
    raw: Any
    unit: str = ""

    @property
    def shown(self) -> Any:
        """The value as a list shows it."""
        return f"{self.raw} {self.unit}" if self.unit else self.raw


@dataclass(slots=True)
class Node:
    """One record. values, children: by the key of their field (see `key`)."""

    record: str
    pointer: str
    values: dict[str, Value] = field(default_factory=dict)
    children: dict[str, list[Node]] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """Return the text of a value, empty where there is none."""
        value = self.values.get(name)
        return str(value.raw).strip() if value is not None else ""

    def all_values(self) -> Iterator[Value]:
        """Yield the values of the record and of all records in it."""
        yield from self.values.values()
        for nodes in self.children.values():
            for node in nodes:
                yield from node.all_values()


def key(item: Field) -> str:
    """Return what tells a field from the others of its record: its tag, else its path."""
    return item.tag or item.path


@functools.cache
def fields_of(record: str) -> Mapping[str, Field]:
    """Return the fields of a record by key, in the order of the table."""
    return MappingProxyType({key(item): item for item in FIELDS if item.record == record})


@functools.cache
def _by_path(record: str) -> Mapping[str, Field]:
    return MappingProxyType(
        {item.path: item for item in FIELDS if item.record == record and item.path}
    )


def from_xml(roots: tuple[etree._Element, ...], ledger: Ledger) -> Node:
    """Return the records of a tidied BeerXML document."""
    document = Node(DOCUMENT, "")
    sets = fields_of(DOCUMENT)
    pending = [(root, f"/{root.tag}") for root in roots]
    while pending:
        element, at = pending.pop(0)
        held = sets.get(str(element.tag))
        if held is not None:
            nodes = document.children.setdefault(key(held), [])
            nodes += _records_in(element, held, at, ledger)
        elif any(child.tag in sets for child in element.iter(etree.Element)):
            inside = [child for child in element if isinstance(child.tag, str)]
            pending += [(child, f"{at}/{child.tag}") for child in inside]
        else:
            _lose_tree(element, at, ledger)
    return document


def _records_in(holder: etree._Element, held: Field, path: str, ledger: Ledger) -> Iterator[Node]:
    place = 0
    for child in holder:
        if not isinstance(child.tag, str):
            continue
        if child.tag == held.child:
            place += 1
            yield _xml_record(child, held.child, f"{path}/{child.tag}[{place}]", ledger)
        else:
            _lose_tree(child, f"{path}/{child.tag}", ledger)


def _xml_record(element: etree._Element, record: str, path: str, ledger: Ledger) -> Node:
    node, known, again = Node(record, path), fields_of(record), dict[str, int]()
    for child in element:
        if not isinstance(child.tag, str):
            continue
        again[child.tag] = place = again.get(child.tag, 0) + 1
        at = f"{path}/{child.tag}" + (f"[{place}]" if place > 1 else "")
        item = known.get(child.tag)
        for name, value in child.attrib.items():
            if "{" not in str(name):
                ledger.lose(f"{at}/@{name!s}", str(value), "BeerXML holds no data in attributes")
        if item is None or not item.tag:
            _lose_tree(child, at, ledger)
        elif place > 1:
            for pointer, text in _leaves(child, at):
                ledger.change(pointer, text, None, f"{child.tag} stands twice; the first is read")
        elif item.kind == "set":
            node.children[key(item)] = list(_records_in(child, item, at, ledger))
        elif item.kind == "record":
            node.children[key(item)] = [_xml_record(child, item.child, at, ledger)]
        else:
            text = inner_text(child)
            if text.strip():
                node.values[key(item)] = Value(at, text)
    return node


def _lose_tree(element: etree._Element, path: str, ledger: Ledger) -> None:
    for pointer, text in _leaves(element, path):
        ledger.lose(pointer, text, NO_SUCH_TAG)


def _leaves(element: etree._Element, path: str) -> Iterator[tuple[str, str]]:
    pending = [(element, path)]
    while pending:
        item, at = pending.pop()
        inside = [child for child in item if isinstance(child.tag, str)]
        counts: dict[str, int] = {}
        below = []
        for child in inside:
            counts[child.tag] = place = counts.get(child.tag, 0) + 1
            numbered = place > 1 or is_numbered(child.tag, item.tag)
            below.append((child, f"{at}/{child.tag}" + (f"[{place}]" if numbered else "")))
        pending += reversed(below)
        text = "".join([item.text or "", *(child.tail or "" for child in item)]).strip()
        if text:
            yield at, text


def from_json(document: dict[str, Any], ledger: Ledger) -> Node:
    """Return the records of a tidied BeerJSON document."""
    body = document.get("beerjson")
    node = Node(DOCUMENT, "/beerjson")
    if isinstance(body, dict):
        _json_members(body, node, "/beerjson", "", ledger)
    return node


def _json_members(
    members: dict[str, Any], node: Node, at: str, prefix: str, ledger: Ledger
) -> None:
    known = _by_path(node.record)
    for name, value in members.items():
        path, pointer = prefix + name, f"{at}/{escaped(name)}"
        item = known.get(path)
        if item is not None and item.child:
            _json_records(item, value, node, pointer, ledger)
        elif isinstance(value, dict) and (item is None or item.kind == "record"):
            if any(other.startswith(f"{path}/") for other in known):
                _json_members(value, node, pointer, f"{path}/", ledger)
            else:
                lose_all(value, pointer, NO_SUCH_MEMBER, ledger)
        elif item is None:
            lose_all(value, pointer, NO_SUCH_MEMBER, ledger)
        elif isinstance(value, dict) and "value" in value:
            unit, size = value.get("unit"), value["value"]
            if not isinstance(unit, str) or not unit:
                lose_all(value, pointer, _NO_UNIT, ledger)
            elif isinstance(size, (dict, list, bool)):
                lose_all(value, pointer, "it is no number", ledger)
            elif size is not None:
                node.values[key(item)] = Value(pointer, size, unit)
        elif isinstance(value, (dict, list)):
            lose_all(value, pointer, "BeerXML has no place for it", ledger)
        elif _wants_unit(item) and isinstance(value, (int, float)):
            ledger.lose(pointer, value, _NO_UNIT)
        elif value is not None:
            node.values[key(item)] = Value(pointer, value)


_NO_UNIT = "no unit stands with it"


def _wants_unit(item: Field) -> bool:
    """Tell whether a number of BeerJSON means nothing without its unit."""
    return item.kind in ("number", "percentage") and item.unit not in ("", "pH", "vol CO2")


def _json_records(item: Field, value: Any, node: Node, pointer: str, ledger: Ledger) -> None:
    one = isinstance(value, dict) and item.kind == "record"
    if not one and not isinstance(value, list):
        lose_all(value, pointer, "it is not what the schema has there", ledger)
        return
    nodes = node.children.setdefault(key(item), [])
    for place, inner in enumerate([value] if one else value):
        at = pointer if one else f"{pointer}/{place}"
        if isinstance(inner, dict):
            child = Node(item.child, at)
            _json_members(inner, child, at, "", ledger)
            nodes.append(child)
        else:
            lose_all(inner, at, "it is no record", ledger)


def lose_all(value: Any, pointer: str, why: str, ledger: Ledger) -> None:
    """Note every value in a part of a document as lost."""
    pending = [(value, pointer)]
    while pending:
        inner, at = pending.pop()
        plain = isinstance(inner, dict) and inner.keys() == {"unit", "value"}
        if plain and not any(isinstance(one, (dict, list)) for one in inner.values()):
            ledger.lose(at, f"{inner['value']} {inner['unit']}", why)
        elif isinstance(inner, dict):
            pending += [(one, f"{at}/{escaped(name)}") for name, one in reversed(inner.items())]
        elif isinstance(inner, list):
            pending += [(one, f"{at}/{place}") for place, one in reversed(list(enumerate(inner)))]
        elif inner is not None:
            ledger.lose(at, inner, why)
