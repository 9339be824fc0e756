"""Root, names and quantities of BeerJSON, as the schemas have them."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any, Final

from recipe_tools.editing.document import Edit
from recipe_tools.editing.json_records import new_member
from recipe_tools.formats.beerjson_quantities import (
    BARE,
    KINDS_OF_RECORD,
    amount_unit,
    listed_unit,
)
from recipe_tools.formats.beerjson_schema import Deviation, deviations
from recipe_tools.formats.beerjson_unlisted import nearest_member
from recipe_tools.formats.fields import field_at, names_in
from recipe_tools.formats.json_parse import Parsed, parse
from recipe_tools.formats.json_spans import JsonSpans, Value
from recipe_tools.formats.numbers import written_number
from recipe_tools.tidying.choice import (
    COMMA,
    MISSING,
    MISSPELT,
    ROOT,
    TYPE,
    VERSION,
    WITH_UNIT,
    Step,
)
from recipe_tools.units import BEERJSON_FACTORS

_ROOT: Final = "beerjson"
_EDITION: Final = '"version": 1'
_AMOUNTS: Final = ("mass_or_volume", "mass_volume_or_count")


def root(step: Step) -> list[Edit]:
    """Put recipes without the member around them into it, and state the edition."""
    spans = JsonSpans(step.document.text)
    whole = spans.root
    if step.document.text[whole.start] != "{":
        return []
    body = spans.member(whole, _ROOT)
    if body is None:
        if not step.choice.takes(ROOT):
            return []
        before, behind = f'{{"{_ROOT}": ', "}"
        if spans.member(whole, "recipes") is None:
            before, behind = f'{before}{{{_EDITION}, "recipes": [', "]}}"
        return [Edit(whole.start, whole.start, before), Edit(whole.end, whole.end, behind)]
    if not step.choice.takes(VERSION) or step.document.text[body.start] != "{":
        return []
    if spans.member(body, "version") is not None:
        return []
    members = spans.inside(body)
    at = body.start + 1
    lead = step.document.text[at : members[0].name_start] if members else ""
    return [Edit(at, at, f"{lead}{_EDITION}{',' if members else ''}")]


def members(step: Step) -> list[Edit]:
    """Write misspelt members as their record has them."""
    if not step.choice.takes(MISSPELT):
        return []
    spans, taken, edits = JsonSpans(step.document.text), set[str](), list[Edit]()
    for item in _deviations(step):
        if item.keyword not in ("unlisted", "additionalProperties"):
            continue
        near = nearest_member(item.record, item.member)
        around = item.pointer.rpartition("/")[0]
        place = f"{around}/{near}"
        holder, value = spans.find(around), spans.find(item.pointer)
        if not near or holder is None or value is None or place in taken:
            continue
        if spans.member(holder, near) is None and step.choice.renames(field_at(names_in(place))):
            taken.add(place)
            edits.append(Edit(value.name_start, value.name_end, json.dumps(near)))
    if step.choice.meant:
        step.meant |= taken
    return edits


def quantities(step: Step) -> list[Edit]:
    """Give numbers and texts the form of their quantity: value and unit, whole numbers of time."""
    spans, edits = JsonSpans(step.document.text), list[Edit]()
    for item in _deviations(step):
        if item.keyword == "required" and item.member == "unit" and item.record in BARE:
            holder = spans.find(item.pointer.rpartition("/")[0])
            alone = holder is not None and len(spans.inside(holder)) == 1
            if holder is not None and alone and step.choice.takes(MISSING):
                edits.append(new_member(spans, holder, "unit", f'"{BARE[item.record]}"'))
        elif item.keyword == "type":
            value = spans.find(item.pointer)
            if value is not None:
                edits += _of_type(item, value, spans, step)
    return edits


def _of_type(item: Deviation, value: Value, spans: JsonSpans, step: Step) -> Iterator[Edit]:
    found, raw = item.found, spans.raw(value)
    number = type(found) is int or type(found) is float
    if item.expected == "string" and number and step.choice.takes(TYPE):
        yield Edit(value.start, value.end, f'"{raw}"')
    elif item.expected == "integer" and type(found) is float and item.record == "time":
        yield from _in_seconds(item, found, spans, step)
    elif item.expected == "object" and number and step.choice.takes(TYPE):
        if item.record == "efficiency":
            inside = _quantity(raw, "%")
            yield Edit(value.start, value.end, f'{{"brewhouse": {inside}}}')
        elif item.record in BARE:
            yield Edit(value.start, value.end, _quantity(raw, BARE[item.record]))
    elif item.expected == "object" and type(found) is str:
        yield from _from_text(item, found, value, step)


def _from_text(item: Deviation, text: str, value: Value, step: Step) -> Iterator[Edit]:
    written = written_number(text)
    if written is None or item.record not in KINDS_OF_RECORD:
        return
    if item.record in _AMOUNTS:
        unit = amount_unit(written.unit)[1]
    else:
        unit = listed_unit(KINDS_OF_RECORD[item.record][0], written.unit) or ""
    rule = COMMA if written.comma else WITH_UNIT if written.unit else TYPE
    if unit and math.isfinite(written.value) and step.choice.takes(rule):
        yield Edit(value.start, value.end, _quantity(f"{written.value:.15g}", unit))


def _in_seconds(item: Deviation, found: float, spans: JsonSpans, step: Step) -> Iterator[Edit]:
    """Write half a minute as the thirty seconds it is: times are whole numbers."""
    around = item.pointer.rpartition("/")[0]
    value, unit = spans.find(item.pointer), spans.find(f"{around}/unit")
    factors = BEERJSON_FACTORS["time"]
    word = json.loads(spans.raw(unit)) if unit is not None else ""
    if value is None or unit is None or not step.choice.takes(TYPE):
        return
    if type(word) is not str or word not in factors:
        return
    for smaller in sorted(factors, key=lambda name: -factors[name]):
        count = found * factors[word] / factors[smaller]
        if abs(count - round(count)) < 1e-9 * max(1.0, abs(count)):
            yield Edit(value.start, value.end, str(round(count)))
            yield Edit(unit.start, unit.end, f'"{smaller}"')
            return


def _quantity(number: str, unit: str) -> str:
    return f'{{"unit": "{unit}", "value": {number}}}'


def _deviations(step: Step) -> list[Deviation]:
    parsed = parse(step.document.text, step.limits.max_depth)
    if not isinstance(parsed, Parsed) or type(parsed.value) is not dict:
        return []
    value: dict[str, Any] = parsed.value
    part = "document" if _ROOT in value else "body" if "recipes" in value else "recipe"
    return deviations(value, part)
