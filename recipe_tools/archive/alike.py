"""Recipes of an archive that are the same, or nearly: the same file, beer, or grist and water."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from math import floor, log
from typing import Literal, NamedTuple

from recipe_tools.archive.totals import Totals

Kind = Literal["identical files", "same recipe", "same grist and water"]

NEAR = 0.03
"""Relative difference up to which the amounts of a malt count as the same (derived_default)."""

_NEXT_TO_NOTHING = 0.001
"""Difference in kg per litre of beer that never counts."""


@dataclass(frozen=True, slots=True)
class Alike:
    """A group of recipes as (number of the file, place in it), in the order of paths.

    kind: ``same recipe`` differs at most in name, notes and batch size; ``same grist and water``
    has the same malts in the same amounts per litre of beer and the same source water, but other
    hops or additions; recipes that are the same stand for each other there.
    """

    kind: Kind
    members: tuple[tuple[int, int], ...]


def alike(totals: Totals) -> Iterator[Alike]:
    """Yield the groups: identical files and same recipes by path, then those nearly the same."""
    totals.connection.execute("CREATE INDEX IF NOT EXISTS by_whole ON recipes (whole)")
    yield from _same(totals)
    totals.connection.execute("CREATE INDEX IF NOT EXISTS by_grist ON recipes (grist, water)")
    yield from _near(totals)


def _same(totals: Totals) -> Iterator[Alike]:
    groups = totals.connection.execute(
        "SELECT whole FROM recipes WHERE whole != '' GROUP BY whole HAVING count(*) > 1"
        " ORDER BY min(number), min(place)"
    ).fetchall()
    for (whole,) in groups:
        rows = totals.connection.execute(
            "SELECT number, place, digest FROM recipes JOIN files USING (number)"
            " WHERE whole = ? ORDER BY number, place",
            (whole,),
        ).fetchall()
        files = {number for number, _, _ in rows}
        identical = len(files) > 1 and len({digest for _, _, digest in rows}) == 1
        kind: Kind = "identical files" if identical else "same recipe"
        yield Alike(kind, tuple((number, place) for number, place, _ in rows))


class _Candidate(NamedTuple):
    number: int
    place: int
    whole: str
    amounts: tuple[float, ...]


def _near(totals: Totals) -> Iterator[Alike]:
    # One recipe stands for all that are the same; those have a group of their own.
    rows = totals.connection.execute(
        "SELECT grist, water, min(number), place, whole, amounts FROM recipes"
        " WHERE grist != '' GROUP BY grist, water, whole ORDER BY grist, water, 3, place"
    )
    found = []
    for _, items in groupby(rows, key=lambda row: row[:2]):
        candidates = [
            _Candidate(number, place, whole, tuple(map(float, amounts.split())))
            for _, _, number, place, whole, amounts in items
        ]
        if len(candidates) > 1:
            found += [group for group in _clusters(candidates) if len(group) > 1]
    for group in sorted(found):
        yield Alike("same grist and water", tuple(group))


def _clusters(candidates: list[_Candidate]) -> Iterator[list[tuple[int, int]]]:
    """Yield the groups around the first recipe of each; all have the same malts and water."""
    by_strength: dict[int, list[tuple[tuple[float, ...], list[tuple[int, int]]]]] = {}
    for item in candidates:
        strength = _strength(item.amounts)
        near = (group for step in (-1, 0, 1) for group in by_strength.get(strength + step, ()))
        group = next(
            (members for first, members in near if _same_amounts(first, item.amounts)), None
        )
        if group is None:
            by_strength.setdefault(strength, []).append((item.amounts, [(item.number, item.place)]))
        else:
            group.append((item.number, item.place))
    for groups in by_strength.values():
        yield from (members for _, members in groups)


def _strength(amounts: tuple[float, ...]) -> int:
    """Return a step of the logarithm of the grist; recipes alike are at most one step apart."""
    return floor(log(max(sum(amounts), _NEXT_TO_NOTHING)) / (2 * NEAR))


def _same_amounts(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return len(one) == len(other) and all(
        abs(first - second) <= NEAR * max(first, second) + _NEXT_TO_NOTHING
        for first, second in zip(one, other, strict=True)
    )
