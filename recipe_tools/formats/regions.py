"""Places in the text of a file: lines and columns as people and editors count them."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass

_LINE_BREAK = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True, slots=True)
class Region:
    """A stretch of text: 1-based lines and columns in Unicode code points, end exclusive."""

    line: int
    column: int
    end_line: int
    end_column: int


@dataclass(frozen=True, slots=True)
class Written:
    """A value as the file spells it (without the blanks around it), and where it stands."""

    text: str
    region: Region


START_OF_FILE = Region(1, 1, 1, 1)


class LineIndex:
    """Turns offsets into a text (code points, 0-based) into lines and columns.

    A line ends with LF, CR LF or CR.
    """

    __slots__ = ("_starts",)

    def __init__(self, text: str) -> None:
        self._starts = [0, *(match.end() for match in _LINE_BREAK.finditer(text))]

    def place(self, offset: int) -> tuple[int, int]:
        """Return the 1-based (line, column) of an offset."""
        line = bisect_right(self._starts, offset)
        return line, offset - self._starts[line - 1] + 1

    def region(self, start: int, end: int) -> Region:
        """Return the region from one offset up to, and without, another."""
        return Region(*self.place(start), *self.place(end))
