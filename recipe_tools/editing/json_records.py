"""Miscellaneous additions of BeerJSON, set like the records around them."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from recipe_tools.editing.document import Document, Edit, EditError
from recipe_tools.formats.json_spans import JsonSpans, Value

if TYPE_CHECKING:
    from recipe_tools.editing.records import MiscRecord

_LIST: Final = "miscellaneous_additions"
_SIBLINGS: Final = (
    "fermentable_additions",
    "hop_additions",
    "culture_additions",
    "water_additions",
)
_USES: Final = {
    "mash": "add_to_mash",
    "sparge": "add_to_mash",
    "boil": "add_to_boil",
    "primary": "add_to_fermentation",
    "secondary": "add_to_fermentation",
    "bottling": "add_to_package",
}


@dataclass(frozen=True, slots=True)
class _Style:
    """How objects are set. lead: line break and indentation before each member, or blanks within
    the braces of an object on one line. close: before the closing brace. comma: between members on
    one line; where members have lines of their own, lead follows the comma instead."""

    lead: str
    close: str
    comma: str
    colon: str

    @property
    def lines(self) -> bool:
        """True where each member has a line of its own."""
        return "\n" in self.lead or "\r" in self.lead


def insertion(document: Document, path: str, records: Sequence[MiscRecord]) -> Edit:
    """Return the edit that adds records to the recipe at a pointer."""
    values = JsonSpans(document.text)
    text = document.text
    ingredients = values.find(f"{path}/ingredients")
    if ingredients is None or text[ingredients.start] != "{":
        raise EditError("the recipe has no ingredients to add to")
    listed = values.member(ingredients, _LIST)
    if listed is not None and values.raw(listed) == "null":
        return Edit(listed.start, listed.end, _whole_list(values, ingredients, records))
    if listed is None:
        written = _whole_list(values, ingredients, records)
        return new_member(values, ingredients, _LIST, written)
    if text[listed.start] != "[":
        raise EditError(f"{_LIST} is no list", document.line(listed.start))
    items = values.inside(listed)
    if not items:
        return Edit(listed.start, listed.end, _whole_list(values, ingredients, records))
    comma = _comma(text, listed, items)
    outer, inner = _record_styles(values, ingredients)
    new = "".join(comma + _written(_record(record), outer, inner) for record in records)
    return Edit(items[-1].end, items[-1].end, new)


def new_member(values: JsonSpans, holder: Value, name: str, written: str) -> Edit:
    """Return the edit that adds a member to an object, behind the last one and set like it."""
    members, colon = values.inside(holder), _style_of(values, holder).colon
    if not members:
        return Edit(holder.start + 1, holder.start + 1, f'"{name}"{colon}{written}')
    comma, last = _comma(values.text, holder, members), members[-1]
    return Edit(last.end, last.end, f'{comma}"{name}"{colon}{written}')


def record_behind(values: JsonSpans, path: str, members: Mapping[str, Any]) -> Edit:
    """Return the edit that puts a record of an ingredient list behind the one at a pointer."""
    listed, record = values.find(_parent(path)), values.find(path)
    if record is None or listed is None:
        raise EditError(f"there is nothing at {path}")
    outer = _style_of(values, record)
    comma = _comma(values.text, listed, values.inside(listed))
    new = _written(members, outer, _nested(values, record, outer))
    return Edit(record.end, record.end, f"{comma}{new}")


def _parent(path: str) -> str:
    return path.rpartition("/")[0]


def removals(document: Document, pointers: Sequence[str]) -> Iterator[Edit]:
    """Yield the edits that take members or elements out, each with its comma."""
    values = JsonSpans(document.text)
    by_holder: dict[str, list[Value]] = {}
    for pointer in pointers:
        value = values.find(pointer)
        if value is None or not pointer:
            raise EditError(f"there is nothing at {pointer}")
        by_holder.setdefault(_parent(pointer), []).append(value)
    for path, gone in by_holder.items():
        holder = values.find(path)
        assert holder is not None
        yield from _cut(holder, values.inside(holder), {value.start for value in gone})


def _cut(holder: Value, items: Sequence[Value], gone: set[int]) -> Iterator[Edit]:
    kept = [item for item in items if item.start not in gone]
    if not kept:
        yield Edit(holder.start + 1, holder.end - 1, "")
        return
    # In front of the first that stays the comma behind goes, everywhere else the one before.
    if items[0].start in gone:
        yield Edit(items[0].first, kept[0].first, "")
    for before, item in pairwise(items):
        if item.start in gone and item.start > kept[0].start:
            yield Edit(before.end, item.end, "")


def _comma(text: str, holder: Value, items: Sequence[Value]) -> str:
    """Return what separates the last two of some members or elements."""
    if len(items) > 1:
        return text[items[-2].end : items[-1].first]
    return "," + text[holder.start + 1 : items[-1].first]


def _record(record: MiscRecord) -> dict[str, Any]:
    amount = record.mass_g if record.mass_g is not None else record.volume_ml
    assert amount is not None
    timing: dict[str, Any] = {"use": _USES.get(record.use, record.use)}
    if record.step is not None:
        timing["step"] = record.step
    return {
        "name": record.name,
        "type": record.kind,
        "amount": {"value": amount, "unit": "g" if record.mass_g is not None else "ml"},
        "timing": timing,
    }


def _written(members: Mapping[str, Any], style: _Style, inner: _Style) -> str:
    from recipe_tools.editing.records import decimal_text

    pairs = []
    for name, value in members.items():
        if isinstance(value, dict):
            shown = _written(value, inner, inner)
        elif isinstance(value, float):
            shown = decimal_text(value)
        else:
            shown = json.dumps(value, ensure_ascii=False)
        pairs.append(f"{json.dumps(name)}{style.colon}{shown}")
    between = f",{style.lead}" if style.lines else style.comma
    return f"{{{style.lead}{between.join(pairs)}{style.close}}}"


def _whole_list(values: JsonSpans, ingredients: Value, records: Sequence[MiscRecord]) -> str:
    """Return a new list of records as the value of a member of the ingredients."""
    holder = _style_of(values, ingredients)
    outer, inner = _record_styles(values, ingredients)
    if outer.lines:
        lead, close = outer.close, holder.lead
    elif holder.lines:
        lead, close = _deeper(values, ingredients, 1), holder.lead
    else:
        lead = close = ""
    between = f",{lead}" if lead else outer.comma
    return f"[{lead}{between.join(_written(_record(r), outer, inner) for r in records)}{close}]"


def _record_styles(values: JsonSpans, ingredients: Value) -> tuple[_Style, _Style]:
    """Return the styles of a record of an ingredient list and of the objects within it."""
    for name in (_LIST, *_SIBLINGS):
        listed = values.member(ingredients, name)
        for item in reversed(values.inside(listed) if listed is not None else ()):
            if values.text[item.start] == "{" and values.inside(item):
                outer = _style_of(values, item)
                return outer, _nested(values, item, outer)
    holder = _style_of(values, ingredients)
    if not holder.lines:
        return holder, holder
    outer = _Style(_deeper(values, ingredients, 2), _deeper(values, ingredients, 1), ", ", ": ")
    return outer, _Style(_deeper(values, ingredients, 3), outer.lead, ", ", ": ")


def _nested(values: JsonSpans, record: Value, outer: _Style) -> _Style:
    for member in reversed(values.inside(record)):
        if values.text[member.start] == "{" and values.inside(member):
            return _style_of(values, member)
    if not outer.lines:
        return outer
    unit = outer.lead[len(outer.close) :] if outer.lead.startswith(outer.close) else "  "
    return _Style(outer.lead + unit, outer.lead, outer.comma, outer.colon)


def _style_of(values: JsonSpans, holder: Value) -> _Style:
    """Return how an object is set; one without members like the document as a whole."""
    text = values.text
    members = values.inside(holder)
    if not members:
        spaced = '": ' in text
        return _Style("", "", ", " if spaced else ",", ": " if spaced else ":")
    first, last = members[0], members[-1]
    lead = text[holder.start + 1 : first.name_start]
    comma = text[members[-2].end : last.name_start] if len(members) > 1 else ""
    colon = text[last.name_end : last.start]
    if not comma or "\n" in comma or "\r" in comma:
        comma = ", " if colon.endswith(" ") else ","
    return _Style(lead, text[last.end : holder.end - 1], comma, colon)


def _deeper(values: JsonSpans, holder: Value, levels: int) -> str:
    """Return line break and indentation so many levels below the members of an object."""
    style = _style_of(values, holder)
    unit = style.lead[len(style.close) :] if style.lead.startswith(style.close) else ""
    return style.lead + (unit or "  ") * levels
