"""One record of BeerXML as values: a single pass over its elements, checked against the standard.

What fits the standard goes the short way here; what does not goes through `beerxml_deviations`.
"""

import functools
import math
from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from lxml import etree

from recipe_tools.findings import Severity
from recipe_tools.formats import beerxml_deviations as deviations
from recipe_tools.formats.beerxml_settle import settle
from recipe_tools.formats.beerxml_tags import local_name, precedence_of
from recipe_tools.formats.fields import MEASURED, RECORDS, Field, sure_bounds
from recipe_tools.formats.notices import Notices

TEXT: Final = 0
NUMERIC: Final = 1
WORD: Final = 2
CHILD: Final = 3

Values = dict[str, Any]
"""Values of a record by tag: text, float, bool, lower-case word, element; None where unusable."""

_SMALL_INTEGERS: Final[Mapping[str, Any]] = {str(value): value for value in range(20)}
_FLAGS: Final[Mapping[str, Any]] = {"TRUE": True, "FALSE": False}
_PARAGRAPHS = frozenset(("p", "br", "div", "li", "tr"))


class Leaf(NamedTuple):
    """How to read one tag.

    low, high: bounds within which a number needs no second look. zero: nor does zero.
    """

    code: int
    field: Field
    required: bool
    words: Mapping[str, Any]
    low: float
    high: float
    zero: bool = False


class Shape(NamedTuple):
    """How to read one record."""

    tag: str
    leaves: Mapping[str, Leaf]
    required: frozenset[str]


def _leaf(field: Field) -> Leaf:
    codes = {"text": TEXT, "number": NUMERIC, "percentage": NUMERIC, "set": CHILD, "record": CHILD}
    low, high = sure_bounds(field)
    words: Mapping[str, Any] = {}
    if field.kind == "boolean":
        words = _FLAGS
    elif field.kind == "list":
        words = {word: word.lower() for word in field.words}
    elif field.kind == "integer":
        words = {"1": 1} if field.tag == "VERSION" else _SMALL_INTEGERS
    code = codes.get(field.kind, WORD)
    return Leaf(code, field, field.required == "yes", words, low, high, field.unit in MEASURED)


@functools.cache
def shape(record: str) -> Shape:
    """Return how a record of the standard is read."""
    fields = RECORDS[record].fields
    required = (field.tag for field in fields if field.required == "yes")
    return Shape(
        record,
        {field.tag: _leaf(field) for field in fields},
        frozenset(required),
    )


def gather(element: etree._Element, form: Shape, path: str, notices: Notices) -> Values:
    """Return the values of a record; faults are noted under its symbolic path."""
    leaves = form.leaves
    known = leaves.get
    values: Values = {}
    again: dict[str, int] = {}
    respelt: list[etree._Element] = []
    for children in (element, respelt):
        if respelt:
            respelt.sort(key=precedence_of)
        for child in children:
            tag: Any = child.tag
            leaf = known(tag)
            if leaf is None:
                if children is element:
                    if deviations.is_respelt(child, form.tag, path, values, notices):
                        respelt.append(child)
                    continue
                tag = local_name(tag)
                leaf = leaves[tag]
                if tag not in values:
                    deviations.read_as(child, tag, form.tag, f"{path}/{tag}", notices)
            if tag in values:
                deviations.duplicate(form.tag, leaf.field, child, path, again, notices)
                continue
            code = leaf.code
            if code == CHILD:
                values[tag] = child
                continue
            text = child.text
            if len(child):
                text = inner_text(child)
            if code == TEXT:
                if text and not text.isspace():
                    values[tag] = text
                    continue
                values[tag] = ""
                if leaf.required:
                    deviations.missing(form.tag, leaf.field, path, notices)
                continue
            if text is not None:
                if code == NUMERIC:
                    # float() takes more than the standard; out of bounds is what is not finite.
                    try:
                        value = float(text)
                    except ValueError:
                        value = math.nan
                    fits = leaf.low <= value <= leaf.high or (value == 0.0 and leaf.zero)
                    if fits and text.isascii() and "_" not in text:
                        values[tag] = value
                        continue
                elif (word := leaf.words.get(text)) is not None:
                    values[tag] = word
                    continue
            values[tag] = settle(leaf.field, text or "", path, notices)
    if not form.required <= values.keys():
        for tag in leaves:
            if tag in form.required and tag not in values and f"stray {tag}" not in values:
                deviations.missing(form.tag, leaves[tag].field, path, notices)
    return values


def lacks(form: Shape, tag: str, path: str, notices: Notices) -> None:
    """Note that a field which the standard asks for under a condition is not there."""
    notices.lacks(form.tag, tag, path, Severity.NOTE)


def inner_text(element: etree._Element) -> str:
    """Return all text below an element; markup in it is dropped, paragraphs become lines."""
    parts = [element.text or ""]
    for node in element:
        if not isinstance(node.tag, str):
            if node.tag is etree.Entity:
                parts.append(node.text or "")
        else:
            parts.append(inner_text(node))
            if node.tag.lower() in _PARAGRAPHS:
                parts.append("\n")
        parts.append(node.tail or "")
    return "".join(parts)
