"""The text of notes, character by character with its place in the file, and the block in it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Final

from recipe_tools.own_block import OwnBlock

_XML_TOKEN = re.compile(
    r"""
    (?P<open><!\[CDATA\[)
  | (?P<aside><!--.*?-->|<\?.*?\?>)
  | (?P<tag><(?P<end>/)?(?:[^"'<>]|"[^"]*"|'[^']*')*>)
  | (?P<code>&\#(?:[0-9]{1,8}|[xX][0-9A-Fa-f]{1,8});)
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


@dataclass(slots=True)
class NotesText:
    """Notes as they read, and where each character of them stands in the text of the file.

    plain: the notes. starts, ends: place of each character. depths: of child elements around it;
    CDATA counts as a half. edges: places of tags, comments and instructions. close: where the notes
    end if nothing is in them, outermost.
    """

    pieces: list[str] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)
    cdata: list[bool] = field(default_factory=list)
    depths: list[int] = field(default_factory=list)
    edges: list[int] = field(default_factory=list)
    insert_at: int = 0
    insert_cdata: bool = False
    empty: bool = True

    @property
    def plain(self) -> str:
        """The notes as they read."""
        return "".join(self.pieces)

    def add(
        self, letters: str, start: int, end: int, *, cdata: bool = False, depth: int = 0
    ) -> None:
        """Add a character that is spelt as one stretch, or a run of characters as they are."""
        count = len(letters)
        self.pieces.append(letters)
        if count == 1:
            self.starts.append(start)
            self.ends.append(end)
        else:
            self.starts.extend(range(start, end))
            self.ends.extend(range(start + 1, end + 1))
        self.cdata.extend([cdata] * count)
        self.depths.extend([depth] * count)
        stripped = letters.rstrip()
        if stripped:
            self.empty = False
            if depth == 0:
                self.insert_at = self.ends[len(self.ends) - count + len(stripped) - 1]
                self.insert_cdata = cdata

    def whole(self, start: int, end: int) -> bool:
        """Tell whether a stretch of the notes can be cut out of the file as one piece."""
        first, last = self.starts[start], self.ends[end - 1]
        return (
            not any(first <= edge < last for edge in self.edges)
            and not any(self.depths[start:end])
            and self.cdata[start] == self.cdata[end - 1]
        )

    def span(self, block: OwnBlock) -> tuple[int, int] | None:
        """Return the place of a block with the gap above it; None where markup runs into it."""
        if not self.whole(block.start, block.end):
            return None
        start = block.start
        while start > block.gap_start and self.whole(start - 1, block.end):
            start -= 1
        return self.starts[start], self.ends[block.end - 1]


def xml_notes(text: str, start: int, end: int) -> NotesText:
    """Return the notes in the content of an element of XML, which is well-formed."""
    notes = NotesText(insert_at=start)
    depth = 0
    place = start
    while place < end:
        match = _XML_TOKEN.search(text, place, end)
        if match is None:
            break
        if match.start() > place:
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
    if place < end:
        notes.add(text[place:end], place, end, depth=depth)
    return notes


def _cdata(notes: NotesText, text: str, place: int, end: int, depth: int) -> int:
    """Add the content of a CDATA section that starts at a place; return the place behind it."""
    if notes.empty and depth == 0:
        notes.insert_at, notes.insert_cdata = place, True
    while True:
        match = _CDATA_TOKEN.search(text, place, end)
        upto = match.start() if match is not None else end
        if upto > place:
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
        if match.start() > place:
            notes.add(text[place : match.start()], place, match.start())
        place = match.end()
        notes.add(_unescaped(match[0]), match.start(), place)
    if place < end - 1:
        notes.add(text[place : end - 1], place, end - 1)
    return notes


def _unescaped(escape: str) -> str:
    """Return the character behind an escape, which may be a pair of surrogates."""
    sign = escape[1]
    if sign != "u":
        return _ESCAPED.get(sign, sign)
    units = bytes.fromhex(escape.replace("\\u", ""))
    return units.decode("utf-16-be", "surrogatepass")
