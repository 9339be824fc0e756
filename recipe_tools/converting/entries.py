"""Entries of lists in BeerJSON of which BeerXML has the values as tags."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from recipe_tools.converting.source import Node, Value, fields_of
from recipe_tools.formats.fields import FIELDS


def _labels() -> Iterator[str]:
    for item in FIELDS:
        holder, bracket, rest = item.entry.partition("[")
        if bracket:
            word = rest.partition("]")[0].partition("=")[2]
            yield from (word, word[:1].upper() + word[1:], holder.partition("/")[0].capitalize())


LABELS: Final = frozenset(_labels())
"""Words and names that only tell which tag an entry stands for."""


def entries_of(node: Node) -> dict[str, Value]:
    """Return the values that stand in entries of lists in BeerJSON, by tag."""
    found: dict[str, Value] = {}
    for name, item in fields_of(node.record).items():
        holder, bracket, rest = item.entry.partition("[")
        if not bracket:
            continue
        chooser, _, member = rest.partition("]/")
        inside, word = chooser.split("=")
        entry = _chosen(_nodes_at(node, holder), inside, word)
        if entry is None:
            continue
        wanted = next(
            (one for one, other in fields_of(entry.record).items() if other.path == member), ""
        )
        if wanted in entry.values:
            found[name] = entry.values[wanted]
    return found


_ORDER: Final = ("Primary", "Secondary", "Tertiary", "Ageing")


def _chosen(entries: list[Node], inside: str, word: str) -> Node | None:
    """Return the entry that a word tells from the others; steps without such a name by order."""
    by_word = {str(_raw(entry, inside)): entry for entry in reversed(entries)}
    if word in by_word or inside != "name":
        return by_word.get(word)
    unnamed = [entry for entry in entries if _raw(entry, inside) not in _ORDER]
    free = [name for name in _ORDER if name not in by_word]
    return dict(zip(free, unnamed, strict=False)).get(word)


def _raw(node: Node, path: str) -> object:
    for name, item in fields_of(node.record).items():
        if item.path == path and name in node.values:
            return node.values[name].raw
    return None


def _nodes_at(node: Node, path: str) -> list[Node]:
    nodes = [node]
    for segment in path.split("/"):
        nodes = [
            child
            for one in nodes
            for name, item in fields_of(one.record).items()
            if item.path == segment
            for child in one.children.get(name, [])
        ]
    return nodes
