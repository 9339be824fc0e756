"""The text of notes with its places in the file, so that a part of it can be cut out there."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass, field
from typing import Final

from recipe_tools.formats.xml_markup import ATTRIBUTES, NAME
from recipe_tools.own_block import OwnBlock

_XML_TOKEN = re.compile(
    rf"""
    (?P<open><!\[CDATA\[)
  | (?P<aside><!--.*?-->|<\?.*?\?>)
  | (?P<tag><(?P<end>/)?{NAME}{ATTRIBUTES}>)
  | (?P<code>&\#(?:[0-9]{{1,8}}|[xX][0-9A-Fa-f]{{1,8}});)
  | (?P<named>&(?:amp|lt|gt|quot|apos);)
  | (?P<newline>\r\n|\r)
    """,
    re.X | re.S,
)
_CDATA_TOKEN = re.compile(r"(?P<close>\]\]>)|(?P<newline>\r\n|\r)")
_JSON_TOKEN = re.compile(
    r"\\u[dD][89abAB][0-9A-Fa-f]{2}\\u[dD][c-fC-F][0-9A-Fa-f]{2}|\\u[0-9A-Fa-f]{4}|\\.", re.S
)
_NAMED: Final = {"&amp;": "&", "&lt;": "<", "&gt;": ">", "&quot;": '"', "&apos;": "'"}
_ESCAPED: Final = {"b": "\b", "f": "\f", "n": "\n", "r": "\r", "t": "\t"}
_LARGEST_CODE: Final = 0x10FFFF


@dataclass(frozen=True, slots=True)
class _Run:
    """Characters of the notes that stand together in the file.

    Either each of them is written as it is, or there is one, written as a reference or escape from
    ``start`` to ``end``. depth: number of child elements around it.
    """

    letters: str
    start: int
    end: int
    cdata: bool
    depth: int

    def place(self, offset: int) -> int:
        """Return where the character at an offset into the run starts in the file."""
        return self.start + offset if len(self.letters) > 1 else self.start

    def behind(self, offset: int) -> int:
        """Return the place behind the character at an offset into the run."""
        return self.start + offset + 1 if len(self.letters) > 1 else self.end


@dataclass(slots=True)
class NotesText:
    """Notes as they read, and where they stand in the text of the file.

    edges: places of tags, comments and instructions among them. insert_at: behind the last that is
    no blank; insert_cdata: whether that is within CDATA. empty: nothing but blanks is there.
    """

    insert_at: int
    insert_cdata: bool = False
    empty: bool = True
    edges: list[int] = field(default_factory=list)
    _runs: list[_Run] = field(default_factory=list)
    _starts: list[int] = field(default_factory=list)
    _size: int = 0

    @property
    def plain(self) -> str:
        """The notes as they read."""
        return "".join(run.letters for run in self._runs)

    def add(
        self, letters: str, start: int, end: int, *, cdata: bool = False, depth: int = 0
    ) -> None:
        """Add a character that is spelt as one stretch, or several that stand as they are."""
        if not letters:
            return
        run = _Run(letters, start, end, cdata, depth)
        self._runs.append(run)
        self._starts.append(self._size)
        self._size += len(letters)
        kept = len(letters.rstrip())
        if kept:
            self.empty = False
            if depth == 0:
                self.insert_at, self.insert_cdata = run.behind(kept - 1), cdata

    def place(self, offset: int) -> int:
        """Return where a character of the notes stands in the text of the file."""
        run, inside = self._at(offset)
        return run.place(inside)

    def is_cdata(self, offset: int) -> bool:
        """Tell whether a character of the notes stands in a CDATA section."""
        return self._at(offset)[0].cdata

    def span(self, block: OwnBlock) -> tuple[int, int] | None:
        """Return the place of a block with the gap above it; None where markup runs into it."""
        if not self._whole(block.start, block.end):
            return None
        start = block.start
        while start > block.gap_start and self._whole(start - 1, block.end):
            start -= 1
        run, inside = self._at(block.end - 1)
        return self.place(start), run.behind(inside)

    def _at(self, offset: int) -> tuple[_Run, int]:
        number = bisect_right(self._starts, offset) - 1
        return self._runs[number], offset - self._starts[number]

    def _whole(self, start: int, end: int) -> bool:
        """Tell whether a stretch of the notes can be cut out of the file as one piece."""
        first, last = self._at(start)[0], self._at(end - 1)[0]
        begin = bisect_right(self._starts, start) - 1
        stop = bisect_right(self._starts, end - 1)
        place = self.place(start)
        return (
            first.cdata == last.cdata
            and not any(run.depth for run in self._runs[begin:stop])
            and not any(place <= edge < last.end for edge in self.edges)
        )


def xml_notes(text: str, start: int, end: int) -> NotesText:
    """Return the notes in the content of an element of XML, which is well-formed."""
    notes = NotesText(insert_at=start)
    depth = 0
    place = start
    while place < end:
        match = _XML_TOKEN.search(text, place, end)
        if match is None:
            break
        notes.add(text[place : match.start()], place, match.start(), depth=depth)
        place = match.end()
        if match["open"]:
            place = _cdata(notes, text, place, end, depth)
        elif match["aside"]:
            notes.edges.append(match.start())
        elif match["tag"]:
            notes.edges.append(match.start())
            if match["end"]:
                depth -= 1
            elif not match[0].endswith("/>"):
                depth += 1
            if depth == 0:
                notes.insert_at, notes.insert_cdata, notes.empty = place, False, False
        else:
            notes.add(_character(match), match.start(), place, depth=depth)
    notes.add(text[place:end], place, end, depth=depth)
    return notes


def _cdata(notes: NotesText, text: str, place: int, end: int, depth: int) -> int:
    """Add the content of a CDATA section that starts at a place; return the place behind it."""
    if notes.empty and depth == 0:
        notes.insert_at, notes.insert_cdata = place, True
    while True:
        match = _CDATA_TOKEN.search(text, place, end)
        upto = match.start() if match is not None else end
        notes.add(text[place:upto], place, upto, cdata=True, depth=depth)
        if match is None or match["close"]:
            return match.end() if match is not None else end
        notes.add("\n", match.start(), match.end(), cdata=True, depth=depth)
        place = match.end()


def _character(match: re.Match[str]) -> str:
    if match["newline"]:
        return "\n"
    if match["named"]:
        return _NAMED[match[0]]
    digits = match[0][2:-1]
    code = int(digits[1:], 16) if digits[0] in "xX" else int(digits)
    return chr(code) if code <= _LARGEST_CODE else "\ufffd"


def json_notes(text: str, start: int, end: int) -> NotesText:
    """Return the notes in a JSON string, given with its quotes."""
    notes = NotesText(insert_at=start + 1)
    place = start + 1
    for match in _JSON_TOKEN.finditer(text, place, end - 1):
        notes.add(text[place : match.start()], place, match.start())
        place = match.end()
        notes.add(_unescaped(match[0]), match.start(), place)
    notes.add(text[place : end - 1], place, end - 1)
    return notes


def _unescaped(escape: str) -> str:
    """Return the character behind an escape, which may be a pair of surrogates."""
    sign = escape[1]
    if sign != "u":
        return _ESCAPED.get(sign, sign)
    units = bytes.fromhex(escape.replace("\\u", ""))
    return units.decode("utf-16-be", "surrogatepass")
