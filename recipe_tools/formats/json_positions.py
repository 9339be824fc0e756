"""From JSON pointers to places in the text of a file, and to the bytes of a value.

The text is walked once along the wanted pointers; everything beside them is passed over by the
parser of the standard library, set up to build nothing. What `json_parse` tolerates is tolerated
here: repeated members (the last counts), ``NaN``, raw control characters, lone surrogates.
"""

from __future__ import annotations

import contextlib
import json
import re
from collections.abc import Collection, Mapping
from json.scanner import make_scanner
from typing import Final, NamedTuple

from recipe_tools.formats.json_parse import whole
from recipe_tools.formats.json_text import JsonText, NotTextError, decode
from recipe_tools.formats.regions import LineIndex, Region, Written, places

# The results are thrown away, so the cheapest callable does: len of a text or of a list of pairs.
_PASS_OVER: Final = json.JSONDecoder(
    object_pairs_hook=len, parse_float=len, parse_int=len, parse_constant=len, strict=False
)
_SKIP: Final = make_scanner(_PASS_OVER)  # type: ignore[arg-type]
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
_INDENTATION: Final = re.compile(r"(?:^|[\r\n])([ \t]*)\Z")


class Span(NamedTuple):
    """A value in the text: from ``start`` up to, and without, ``end`` (code points).

    name: where its member name starts (the opening quote), or -1 for elements of lists.
    """

    start: int
    end: int
    name: int = -1


class InsertionPoint(NamedTuple):
    """Where a member can be put into an object, in bytes and in words.

    at: byte place right behind the last member, or behind the opening brace of an empty object.
    empty: whether the object has no member yet, so that no comma is needed in front.
    indent: the blanks in front of the members where each stands on a line of its own, else None.
    newline: the line break of the file. close: blanks before the closing brace of an empty object.
    """

    at: int
    empty: bool
    indent: str | None
    newline: str
    close: str = ""


class _Wanted:
    """A tree of the wanted pointers, one level per reference token.

    start: where the value stands once it was met, else -1.
    """

    __slots__ = ("children", "pointers", "start")

    def __init__(self) -> None:
        self.children: dict[str, _Wanted] = {}
        self.pointers: list[str] = []
        self.start = -1


def _tree(pointers: Collection[str]) -> _Wanted:
    root = _Wanted()
    for pointer in pointers:
        node = root
        for token in pointer.split("/")[1:]:
            name = token.replace("~1", "/").replace("~0", "~")
            node = node.children.setdefault(name, _Wanted())
        node.pointers.append(pointer)
    return root


class _Walk:
    """One pass over a text along a tree of wanted pointers."""

    __slots__ = ("found", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        self.found: dict[str, Span] = {}

    def value(self, place: int, wanted: _Wanted, name: int = -1) -> int:
        """Walk the value at a place and return its end."""
        if wanted.start >= 0:
            self._forget(wanted)
        opening = self.text[place] if wanted.children else ""
        wanted.start = place
        if opening == "{":
            end = self._members(place, wanted)
        elif opening == "[":
            end = self._elements(place, wanted)
        else:
            end = self.skip(place)
        for pointer in wanted.pointers:
            self.found[pointer] = Span(place, end, name)
        return end

    def skip(self, place: int) -> int:
        """Return the end of the value at a place. Raises ValueError where none stands there."""
        try:
            end: int = _SKIP(self.text, place)[1]
            return end
        except StopIteration:
            raise ValueError("no value") from None

    def blanks(self, place: int) -> int:
        match = _BLANKS.match(self.text, place)
        return match.end() if match is not None else place

    def _members(self, place: int, wanted: _Wanted) -> int:
        text = self.text
        children = wanted.children
        place += 1
        while True:
            member = _MEMBER.match(text, place)
            if member is None:
                place = self._next(place)
                if text[place] == "}":
                    return place + 1
                name_at = place
                name, place = _NAMES.raw_decode(text, place)
                place = self.blanks(self.blanks(place) + 1)
            else:
                name, place = member[1], member.end()
                name_at = member.start(1) - 1
            child = children.get(name)
            if child is None and not name.isascii():
                child = children.get(whole(name))
            if member is None or (start := member.start(2)) < 0:
                place = self.skip(place) if child is None else self.value(place, child, name_at)
            elif child is not None:
                self._scalar(child, Span(start, place, name_at))

    def _scalar(self, wanted: _Wanted, span: Span) -> None:
        if wanted.start >= 0:
            self._forget(wanted)
        wanted.start = span.start
        for pointer in wanted.pointers:
            self.found[pointer] = span

    def _elements(self, place: int, wanted: _Wanted) -> int:
        text = self.text
        place = self.blanks(place + 1)
        index = 0
        while text[place] != "]":
            child = wanted.children.get(str(index))
            place = self.skip(place) if child is None else self.value(place, child)
            place = self._next(place)
            index += 1
        return place + 1

    def _next(self, place: int) -> int:
        """Return where the next member or element, or the closing bracket, stands."""
        match = _COMMA.match(self.text, place)
        return match.end() if match is not None else place

    def _forget(self, wanted: _Wanted) -> None:
        # A member of the same name further up does not count, nor does anything in it.
        waiting = [wanted]
        while waiting:
            node = waiting.pop()
            node.start = -1
            for pointer in node.pointers:
                self.found.pop(pointer, None)
            waiting += node.children.values()


def _absent(tree: _Wanted, found: Mapping[str, Span]) -> dict[str, Span]:
    """Return for each pointer that was not met the start of the innermost value around it."""
    absent: dict[str, Span] = {}
    waiting = [(tree, tree.start)]
    while waiting:
        node, around = waiting.pop()
        start = node.start if node.start >= 0 else around
        for pointer in node.pointers:
            if start >= 0 and pointer not in found:
                absent[pointer] = Span(start, start + 1)
        waiting += [(child, start) for child in node.children.values()]
    return absent


def _walk(text: str, tree: _Wanted) -> dict[str, Span]:
    """Return what is met in a text of the pointers of a tree."""
    walk = _Walk(text)
    # Where the rest of the text is no JSON, what was met before it stands.
    with contextlib.suppress(ValueError, IndexError, RecursionError):
        walk.value(walk.blanks(0), tree)
    return walk.found


def _decoded(data: bytes) -> JsonText | None:
    try:
        return decode(data)
    except NotTextError:
        return None


def locate(data: bytes, pointers: Collection[str]) -> dict[str, Region]:
    """Return the region of the value of each pointer.

    A pointer to an absent member gives the opening bracket of the innermost value around it that
    exists. In a text that is no JSON only what stands before the fault is found.
    """
    text = _decoded(data)
    if text is None or not pointers:
        return {}
    tree = _tree(pointers)
    found = _walk(text.text, tree)
    return _regions(text.text, {**found, **_absent(tree, found)})


def written(data: bytes, pointers: Collection[str]) -> dict[str, Written]:
    """Return the text of each number, text or word that exists, as the file spells it."""
    text = _decoded(data)
    if text is None or not pointers:
        return {}
    found = _walk(text.text, _tree(pointers))
    spans = {pointer: span for pointer, span in found.items() if text.text[span.start] not in "{["}
    regions = _regions(text.text, spans)
    return {
        pointer: Written(text.text[span.start : span.end], regions[pointer])
        for pointer, span in spans.items()
    }


def _regions(text: str, spans: Mapping[str, Span]) -> dict[str, Region]:
    at = places(text, {edge for span in spans.values() for edge in (span.start, span.end)})
    return {pointer: Region(*at[span.start], *at[span.end]) for pointer, span in spans.items()}


def locate_names(data: bytes, pointers: Collection[str]) -> dict[str, Region]:
    """Return the region of the member name (with its quotes) of each pointer to a member."""
    text = _decoded(data)
    if text is None:
        return {}
    lines = LineIndex(text.text)
    regions = {}
    for pointer, span in _walk(text.text, _tree(pointers)).items():
        if span.name >= 0:
            regions[pointer] = lines.region(
                span.name, _PASS_OVER.raw_decode(text.text, span.name)[1]
            )
    return regions


def spans(data: bytes, pointers: Collection[str]) -> dict[str, tuple[int, int]]:
    """Return the bytes (start, end) of the value of each pointer that exists."""
    text = _decoded(data)
    if text is None or not pointers:
        return {}
    found = _walk(text.text, _tree(pointers))
    places = text.byte_offsets(place for span in found.values() for place in (span.start, span.end))
    return {pointer: (places[span.start], places[span.end]) for pointer, span in found.items()}


value_spans = spans


def insertion_point(data: bytes, pointer: str) -> InsertionPoint | None:
    """Return where a new member can be put into the object at a pointer, behind its last one.

    None where there is no object at the pointer.
    """
    text = _decoded(data)
    if text is None:
        return None
    span = _walk(text.text, _tree([pointer])).get(pointer)
    if span is None or text.text[span.start] != "{":
        return None
    last = _last_member(text.text, span)
    newline = "\r\n" if "\r\n" in text.text else "\n"
    if last is None:
        at = span.start + 1
        inside = text.text[at : span.end - 1]
        return InsertionPoint(text.byte_offsets([at])[at], True, None, newline, inside)
    match = _INDENTATION.search(text.text[span.start + 1 : last.name])
    before = text.text[span.start + 1 : last.name]
    alone = match is not None and ("\n" in before or "\r" in before)
    at = text.byte_offsets([last.end])[last.end]
    return InsertionPoint(at, False, match[1] if alone and match else None, newline)


def _last_member(text: str, span: Span) -> Span | None:
    walk = _Walk(text)
    place = walk.blanks(span.start + 1)
    last: Span | None = None
    while text[place] != "}":
        name_at = place
        place = walk.blanks(walk.blanks(walk.skip(place)) + 1)
        end = walk.skip(place)
        last = Span(place, end, name_at)
        place = walk.blanks(end)
        if text[place] == ",":
            place = walk.blanks(place + 1)
    return last


def codec(data: bytes) -> str:
    """Return the codec in which new text has to be written into the bytes of a file."""
    text = _decoded(data)
    return text.encoding if text is not None else "utf-8"
