"""The values of a JSON text as a tree of spans: the one that findings and edits ask.

An object or list is walked when somebody looks into it; what lies deeper is passed over by the
parser of the standard library, set up to build nothing. What `json_parse` tolerates is tolerated
here: repeated members (the last counts), ``NaN``, raw control characters, lone surrogates.
"""

import json
import re
from collections.abc import Iterable
from json.scanner import make_scanner
from typing import Final, NamedTuple

from recipe_tools.formats.decoding import NotTextError, decode_json
from recipe_tools.formats.json_parse import whole

# The results are thrown away, so the cheapest callable does: len of a text or of a list of pairs.
_SKIP: Final = make_scanner(
    json.JSONDecoder(  # type: ignore[arg-type]
        object_pairs_hook=len, parse_float=len, parse_int=len, parse_constant=len, strict=False
    )
)
_NAMES: Final = json.JSONDecoder(strict=False)
_BLANKS: Final = re.compile(r"[ \t\r\n]*")
_COMMA: Final = re.compile(r"[ \t\r\n]*(?:,[ \t\r\n]*)?")
# A member and what parts it from the one before: name, and value where that is plain and short to
# pass over. What does not look like this is left to the parser.
_MEMBER: Final = re.compile(
    r'[ \t\r\n]*(?:,[ \t\r\n]*)?"([^"\\]*)"[ \t\r\n]*:[ \t\r\n]*'
    r'(?:("[^"\\]*"|-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?|true|false|null)'
    r"(?=[ \t\r\n]*[,}]))?",
    re.ASCII,
)


class Value(NamedTuple):
    """A value in a text, from ``start`` up to, and without, ``end``.

    name: of a member, None for an element of a list. name_start, name_end: of the name with its
    quotes.
    """

    start: int
    end: int
    name: str | None = None
    name_start: int = -1
    name_end: int = -1

    @property
    def first(self) -> int:
        """Where the member or element begins, name included."""
        return self.start if self.name is None else self.name_start


_Row = tuple[int, int, str | None, int, int]
"""What a `Value` is made of: most are never asked for, and a plain tuple is made faster."""


_Wanted = dict[str, "_Wanted"]
"""Names of members (or places in a list) to look into, with those inside each."""


class JsonSpans:
    """The values of a text, found by pointer.

    Raises ValueError, IndexError or RecursionError where the text is no JSON.

    pointers: those that will be asked for; what they lead through is walked only once.
    """

    def __init__(self, text: str, pointers: Iterable[str] = ()) -> None:
        self.text = text
        self._rows: dict[int, list[_Row]] = {}
        self._members: dict[int, dict[str | None, _Row]] = {}
        start = self._blanks(0)
        self.root = Value(start, self._end(start, _tree(pointers)))
        self._found: dict[str, Value | None] = {"": self.root}

    def find(self, pointer: str) -> Value | None:
        """Return the value at a pointer, or None; of members of one name the last counts."""
        if pointer not in self._found:
            around, _, token = pointer.rpartition("/")
            holder = self.find(around)
            self._found[pointer] = None if holder is None else self._child(holder, _name(token))
        return self._found[pointer]

    def shown(self, pointer: str) -> tuple[int, int]:
        """Return the value at a pointer, or the opening bracket of the innermost around it."""
        value = self.find(pointer)
        if value is not None:
            return value[:2]
        while value is None:
            pointer = pointer.rpartition("/")[0]
            value = self.find(pointer)
        return value.start, value.start + 1

    def spelt(self, pointer: str) -> tuple[int, int] | None:
        """Return the number, text or word at a pointer; None where there is none."""
        value = self.find(pointer)
        return value[:2] if value is not None and self.text[value.start] not in "{[" else None

    def member(self, holder: Value, name: str) -> Value | None:
        """Return the member of an object that counts, or None."""
        if holder.start not in self._members:
            self._members[holder.start] = {row[2]: row for row in self._rows_of(holder)}
        row = self._members[holder.start].get(name)
        return None if row is None else Value(*row)

    def inside(self, holder: Value) -> tuple[Value, ...]:
        """Return the members of an object or elements of a list, in the order of the file."""
        return tuple(map(Value._make, self._rows_of(holder)))

    def _rows_of(self, holder: Value) -> list[_Row]:
        if holder.start not in self._rows:
            self._walk(holder.start, {})
        return self._rows[holder.start]

    def _end(self, start: int, wanted: _Wanted | None) -> int:
        return self._walk(start, wanted) if wanted else self._skip(start)

    def _walk(self, start: int, wanted: _Wanted) -> int:
        """Keep what stands right inside the value at a place, and return its end."""
        opening = self.text[start]
        rows = self._rows[start] = []
        if opening == "{":
            return self._of_object(start + 1, rows, wanted)
        return self._of_list(start + 1, rows, wanted) if opening == "[" else self._skip(start)

    def raw(self, value: Value) -> str:
        """Return a value as it is written."""
        return self.text[value.start : value.end]

    def _child(self, holder: Value, name: str) -> Value | None:
        if self.text[holder.start] == "{":
            return self.member(holder, name)
        if not name.isdecimal():
            return None
        rows = self._rows_of(holder)
        return Value(*rows[int(name)]) if len(name) < 10 and int(name) < len(rows) else None

    def _of_object(self, place: int, found: list[_Row], wanted: _Wanted) -> int:
        text, plain_member = self.text, _MEMBER.match
        while True:
            member = plain_member(text, place)
            if member is None:
                at = self._next(place)
                if text[at] == "}":
                    return at + 1
                name, name_end = _NAMES.raw_decode(text, at)
                start, place = self._blanks(self._blanks(name_end) + 1), -1
            else:
                name = member[1]
                at, name_end = member.start(1) - 1, member.end(1) + 1
                start, place = member.span(2)
                if start < 0:
                    start = member.end()
            if not name.isascii():
                name = whole(name)
            if place < 0:
                place = self._end(start, wanted.get(name))
            found.append((start, place, name, at, name_end))

    def _of_list(self, place: int, found: list[_Row], wanted: _Wanted) -> int:
        place = self._blanks(place)
        while self.text[place] != "]":
            end = self._end(place, wanted.get(str(len(found))))
            found.append((place, end, None, -1, -1))
            place = self._next(end)
        return place + 1

    def _next(self, place: int) -> int:
        """Return where the next member or element, or the closing bracket, stands."""
        match = _COMMA.match(self.text, place)
        return match.end() if match is not None else place

    def _skip(self, place: int) -> int:
        try:
            end: int = _SKIP(self.text, place)[1]
        except StopIteration:
            raise ValueError("no value") from None
        return end

    def _blanks(self, place: int) -> int:
        match = _BLANKS.match(self.text, place)
        return match.end() if match is not None else place


def _name(token: str) -> str:
    return token.replace("~1", "/").replace("~0", "~")


def _tree(pointers: Iterable[str]) -> _Wanted:
    root: _Wanted = {}
    for pointer in pointers:
        inside = root
        for token in pointer.split("/")[1:]:
            inside = inside.setdefault(_name(token), {})
    return root


def of_file(data: bytes, pointers: Iterable[str]) -> tuple[str, JsonSpans] | None:
    """Return the text of a file and its spans; None where it is no JSON."""
    try:
        text = decode_json(data).text
        return text, JsonSpans(text, pointers)
    except (NotTextError, ValueError, IndexError, RecursionError):
        return None
