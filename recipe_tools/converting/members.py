"""Members of a BeerJSON record: set by the names that lead to them, and brought into order."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from recipe_tools.converting.shapes import Shape

Json = dict[str, Any]


def next_place(path: str, lists: Mapping[str, list[Json]]) -> str:
    """Return the pointer of the next record in one of the document's own lists."""
    return f"/beerjson/{path}/{len(lists.get(path, ()))}"


def put(record: Json, path: str, value: Any) -> Any:
    """Set a member by the names that lead to it; a list that is there stays, and is returned."""
    *above, name = path.split("/")
    for one in above:
        record = record.setdefault(one, {})
    if isinstance(value, list):
        return record.setdefault(name, value)
    record[name] = value
    return value


def drop(record: Json, path: str) -> None:
    """Take a member out, and what held it alone."""
    above, _, name = path.rpartition("/")
    holder = record.get(above, {}) if above else record
    holder.pop(name, None)
    if above and not holder:
        record.pop(above, None)


def required_of(shape: Shape, path: str) -> tuple[str, ...]:
    """Return the names of the members that a member must have."""
    inner = shape.at(path)
    return inner.required if inner is not None else ()


def in_order(record: Json, shape: Shape) -> Json:
    """Return a record with its members in the order of the schema."""
    ordered = {name: record[name] for name in shape.members if name in record}
    for name, value in ordered.items():
        inner = shape.at(name)
        if isinstance(value, dict) and inner is not None and not inner.units:
            ordered[name] = in_order(value, inner)
    return ordered


def shown_member(written: Any) -> Any:
    """Return a member as a list shows it."""
    if isinstance(written, dict) and written.keys() == {"unit", "value"}:
        return f"{written['value']} {written['unit']}"
    return written
