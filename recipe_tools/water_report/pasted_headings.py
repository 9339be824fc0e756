"""The heading of a copied table: which column holds what, in the words of many countries."""

from __future__ import annotations

import re
from collections.abc import Sequence

from recipe_tools.reference.report_names import report_column
from recipe_tools.water_report.pasted_figures import SLOTS, Slot, is_unit

PLAIN_FIGURE = re.compile(r"\s*[<≤]?\s*\d+(?:[.,]\d+)?\s*")
"""A cell that is nothing but a number, as no heading has one."""
_BRACKETS = re.compile(r"[\[\](){}|;,:]")
_DIGIT = re.compile(r"\d")


def heading_of(cells: Sequence[str]) -> list[Slot]:
    """Return the columns that the cells of a heading name, none where it is no heading."""
    if len(cells) > 2:
        slots = [] if any(map(PLAIN_FIGURE.fullmatch, cells)) else list(map(_slot, cells))
        known = [slot.kind for slot in slots if slot.kind != "other"]
        return slots if len(known) > 1 and {*known} & {*SLOTS, "unit"} else []
    words = _BRACKETS.sub(" ", " ".join(cells)).split()
    if any(_DIGIT.search(word) and not is_unit(word) for word in words):
        return []
    # ``Valore limite`` is one column, and two where no other holds the measurement.
    for longest in (4, 1):
        kinds, others = _kinds(words, longest)
        if {"value", "min", "mean", "max"} & {*kinds}:
            break
    # Prose holds such words too, but mostly others.
    if len(kinds) < max(2, len([word for word in others if not is_unit(word)])):
        return []
    unit = next(filter(is_unit, others), "")
    return [Slot(kind, unit) for kind in kinds] if {*kinds} & {*SLOTS, "unit"} else []


def _slot(cell: str) -> Slot:
    """Return what the cell of a heading says of its column: ``Messwert 2024 (mg/l)``."""
    bare, _, bracket = cell.partition("(") if "(" in cell else cell.partition("[")
    kind = report_column(cell) or report_column(bare) or ("unit" if is_unit(cell) else "")
    if not kind:
        kinds, _ = _kinds(_BRACKETS.sub(" ", bare).split(), 4)
        kind = kinds[0] if len(kinds) == 1 else "other"
    unit = bracket.rstrip(")] ")
    return Slot(kind, unit if unit and is_unit(unit) else "")


def _kinds(words: Sequence[str], longest: int) -> tuple[list[str], list[str]]:
    """Return the columns that words name, of up to a number of words each, and the other words.

    Words that name the same column one behind the other are one: ``Grenzwert lt. TrinkwV``.
    """
    words = list(words)
    kinds: list[str] = []
    others: list[str] = []
    while words:
        for length in range(longest, 0, -1):
            kind = report_column(" ".join(words[:length])) if len(words) >= length else ""
            if kind:
                kinds += [] if kinds[-1:] == [kind] else [kind]
                break
        else:
            length = 1
            others.append(words[0])
        del words[:length]
    return kinds, others
