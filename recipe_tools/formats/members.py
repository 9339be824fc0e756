"""Which members of the standards a file holds: all that a check of the standard alone looks at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from recipe_tools.formats.fields import DOCUMENT, FIELDS, RECORDS, field_at
from recipe_tools.recipe import FormatName

Members = Mapping[str, tuple[str, ...]]
"""Tags of BeerXML or paths in a record of BeerJSON, by record, in the order of the standard."""


def members(data: bytes, format_name: FormatName) -> Members:
    """Return the members in the bytes of a file that was read; none where it cannot be."""
    met = set(_in_xml(data) if format_name == "beerxml" else _in_json(data))
    found: dict[str, list[str]] = {}
    for field in FIELDS:
        name = field.tag if format_name == "beerxml" else field.path
        if name and (field.record, name) in met:
            found.setdefault(field.record, []).append(name)
    return {record: tuple(names) for record, names in found.items()}


def _in_xml(data: bytes) -> Iterator[tuple[str, str]]:
    from recipe_tools.formats.beerxml_tags import local_name
    from recipe_tools.formats.xml_source import load

    for root in load(data).roots:
        yield DOCUMENT, local_name(root.tag)
        for element in root.iter():
            if isinstance(element.tag, str) and (record := local_name(element.tag)) in RECORDS:
                for child in element:
                    if isinstance(child.tag, str):
                        yield record, local_name(child.tag)


def _in_json(data: bytes) -> Iterator[tuple[str, str]]:
    from recipe_tools.formats.decoding import NotTextError, decode_json
    from recipe_tools.formats.json_parse import Parsed, parse
    from recipe_tools.limits import DEFAULT_LIMITS

    try:
        parsed = parse(decode_json(data).text, DEFAULT_LIMITS.max_depth)
    except NotTextError:
        return
    waiting: list[tuple[tuple[str, ...], Any]] = []
    if isinstance(parsed, Parsed):
        waiting.append(((), parsed.value))
    while waiting:
        names, value = waiting.pop()
        if type(value) is list:
            waiting += [(names, item) for item in value]
        elif type(value) is dict:
            waiting += [((*names, name), inner) for name, inner in value.items()]
        if names and (field := field_at(names)) is not None:
            yield field.record, field.path
