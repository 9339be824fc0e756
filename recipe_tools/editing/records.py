"""Additions put into recipes and records taken out of them, in the style of their neighbours."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from recipe_tools.editing.document import EditError, open_document
from recipe_tools.editing.mending import HARMLESS
from recipe_tools.limits import DEFAULT_LIMITS, Limits
from recipe_tools.recipe import Addition, FormatName, Recipe, SourceFile

if TYPE_CHECKING:
    from recipe_tools.formats.result import ReadResult

_NOT_FOR_FILES = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


@dataclass(frozen=True, slots=True)
class MiscRecord:
    """An addition to be written.

    kind: ``water agent`` or ``other``. use: ``mash``, ``sparge``, ``boil``, ``primary``,
    ``secondary`` or ``bottling``. step: number of the mash step from 1 (BeerJSON only; BeerXML has
    no place for it). Either mass_g or volume_ml is given. notes: BeerXML only; BeerJSON has none on
    an addition.
    """

    name: str
    kind: str = "water agent"
    use: str = "mash"
    step: int | None = None
    mass_g: float | None = None
    volume_ml: float | None = None
    notes: str = ""


def insert_misc_records(
    data: bytes,
    format_name: FormatName,
    recipe_index: int,
    records: Sequence[MiscRecord],
    limits: Limits = DEFAULT_LIMITS,
) -> bytes:
    """Return a file with additions behind those a recipe has. recipe_index: 0-based.

    Every byte of the file stays; the new records are set like their neighbours. Raises EditError
    where the file has no such recipe, can only be read with repairs or would not read as expected.
    """
    before = _read(data, format_name, limits)
    if not 0 <= recipe_index < len(before.recipes):
        raise EditError(f"it has no recipe {recipe_index + 1}")
    for record in records:
        _check(record)
    if not records:
        return data
    recipe = before.recipes[recipe_index]
    document = open_document(data, format_name)
    if format_name == "beerxml":
        from recipe_tools.editing import xml_records

        edit = xml_records.insertion(document, recipe.origin.path, records)
    else:
        from recipe_tools.editing import json_records

        edit = json_records.insertion(document, recipe.origin.path, records)
    new = document.edited([edit])
    _verify(before, _read(new, format_name, limits), recipe_index, records)
    return new


def remove_records(data: bytes, format_name: FormatName, pointers: Collection[str]) -> bytes:
    """Return a file without the records (or fields) at some symbolic paths.

    What separates them from their neighbours goes with them. Raises EditError where there is
    nothing at a path.
    """
    document = open_document(data, format_name)
    wanted = tuple(dict.fromkeys(pointers))
    if format_name == "beerxml":
        from recipe_tools.editing import xml_records

        return document.edited(xml_records.removals(document, wanted))
    from recipe_tools.editing import json_records

    return document.edited(json_records.removals(document, wanted))


def decimal_text(value: float) -> str:
    """Return a number as people write it: no exponent, no binary noise, nothing beyond 1e-9."""
    text = format(Decimal(repr(round(value, 9))), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _check(record: MiscRecord) -> None:
    amounts = [item for item in (record.mass_g, record.volume_ml) if item is not None]
    if len(amounts) != 1 or not math.isfinite(amounts[0]) or amounts[0] < 0:
        raise ValueError(f"{record.name!r} needs one amount, by mass or by volume")
    if not record.name.strip() or _NOT_FOR_FILES.search(record.name):
        raise EditError("the name of an addition holds characters that cannot be written")


def _read(data: bytes, format_name: FormatName, limits: Limits) -> ReadResult:
    from recipe_tools import formats

    found = formats.read(SourceFile("", data, format_name), limits)
    if found.status != "checked":
        raise EditError("it could not be read in full")
    repairs = [label for label in found.repaired if label not in HARMLESS]
    if repairs:
        raise EditError(f"it can only be read with repairs ({', '.join(repairs)})")
    return found


def _verify(
    before: ReadResult, after: ReadResult, index: int, records: Sequence[MiscRecord]
) -> None:
    same = len(before.recipes) == len(after.recipes) and before.waters == after.waters
    if not same or not all(
        _grown(old, new, records if place == index else ())
        for place, (old, new) in enumerate(zip(before.recipes, after.recipes, strict=True))
    ):
        raise EditError("the file with the additions would not read as expected")


def _grown(old: Recipe, new: Recipe, records: Sequence[MiscRecord]) -> bool:
    # Records that stray outside their set are read behind those in it, so places may shift.
    known = {item.origin.path for item in old.additions}
    kept = tuple(item for item in new.additions if item.origin.path in known)
    added = [item for item in new.additions if item.origin.path not in known]
    return (
        old._replace(additions=()) == new._replace(additions=())
        and kept == old.additions
        and len(added) == len(records)
        and all(map(_reads_as, records, added))
    )


def _reads_as(record: MiscRecord, addition: Addition) -> bool:
    wanted, found = (
        (record.mass_g, addition.mass_g)
        if record.mass_g is not None
        else (record.volume_ml, addition.volume_ml)
    )
    if found is None or wanted is None or not math.isclose(wanted, found, abs_tol=1e-5):
        return False
    return addition.name == " ".join(record.name.split()) and addition.kind == record.kind
