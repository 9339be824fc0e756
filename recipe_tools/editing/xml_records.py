"""MISC records of BeerXML, set like the records around them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from recipe_tools.editing.document import Document, Edit, EditError
from recipe_tools.formats.xml_spans import Element, XmlSpans

if TYPE_CHECKING:
    from recipe_tools.editing.records import MiscRecord

_SET: Final = "MISCS"
_RECORD: Final = "MISC"
_SIBLINGS: Final = (
    ("FERMENTABLES", "FERMENTABLE"),
    ("HOPS", "HOP"),
    ("YEASTS", "YEAST"),
    ("WATERS", "WATER"),
)
ESCAPES: Final = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})
"""What text is translated with before it is written into an element."""


@dataclass(frozen=True, slots=True)
class _Layout:
    """Blanks and line breaks: before a record, before its fields, before its end tag."""

    record: str
    field: str
    close: str


def insertion(document: Document, path: str, records: Sequence[MiscRecord]) -> Edit:
    """Return the edit that adds records to the recipe at a symbolic path."""
    recipe = XmlSpans(document.text).find(path)
    if recipe is None or recipe.self_closed:
        raise EditError("there is no recipe to add to")
    text = document.text
    layout = _layout(recipe)
    prefix = _prefix(recipe)
    written = "".join(
        layout.record + _record(f"{prefix}{_RECORD}", _fields(record), layout, prefix)
        for record in records
    )
    holder = recipe.first(_SET)
    if holder is None:
        before = _sibling_set(recipe) or (recipe.children[-1] if recipe.children else None)
        gap = before.gap_before() if before is not None else ""
        return new_child(recipe, _SET, f"{written}{gap}", before)
    gap = holder.gap_before() if layout.record else ""
    if holder.self_closed:
        return Edit(holder.end - 2, holder.end, f">{written}{gap}</{holder.written}>")
    if holder.children:
        at = holder.children[-1].end
        return Edit(at, at, written)
    content = text[holder.open_end : holder.close_start]
    return Edit(holder.open_end, holder.open_end, written + ("" if content else gap))


def new_child(holder: Element, tag: str, content: str, before: Element | None = None) -> Edit:
    """Return the edit that adds an element behind another one, or the last, and set like it."""
    if before is None and holder.children:
        before = holder.children[-1]
    at, gap = (before.end, before.gap_before()) if before is not None else (holder.open_end, "")
    name = f"{_prefix(holder)}{tag}"
    return Edit(at, at, f"{gap}<{name}>{content}</{name}>")


def removals(document: Document, pointers: Sequence[str]) -> Iterator[Edit]:
    """Yield the edits that take elements out, each with the blanks before it."""
    spans = XmlSpans(document.text)
    for pointer in pointers:
        element = spans.find(pointer)
        if element is None:
            raise EditError(f"there is nothing at {pointer}")
        gap = element.gap_before()
        yield Edit(element.start - len(gap), element.end, "")


def _layout(recipe: Element) -> _Layout:
    """Return the layout of a record of the recipe, of an addition if it has one."""
    for holder, name in ((_SET, _RECORD), *_SIBLINGS):
        found = recipe.first(holder)
        for record in reversed(found.named(name) if found is not None else []):
            if record.children:
                return _layout_of(record)
    if not recipe.children:
        return _Layout("", "", "")
    outer, inner = recipe.gap_before(), recipe.children[-1].gap_before()
    if "\n" not in inner and "\r" not in inner:
        return _Layout("", "", "")
    unit = inner[len(outer) :] if inner.startswith(outer) and inner != outer else "  "
    return _Layout(inner + unit, inner + 2 * unit, inner + unit)


def _sibling_set(recipe: Element) -> Element | None:
    for holder, _ in _SIBLINGS:
        found = recipe.first(holder)
        if found is not None:
            return found
    return None


def _prefix(recipe: Element) -> str:
    prefix, colon, _ = recipe.written.rpartition(":")
    return prefix + colon


def record_text(like: Element, fields: Iterable[tuple[str, str]]) -> str:
    """Return a record of the kind of another one, set like it, with the gap before it."""
    layout = _layout_of(like)
    return layout.record + _record(like.written, fields, layout, _prefix(like))


def _layout_of(record: Element) -> _Layout:
    return _Layout(
        record.gap_before(),
        record.children[-1].gap_before(),
        record.gap_before_end(),
    )


def _record(tag: str, fields: Iterable[tuple[str, str]], layout: _Layout, prefix: str) -> str:
    written = "".join(
        f"{layout.field}<{prefix}{name}>{value.translate(ESCAPES)}</{prefix}{name}>"
        for name, value in fields
    )
    return f"<{tag}>{written}{layout.close}</{tag}>"


def _fields(record: MiscRecord) -> Iterator[tuple[str, str]]:
    from recipe_tools.editing.records import decimal_text

    by_weight = record.mass_g is not None
    amount = record.mass_g if record.mass_g is not None else record.volume_ml
    assert amount is not None
    yield "NAME", record.name
    yield "VERSION", "1"
    yield "TYPE", record.kind.title()
    # The list of the standard has no sparge; files write it all the same, and readers know it.
    yield "USE", record.use.title()
    yield "TIME", "0"
    yield "AMOUNT", decimal_text(amount / 1000.0)
    yield "AMOUNT_IS_WEIGHT", "TRUE" if by_weight else "FALSE"
    if record.notes:
        yield "NOTES", record.notes
