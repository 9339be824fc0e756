"""Places in the text of a file: lines and columns as people and editors count them."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Mapping
from functools import cache
from typing import NamedTuple


class Region(NamedTuple):
    """A stretch of text: 1-based lines and columns in Unicode code points, end exclusive."""

    line: int
    column: int
    end_line: int
    end_column: int


class Written(NamedTuple):
    """A value as the file spells it (without the blanks around it), and where it stands."""

    text: str
    region: Region


class LineIndex:
    """Turns offsets into a text (code points, 0-based) into lines and columns.

    A line ends with LF, CR LF or CR.
    """

    __slots__ = ("_starts",)

    def __init__(self, text: str) -> None:
        self._starts = [0, *(match.end() for match in _line_break().finditer(text))]

    def place(self, offset: int) -> tuple[int, int]:
        """Return the 1-based (line, column) of an offset."""
        line = bisect_right(self._starts, offset)
        return line, offset - self._starts[line - 1] + 1

    def region(self, start: int, end: int) -> Region:
        """Return the region from one offset up to, and without, another."""
        return Region(*self.place(start), *self.place(end))


def places(text: str, offsets: Iterable[int]) -> Mapping[int, tuple[int, int]]:
    """Return the 1-based (line, column) of each offset, as `LineIndex` does.

    Counting the lines between one offset and the next is cheaper than an index of them all.
    """
    if "\r" in text:
        index = LineIndex(text)
        return {offset: index.place(offset) for offset in offsets}
    found: dict[int, tuple[int, int]] = {}
    line, done = 1, 0
    for offset in sorted(offsets):
        line += text.count("\n", done, offset)
        found[offset] = (line, offset - text.rfind("\n", 0, offset))
        done = offset
    return found


def lines_of(text: str) -> list[str]:
    """Return the lines of a text without their ends, as `LineIndex` counts them."""
    return _line_break().split(text) if "\r" in text else text.split("\n")


@cache
def _line_break() -> re.Pattern[str]:
    return re.compile(r"\r\n|\r|\n")
