"""A part of one malt given up for another: the record of the first changed, one put behind it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, Final

from recipe_tools.editing.document import Document, Edit, EditError, open_document
from recipe_tools.editing.json_records import record_behind
from recipe_tools.editing.records import decimal_text
from recipe_tools.editing.xml_records import record_text
from recipe_tools.formats.json_spans import JsonSpans
from recipe_tools.formats.xml_spans import XmlSpans
from recipe_tools.recipe import Fermentable, FormatName
from recipe_tools.units import lovibond

_COLOUR_DIGITS: Final = 2
_NO_AMOUNT: Final = (
    "the amount of the malt that gives way to acidulated malt is not written as a plain number; "
    "change both by hand, then run this again for the rest"
)


def swap_malt(
    data: bytes, format_name: FormatName, kept: Fermentable, share: float, added: Fermentable
) -> bytes:
    """Return a file in which a malt has given way to another one, put behind it.

    kept: the record that gives way, with what stays of it, which is so large a share (0..1) of its
    amount. added: a grain with amount and colour. A text for showing that repeats the old amount
    goes. Raises EditError where there is no amount to change.
    """
    document = open_document(data, format_name)
    edits = (_xml if format_name == "beerxml" else _json)(document, kept, share, added)
    return document.edited(list(edits))


def _xml(document: Document, kept: Fermentable, share: float, added: Fermentable) -> Iterator[Edit]:
    del share
    record = XmlSpans(document.text).find(kept.origin.path)
    amount = record.first("AMOUNT") if record is not None else None
    if record is None or amount is None or amount.self_closed:
        raise EditError(_NO_AMOUNT)
    yield Edit(amount.open_end, amount.close_start, decimal_text(kept.amount_kg or 0.0))
    for shown in record.named("DISPLAY_AMOUNT"):
        yield Edit(shown.start - len(shown.gap_before()), shown.end, "")
    fields = {"NAME": added.name, "VERSION": "1", "TYPE": "Grain"}
    fields["AMOUNT"] = decimal_text(added.amount_kg or 0.0)
    if added.yield_percent is not None:
        fields["YIELD"] = decimal_text(added.yield_percent)
    if added.colour_ebc is not None:
        fields["COLOR"] = decimal_text(round(lovibond(added.colour_ebc), _COLOUR_DIGITS))
    yield Edit(record.end, record.end, record_text(record, fields.items()))


def _json(
    document: Document, kept: Fermentable, share: float, added: Fermentable
) -> Iterator[Edit]:
    path, values = kept.origin.path, JsonSpans(document.text)
    record = values.find(path)
    amount = values.member(record, "amount") if record is not None else None
    if amount is not None and document.text[amount.start] == "{":
        amount = values.member(amount, "value")
    if record is None or amount is None:
        raise EditError(_NO_AMOUNT)
    try:
        scaled = decimal_text(float(values.raw(amount)) * share)
    except ValueError:
        raise EditError(_NO_AMOUNT, document.line(amount.start)) from None
    yield Edit(amount.start, amount.end, scaled)
    members: dict[str, Any] = {"name": added.name, "type": "grain", "grain_group": "specialty"}
    if added.yield_percent is not None:
        members["yield"] = {"fine_grind": {"value": added.yield_percent, "unit": "%"}}
    if added.colour_ebc is not None:
        members["color"] = {"value": added.colour_ebc, "unit": "EBC"}
    members["amount"] = {"value": added.amount_kg, "unit": "kg"}
    timing = values.member(record, "timing")
    if timing is not None:
        members["timing"] = json.loads(values.raw(timing))
    yield record_behind(values, path, members)
