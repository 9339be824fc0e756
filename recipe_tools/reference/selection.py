"""Rows and columns of a reference table, chosen by a short text: what stands behind one rule.

``brewing_ion_ranges[ion=sodium](low,high)`` is the rows on sodium with two of their columns.
A condition is ``column=value|value``, or ``column!=`` for a cell that is not empty; several columns
before ``!=`` mean any of them. Source and mark of a row always come along.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from recipe_tools.reference.tables import table

_SELECTION = re.compile(r"(\w+)(?:\[([\w,]+)(!?=)([^\]]*)\])?(?:\(([\w,]+)\))?")
_ORIGIN = ("source", "mark")


class Selection(NamedTuple):
    """The rows chosen. title: table and condition in words."""

    title: str
    rows: tuple[Mapping[str, str], ...]


def select(text: str) -> Selection:
    """Return the rows a text chooses.

    Raises ValueError for a text that is none, KeyError for a table or column that does not exist.
    """
    match = _SELECTION.fullmatch(text)
    if match is None:
        raise ValueError(f"no selection of reference rows: {text}")
    name, keys, sign, values, columns = match.groups()
    rows = table(name)
    title = name
    if keys is not None:
        names = keys.split(",")
        wanted = frozenset(values.split("|"))
        rows = tuple(row for row in rows if any(_meets(row[key], sign, wanted) for key in names))
        if sign == "=":
            title = f"{name}, {keys} {values.replace('|', ', ').replace('_', ' ')}"
    if columns is not None:
        shown = (*columns.split(","), *_ORIGIN)
        rows = tuple({column: row[column] for column in shown} for row in rows)
    return Selection(title, rows)


def _meets(cell: str, sign: str, wanted: frozenset[str]) -> bool:
    return bool(cell) if sign == "!=" else cell in wanted
