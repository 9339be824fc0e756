"""Tags of BeerXML that are missing, doubled, misspelt or out of place."""

from __future__ import annotations

from typing import Any

from lxml import etree

from recipe_tools.findings import Severity
from recipe_tools.formats.beerxml_fields import SETS
from recipe_tools.formats.beerxml_kinds import Field
from recipe_tools.formats.beerxml_settle import weight
from recipe_tools.formats.beerxml_tags import judge
from recipe_tools.formats.notices import Notices, shown

_SPARE = frozenset(("HOP", "FERMENTABLE", "MISC", "YEAST", "WATER", "MASH_STEP"))
_WRAPPED = {"STYLES": "STYLE", "EQUIPMENTS": "EQUIPMENT", "MASHS": "MASH"}


def missing(record: str, field: Field, path: str, notices: Notices) -> None:
    """Note that a required field is absent or empty."""
    if field.tag == "VERSION":
        notices.add(
            "file/unknown-version",
            "No VERSION is given; the record is read as edition 1 of BeerXML.",
            path,
            value="none",
        )
        return
    severity = Severity.WARNING if field.needed else Severity.NOTE
    notices.lacks(record, field.tag, path, severity)


def duplicate(
    record: str, field: Field, again: etree._Element, first: Any, path: str, notices: Notices
) -> None:
    """Note that a tag stands twice in one record; the first one counts."""
    lost = field.kind in ("set", "record") and len(again) > 0
    notices.add(
        "file/duplicate-member",
        "{field} stands more than once in one record; the first one is used, {value} is left out.",
        f"{path}/{field.tag}[2]",
        severity=Severity.ERROR if lost else weight(field, Severity.WARNING),
        field=f"{record}.{field.tag}",
        value="the second set" if lost else f'"{shown(again.text)}"',
    )


def known_as(
    child: etree._Element, record: str, path: str, values: dict[str, Any], notices: Notices
) -> str | None:
    """Return the tag of the standard under which an unknown element is read; None: it is not read.

    Records that stand outside their set are put into ``values`` under the tag of the record, as a
    list of elements.
    """
    tag = child.tag
    if not isinstance(tag, str):
        return None
    verdict, meant = judge(record, tag)
    if verdict == "own":
        return None
    name = tag.rpartition("}")[2]
    if verdict == "respelt":
        if name != meant:
            notices.add(
                "standard/misspelt-tag",
                "The tag {value} is read as {meant}: tags of BeerXML are in upper case.",
                f"{path}/{meant}",
                value=shown(name),
                meant=meant,
                record=record,
            )
        else:
            notices.once(
                "file/namespace",
                "Elements stand in an XML namespace, which BeerXML has not; they are read by name.",
                f"{path}/{meant}",
                value=shown(tag[1:].partition("}")[0]),
            )
        return meant
    if verdict == "misspelt":
        holder = child.getparent()
        if holder is None or holder.find(meant) is None:
            notices.add(
                "standard/misspelt-tag",
                "The tag {value} is not of BeerXML; it is not read. {meant} may be meant.",
                f"{path}/{name.upper()}",
                value=shown(name),
                meant=meant,
                record=record,
            )
        return None
    _misplaced(child, record, meant, path, values, notices)
    return None


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
            "{value} is no field of {record}; it is not read there.",
            f"{path}/{tag}",
            value=tag,
            record=record,
        )
        return
    values.setdefault(f"stray {home}", []).append(child)
    notices.add(
        "standard/misplaced-tag",
        "{value} does not belong directly into {record}; it is read all the same.",
        f"{path}/{tag}[1]" if tag in _SPARE else f"{path}/{tag}",
        severity=Severity.WARNING,
        value=tag,
        record=record,
    )
