"""Lines in the notes of a recipe that accept a finding: the one place both standards have for it.

``recipe-tools: ignore RULE because REASON``, each on a line of its own. What the block of
`recipe-tools annotate` holds is no such line; where that block is damaged, none is read.
"""

import re
from collections.abc import Iterator
from itertools import islice
from typing import Final, NamedTuple

from recipe_tools.own_block import DamagedBlock, find_own_block, strip_own_block

_MARK: Final = "recipe-tools:"
_LINE = re.compile(
    r"^[ \t]*recipe-tools:[ \t]*ignore\b(?:[ \t]+(?!because\b)(?P<rule>[^\s]+))?"
    r"(?:[ \t]+because\b[ \t]*(?P<reason>[^\r\n]*))?(?P<rest>[^\r\n]*)",
    re.M | re.I,
)
MOST_LINES: Final = 100
MOST_LETTERS: Final = 300
"""Lines that are read in the notes of one recipe, and letters of a reason (derived_default)."""


class NotedIgnore(NamedTuple):
    """A line that accepts what a rule finds. rule, reason: empty where the line has none."""

    rule: str
    reason: str


def noted_ignores(notes: str) -> tuple[NotedIgnore, ...]:
    """Return what some notes accept, in the order of their lines."""
    return tuple(islice(_read(notes), MOST_LINES)) if _MARK in notes.casefold() else ()


def without_noted_ignores(text: str) -> str:
    """Return notes without such lines: what they speak of is not in the beer."""
    return _LINE.sub("", text) if _MARK in text.casefold() else text


def _read(notes: str) -> Iterator[NotedIgnore]:
    block = find_own_block(notes)
    if isinstance(block, DamagedBlock) and block.end is None:
        return
    for match in _LINE.finditer(strip_own_block(notes)):
        reason = (match["reason"] or "").strip()
        yield NotedIgnore(match["rule"] or "", reason if len(reason) <= MOST_LETTERS else "")
