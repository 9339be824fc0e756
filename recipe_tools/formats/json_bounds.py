"""Cuts what is larger than the limits out of a parsed document, before anything looks at it.

Each entry that is wrong costs a finding; a file of 32 MiB can hold ten million of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from recipe_tools.formats.json_parse import containers
from recipe_tools.limits import Limits

MOST_ENTRIES: Final = 10_000
"""Entries of a list that no limit names, and members of an object (derived_default)."""

_ADDITIONS: Final = frozenset(
    {
        "fermentable_additions",
        "hop_additions",
        "miscellaneous_additions",
        "culture_additions",
        "water_additions",
    }
)


@dataclass(frozen=True, slots=True)
class Cut:
    """A list or object of which only the first ``most`` of its ``size`` entries are left."""

    pointer: str
    what: str
    size: int
    most: int


def cut_to_limits(text: str, value: Any, limits: Limits) -> tuple[Cut, ...]:
    """Cut the lists and objects of the value parsed from a text; return what was cut."""
    least = min(limits.max_recipes, limits.max_additions, MOST_ENTRIES)
    # A list of n entries takes n - 1 commas, and hardly any file has that many.
    if text.count(",") < least:
        return ()
    return tuple(
        cut
        for pointer, item in containers(value)
        if (cut := _cut(pointer, item, limits)) is not None
    )


def _cut(pointer: str, item: Any, limits: Limits) -> Cut | None:
    name = pointer.rpartition("/")[2]
    size = len(item)
    if type(item) is dict:
        if size <= MOST_ENTRIES:
            return None
        for member in list(item)[MOST_ENTRIES:]:
            del item[member]
        return Cut(pointer, "members in one object", size, MOST_ENTRIES)
    most = _most(name, limits)
    if size <= most:
        return None
    del item[most:]
    return Cut(pointer, name.replace("_", " ") or "entries", size, most)


def _most(name: str, limits: Limits) -> int:
    if name == "recipes":
        return limits.max_recipes
    return limits.max_additions if name in _ADDITIONS else MOST_ENTRIES
