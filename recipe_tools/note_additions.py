"""Additions to the sparge that a file has no record for, as lines of its notes.

BeerXML 1.0 has no place for the sparge, and a BeerJSON recipe may have no sparge step. What `dose
--apply` puts there in words is read again as the addition it is, also where its amount or name was
changed by hand; the volume named in the line is for the brewer and counts for nothing.
"""

import re
from collections.abc import Iterator
from itertools import islice
from typing import Final, NamedTuple

from recipe_tools.own_block import OwnBlock, find_own_block, strip_own_block
from recipe_tools.recipe import Addition, Origin

_MARK: Final = "nto the sparge water"
_LINE = re.compile(
    rf"(?:^[ \t]*|(?<=[.!?][ \t]))[Ii]{_MARK}(?: of [^:\r\n]{{0,40}})?:"
    r"(?P<what>[^\r\n]*?)(?:\.(?=\s|\Z)|(?=[\r\n]|\Z))",
    re.M,
)
_DOSE = re.compile(
    r"\s*(?P<number>[0-9]{1,9}(?:[.,][0-9]{1,9})?)\s*(?P<unit>kg|g|mg|ml|l)\s+(?P<name>\S.*)", re.I
)
_GRAMS: Final = {"kg": 1000.0, "g": 1.0, "mg": 0.001}
_MILLILITRES: Final = {"ml": 1.0, "l": 1000.0}
MOST_LINES: Final = 100
"""Lines that are read in the notes of one recipe (derived_default)."""


class NoteAddition(NamedTuple):
    """A line of the notes for the sparge.

    start, end: in code points of the notes. number: of its line in the notes, from 1. addition:
    what it says; None where it has no amount and name, or stands behind the last that is read.
    """

    start: int
    end: int
    number: int
    text: str
    addition: Addition | None


def sparge_line(name: str, mass_g: float | None, volume_ml: float | None, litres: float) -> str:
    """Return the line for an addition to so many litres of sparge water; 0: not known."""
    of = f" of {litres:.1f} L" if litres > 0 else ""
    amount = f"{mass_g:g} g" if mass_g is not None else f"{volume_ml or 0.0:g} mL"
    return f"Into the sparge water{of}: {amount} {name}."


def note_additions(notes: str, origin: Origin) -> tuple[Addition, ...]:
    """Return what the lines of some notes add to the sparge. origin: of the notes."""
    return tuple(
        item.addition._replace(origin=origin)
        for item in find_note_additions(notes)
        if item.addition is not None
    )


def find_note_additions(notes: str) -> tuple[NoteAddition, ...]:
    """Return the lines for the sparge in some notes, read or not, in their order.

    Behind `MOST_LINES` of them one more is returned, unread, and no other. What stands in the block
    of `recipe-tools annotate` is no line of a plan.
    """
    return tuple(_lines(notes)) if _MARK in notes else ()


def without_note_additions(notes: str) -> str:
    """Return notes without block and lines of this program, for reading what people wrote."""
    text = strip_own_block(notes)
    return _LINE.sub("", text) if _MARK in text else text


def _lines(notes: str) -> Iterator[NoteAddition]:
    block = find_own_block(notes)
    first = last = 0
    if isinstance(block, OwnBlock):
        first, last = block.start, block.end
    elif block is not None and block.end is not None:
        first, last = block.at, block.end
    outside = (item for item in _LINE.finditer(notes) if not first <= item.start() < last)
    number, counted = 1, 0
    for place, match in enumerate(islice(outside, MOST_LINES + 1)):
        start = match.end() - len(match[0].lstrip())
        number, counted = number + notes.count("\n", counted, start), start
        addition = _addition(match["what"]) if place < MOST_LINES else None
        yield NoteAddition(start, match.end(), number, match[0].strip(), addition)


def _addition(what: str) -> Addition | None:
    match = _DOSE.fullmatch(what)
    if match is None:
        return None
    unit = match["unit"].lower()
    number = float(match["number"].replace(",", "."))
    grams, millilitres = _GRAMS.get(unit), _MILLILITRES.get(unit)
    return Addition(
        " ".join(match["name"].split()),
        "water agent",
        "sparge",
        amount=number,
        unit=unit,
        mass_g=None if grams is None else round(number * grams, 6),
        volume_ml=None if millilitres is None else round(number * millilitres, 6),
    )
