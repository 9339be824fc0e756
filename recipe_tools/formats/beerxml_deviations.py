"""Tags of BeerXML that are missing, doubled, misspelt or out of place."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from lxml import etree

from recipe_tools.findings import Severity
from recipe_tools.formats.beerxml_settle import no_version
from recipe_tools.formats.beerxml_tags import is_foreign, judge, local_name
from recipe_tools.formats.fields import RECORDS, SETS, Field, weight
from recipe_tools.formats.notices import Notices, shown

_SPARE = frozenset(("HOP", "FERMENTABLE", "MISC", "YEAST", "WATER", "MASH_STEP"))
_WRAPPED = {"STYLES": "STYLE", "EQUIPMENTS": "EQUIPMENT", "MASHS": "MASH"}


def missing(record: str, field: Field, path: str, notices: Notices) -> None:
    """Note that a required field is absent or empty."""
    if field.tag == "VERSION":
        no_version(path, notices)
        return
    severity = Severity.WARNING if field.needed else Severity.NOTE
    notices.lacks(record, field.tag, path, severity)


def duplicate(
    record: str,
    field: Field,
    again: etree._Element,
    path: str,
    places: dict[str, int],
    notices: Notices,
) -> None:
    """Note that a tag stands twice in one record: it is used where it is spelt best, or first."""
    lost = field.kind in ("set", "record") and len(again) > 0
    places[field.tag] = place = places.get(field.tag, 1) + 1
    plain = _written(again) == field.tag and not is_foreign(again)
    value = "the second set" if lost else f'"{shown(again.text)}"'
    notices.add(
        "file/duplicate-member",
        f"{path}/{field.tag}[{place}]",
        severity=Severity.ERROR if lost else weight(field, Severity.WARNING),
        field=f"{record}.{field.tag}",
        value=value,
        outcome=f"the {'first' if plain else 'other'} one is used, {value} is left out",
    )


def _written(element: etree._Element) -> str:
    """Return a tag as the file writes it, with its prefix."""
    name = element.tag.rpartition("}")[2]
    return f"{element.prefix}:{name}" if element.prefix else name


def misspelt(
    name: str, meant: str, record: str, at: str, notices: Notices, *, read: bool = False
) -> None:
    """Note that a tag is nearly one of a record; read: it is the tag in another case."""
    fields = RECORDS[record].fields if record in RECORDS else ()
    field = next((field for field in fields if field.tag == meant), None)
    notices.add(
        "standard/misspelt-tag",
        at,
        severity=weight(field, Severity.WARNING) if field else None,
        value=shown(name),
        meant=meant,
        record=record,
        kind="tag",
        standard="BeerXML 1.0",
        outcome=f"it is read as {meant}" if read else f"it is not read. {meant} may be meant",
    )


def read_as(child: etree._Element, meant: str, record: str, at: str, notices: Notices) -> None:
    """Note that a tag in another case or in a namespace is read as one of the standard."""
    tag = child.tag
    name = tag.rpartition("}")[2]
    if name != meant:
        misspelt(name, meant, record, at, notices, read=True)
    else:
        notices.once(
            "file/namespace",
            at,
            value=shown(tag[1:].partition("}")[0]),
            fault="Elements stand",
            outcome="they are read by name",
        )


def without_foreign(
    elements: Collection[etree._Element], name: str, path: str, notices: Notices
) -> Collection[etree._Element]:
    """Return some elements without those records of a foreign namespace that stand beside others.

    name: of the record in the standard; elements of other names stay.
    """
    for element in elements:
        if element.tag != name:
            break
    else:
        return elements
    records = [e for e in elements if isinstance(e.tag, str) and local_name(e.tag) == name]
    foreign = [e for e in records if is_foreign(e)]
    if not foreign or len(foreign) == len(records):
        return elements
    for place, element in enumerate(foreign, len(records) - len(foreign) + 1):
        foreign_left_out(element, f"{path}/{name}[{place}]", notices)
    left_out = set(foreign)
    return [element for element in elements if element not in left_out]


def foreign_left_out(element: etree._Element, at: str, notices: Notices) -> None:
    """Note that a record of a foreign namespace is not read, as there are plain ones."""
    notices.add(
        "file/namespace",
        at,
        severity=Severity.WARNING,
        value=shown(_written(element)),
        fault=f"{shown(_written(element))} stands",
        outcome="there are plain ones, so that it is left out",
    )


def is_respelt(
    child: etree._Element, record: str, path: str, values: dict[str, Any], notices: Notices
) -> bool:
    """Tell whether an unknown element is one of the record in another case or namespace.

    Any other is noted where there is something to say of it. Records that stand outside their set
    are put into ``values`` under the tag of the record, as a list of elements.
    """
    tag = child.tag
    if not isinstance(tag, str):
        return False
    verdict, meant = judge(record, tag)
    if verdict in ("own", "respelt"):
        return verdict == "respelt"
    name = tag.rpartition("}")[2]
    if verdict == "misspelt":
        holder = child.getparent()
        if holder is None or holder.find(meant) is None:
            misspelt(name, meant, record, f"{path}/{name.upper()}", notices)
    else:
        _misplaced(child, record, meant, path, values, notices)
    return False


def _misplaced(
    child: etree._Element,
    record: str,
    tag: str,
    path: str,
    values: dict[str, Any],
    notices: Notices,
) -> None:
    if record == "RECIPE" and (tag in _SPARE - {"MASH_STEP"} or tag in _WRAPPED):
        home = next(key for key, held in SETS.items() if tag in (held, key))
    elif record == "MASH" and tag == "MASH_STEP":
        home = "MASH_STEPS"
    else:
        notices.add(
            "standard/misplaced-tag",
            f"{path}/{tag}",
            value=tag,
            record=record,
            outcome="it is not read there",
        )
        return
    values.setdefault(f"stray {home}", []).append(child)
    notices.add(
        "standard/misplaced-tag",
        f"{path}/{tag}[1]" if tag in _SPARE else f"{path}/{tag}",
        severity=Severity.WARNING,
        value=tag,
        record=record,
        outcome="it is read all the same",
    )
