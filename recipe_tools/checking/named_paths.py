"""Paths that name records instead of counting them, so that fingerprints outlive new neighbours.

``/beerjson/recipes/0/ingredients/miscellaneous_additions/2/amount`` is the third addition only as
long as nobody puts another one in front of it; ``.../miscellaneous_additions/Gypsum/amount`` stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from recipe_tools.recipe import (
    Addition,
    Culture,
    Fermentable,
    Hop,
    MashStep,
    Recipe,
    WaterSource,
)

Record = Addition | Culture | Fermentable | Hop | MashStep | WaterSource


def record_paths(recipe: Recipe, *, alone: bool) -> Mapping[str, str]:
    """Return for the path of each named record of a recipe, and of the recipe, the path by name.

    Records of one name share it: what is found in them is told apart by order. alone: the recipe is
    the only one of its file; it needs no name there, and giving it another one changes nothing.
    """
    root = recipe.origin.path
    own = f"{_list(root)}/{recipe.name}" if recipe.name else root
    paths = {root: "" if alone else own}
    for record in _records(recipe):
        # What stands in the notes has no place of its own.
        if not record.name or not record.origin.members:
            continue
        place = record.origin.path
        paths[place] = f"{paths[root]}{_list(place.removeprefix(root))}/{record.name}"
    return paths


def _list(path: str) -> str:
    """Return the path of the list a record stands in: its own without place among neighbours."""
    return path.rpartition("/")[0]


def _records(recipe: Recipe) -> Iterator[Record]:
    yield from recipe.fermentables
    yield from recipe.hops
    yield from recipe.additions
    yield from recipe.cultures
    yield from recipe.waters
    if recipe.mash is not None:
        yield from recipe.mash.steps


def named(pointer: str, paths: Mapping[str, str]) -> str:
    """Return a symbolic path with the record it lies in, or is, by its name."""
    head = pointer
    while head:
        path = paths.get(head)
        if path is not None:
            return path + pointer[len(head) :]
        head = head.rpartition("/")[0]
    return pointer
