"""What the source lacks, stated on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from lxml import etree

from recipe_tools.converting.amounts import as_json
from recipe_tools.converting.ledger import Missing, UnfitError
from recipe_tools.converting.proof import fits, shape_at
from recipe_tools.converting.source import Value
from recipe_tools.formats.fields import FIELDS, RECORDS, Field, field_at, names_in
from recipe_tools.formats.numbers import written_number

Setting = tuple[str, str]
"""Pointer or member of what is missing, and its value as typed."""


class SettingError(Exception):
    """A value that cannot be set; the message says why, in words for the user."""


def meant(missing: Sequence[Missing], settings: Sequence[Setting]) -> list[tuple[Missing, str]]:
    """Return which missing members the settings are for. Raises SettingError."""
    found = []
    for name, value in settings:
        matching = [item for item in missing if name in (item.pointer, item.member)]
        if not matching:
            known = ", ".join(dict.fromkeys(item.member for item in missing)) or "nothing"
            raise SettingError(f"{name} is not missing; missing is {known}")
        found += [(item, value) for item in matching]
    return found


def set_json(document: dict[str, Any], item: Missing, text: str) -> None:
    """Put a value into a BeerJSON document. Raises SettingError."""
    shape = shape_at(item.pointer)
    field = field_at(names_in(item.pointer)) or _PLAIN
    if shape is None or (shape.kind in ("object", "array") and not shape.units):
        raise SettingError(f"{item.member} is a record; it cannot be set by one value")
    written = written_number(text)
    unit = "" if written is None or not shape.units or written.unit else shape.units[0]
    try:
        value = as_json(field, Value("", f"{text} {unit}".strip()), shape, "").value
    except UnfitError as error:
        raise SettingError(f"{item.member} cannot be {text!r}: {error}") from None
    holder: Any = document
    *above, name = item.pointer.split("/")[1:]
    for one in above:
        holder = holder[int(one)] if one.isdecimal() else holder.setdefault(one, {})
    holder[name] = value


_PLAIN = next(item for item in FIELDS if item.record == "RECIPE" and item.tag == "NAME")


def set_xml(root: etree._Element, item: Missing, text: str) -> None:
    """Put a value into a BeerXML document. Raises SettingError."""
    above, _, tag = item.pointer.rpartition("/")
    record = above.rpartition("/")[2].partition("[")[0]
    field: Field | None = next((one for one in RECORDS[record].fields if one.tag == tag), None)
    if field is None or field.kind in ("set", "record"):
        raise SettingError(f"{tag} is a record; it cannot be set by one value")
    if not text.strip() or not fits(field, text):
        wanted = ", ".join(field.words) or f"a {field.kind}"
        raise SettingError(f"{tag} cannot be {text!r}: {wanted} is wanted")
    holder = root
    for segment in above.split("/")[2:]:
        name, _, place = segment.partition("[")
        inside = holder.findall(name)
        number = int(place.rstrip("]") or 1)
        holder = inside[number - 1] if number <= len(inside) else etree.SubElement(holder, name)
        if holder.tag in RECORDS and holder.find("VERSION") is None:
            etree.SubElement(holder, "VERSION").text = "1"
    found = holder.find(tag)
    (found if found is not None else etree.SubElement(holder, tag)).text = text
