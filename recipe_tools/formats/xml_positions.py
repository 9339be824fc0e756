"""Where the values of an XML file stand: lines and columns for people, bytes for editing.

Nothing is kept from the reading: one scan of the bytes when somebody asks. Paths are those of
`beerxml`: ``/RECIPES/RECIPE[1]/MISCS/MISC[2]/AMOUNT``; places of repeated records start at 1, any
other tag without a place is the first of its name.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Final

from recipe_tools.formats.beerxml_fields import is_numbered
from recipe_tools.formats.beerxml_tags import local_name
from recipe_tools.formats.regions import LineIndex, Region, Written
from recipe_tools.formats.xml_markup import ATTRIBUTES, NAME, WRAPPER
from recipe_tools.formats.xml_source import XmlSource, load

_TAG = re.compile(
    rf"<(?:(/)?({NAME}){ATTRIBUTES}>"
    r"|!--.*?(?:-->|\Z)|!\[CDATA\[.*?(?:\]\]>|\Z)|\?.*?(?:\?>|\Z))",
    re.S,
)
_CDATA_OPEN: Final = "<![CDATA["
_CDATA_CLOSE: Final = "]]>"


@dataclass(frozen=True, slots=True)
class ElementSpan:
    """Bytes of an element, counted from 0 at the start of the file.

    start: of its start tag. open_end: behind the start tag. close_start: of its end tag. end:
    behind the element. For a self-closed element the last three are equal. cdata: the content is
    one CDATA section and nothing else. leaf: no element stands inside.
    """

    start: int
    open_end: int
    close_start: int
    end: int
    self_closed: bool
    cdata: bool = False
    leaf: bool = True


def locate(data: bytes, pointers: Collection[str]) -> dict[str, Region]:
    """Return the place of each symbolic path: of the text of its value, without blanks around it.

    Where the element is empty or holds elements, or where it does not exist, the place is the start
    tag of the element itself or of the nearest one around it. Paths in a file that cannot be parsed
    are left out.
    """
    scan = _scan(data, pointers)
    if scan is None:
        return {}
    lines = LineIndex(scan.original)
    places = {}
    for pointer in pointers:
        span = scan.nearest(pointer)
        if span is not None:
            start, end = scan.value(span, exact=pointer in scan.spans)
            places[pointer] = lines.region(scan.origin(start), scan.origin(end))
    return places


def written(data: bytes, pointers: Collection[str]) -> dict[str, Written]:
    """Return the text of each value that exists and is not empty, as the file spells it.

    An element with elements inside is no single value.
    """
    scan = _scan(data, pointers)
    if scan is None:
        return {}
    lines = LineIndex(scan.original)
    found = {}
    for pointer in pointers:
        span = scan.spans.get(pointer)
        if span is None or not span.leaf:
            continue
        start, end = (scan.origin(edge) for edge in scan.content(span))
        if start < end:
            found[pointer] = Written(scan.original[start:end], lines.region(start, end))
    return found


def element_spans(data: bytes, pointers: Collection[str]) -> dict[str, ElementSpan]:
    """Return the bytes of the element at each symbolic path that exists in the file."""
    scan = _scan(data, pointers)
    if scan is None or scan.source.decoded is None:
        return {}
    found = {pointer: scan.spans[pointer] for pointer in pointers if pointer in scan.spans}
    edges = {edge for span in found.values() for edge in _edges(span)}
    offsets = {edge: scan.origin(edge) for edge in edges}
    places = scan.source.decoded.byte_offsets(scan.original, list(offsets.values()))
    spans_found = {}
    for pointer, span in found.items():
        start, open_end, close_start, end = (places[offsets[edge]] for edge in _edges(span))
        spans_found[pointer] = replace(
            span, start=start, open_end=open_end, close_start=close_start, end=end
        )
    return spans_found


def _edges(span: ElementSpan) -> tuple[int, int, int, int]:
    return span.start, span.open_end, span.close_start, span.end


def spans(data: bytes, pointers: Collection[str]) -> dict[str, tuple[int, int]]:
    """Return the bytes of the value at each symbolic path that exists, as (start, end).

    The value is the text without blanks around it (and without CDATA marks), all content where
    elements stand inside, and the place before the end tag where there is none.
    """
    scan = _scan(data, pointers)
    if scan is None or scan.source.decoded is None:
        return {}
    values = {
        pointer: scan.content(scan.spans[pointer]) for pointer in pointers if pointer in scan.spans
    }
    offsets = {end: scan.origin(end) for value in values.values() for end in value}
    places = scan.source.decoded.byte_offsets(scan.original, list(offsets.values()))
    return {
        pointer: (places[offsets[start]], places[offsets[end]])
        for pointer, (start, end) in values.items()
    }


@dataclass(slots=True)
class _Scan:
    """The elements of a text. spans: by symbolic path, in code points of ``text``."""

    source: XmlSource
    original: str
    text: str
    spans: dict[str, ElementSpan]

    def origin(self, offset: int) -> int:
        """Return the place in the original of a place in the scanned text."""
        if self.source.repaired is None:
            return offset
        return self.source.repaired.edits.original(offset)

    def nearest(self, pointer: str) -> ElementSpan | None:
        """Return the element at a path, or the nearest one around it."""
        while pointer:
            span = self.spans.get(pointer)
            if span is not None:
                return span
            pointer = pointer.rpartition("/")[0]
        return None

    def value(self, span: ElementSpan, *, exact: bool) -> tuple[int, int]:
        """Return the text of a value, or the start tag where there is none to show."""
        if exact and span.leaf:
            start, end = self.content(span)
            if start < end:
                return start, end
        return span.start, span.open_end

    def content(self, span: ElementSpan) -> tuple[int, int]:
        """Return the content of an element, for a leaf without blanks and CDATA marks."""
        start, end = span.open_end, span.close_start
        if not span.leaf:
            return start, end
        inside = self.text[start:end]
        if span.cdata:
            start += inside.index(_CDATA_OPEN) + len(_CDATA_OPEN)
            end -= len(inside) - inside.rindex(_CDATA_CLOSE)
            inside = self.text[start:end]
        stripped = inside.strip()
        if not stripped:
            return start, start
        start += len(inside) - len(inside.lstrip())
        return start, start + len(stripped)


def _scan(data: bytes, pointers: Collection[str]) -> _Scan | None:
    if not pointers:
        return None
    source = load(data)
    if source.decoded is None or source.refusal is not None:
        return None
    original = source.decoded.text
    text = source.repaired.text if source.repaired is not None else original
    return _Scan(source, original, text, _elements(text, pointers))


def _elements(text: str, pointers: Collection[str]) -> dict[str, ElementSpan]:
    """Return the elements at the paths, and those around them, in a well-formed text."""
    wanted = {pointer[:end] for pointer in pointers for end in _ends(pointer)}
    found: dict[str, ElementSpan] = {}
    names: dict[str, str] = {}
    # One frame for each open element that is wanted: path, start tag, counts of the child names.
    stack: list[tuple[str, int, int, dict[str, int]]] = []
    path, counts = "", dict[str, int]()
    unwanted = 0
    for match in _TAG.finditer(text):
        written = match[2]
        if written is None:
            continue
        if match[1]:
            if unwanted:
                unwanted -= 1
            elif stack:
                own, start, open_end, outer = stack.pop()
                if own:
                    close = match.start()
                    leaf = not counts
                    cdata = leaf and _is_cdata(text, open_end, close)
                    span = ElementSpan(start, open_end, close, match.end(), False, cdata, leaf)
                    found[own] = span
                path, counts = (stack[-1][0] if stack else ""), outer
            continue
        closed = text[match.end() - 2] == "/"
        if unwanted:
            unwanted += not closed
            continue
        name = names.get(written)
        if name is None:
            name = names[written] = local_name(written.rpartition(":")[2])
        counts[name] = place = counts.get(name, 0) + 1
        numbered = place > 1 or is_numbered(name, path.rpartition("/")[2])
        child = f"{path}/{name}[{place}]" if numbered else f"{path}/{name}"
        if written == WRAPPER:
            child, counts = "", {}
        elif child not in wanted:
            unwanted += not closed
            continue
        if closed:
            end = match.end()
            found[child] = ElementSpan(match.start(), end, end, end, True)
            continue
        stack.append((child, match.start(), match.end(), counts))
        path, counts = child, {}
    return found


def _ends(pointer: str) -> list[int]:
    """Return where the paths end that lead to a pointer, and the pointer itself."""
    return [place for place, letter in enumerate(pointer) if letter == "/" and place] + [
        len(pointer)
    ]


def _is_cdata(text: str, start: int, end: int) -> bool:
    if text.find(_CDATA_OPEN, start, end) < 0:
        return False
    inside = text[start:end].strip()
    return (
        inside.startswith(_CDATA_OPEN)
        and inside.endswith(_CDATA_CLOSE)
        and inside.count(_CDATA_OPEN) == 1
    )
