"""Where the values of an XML file stand: lines and columns for people, bytes for editing.

Nothing is kept from the reading: one scan of the bytes when somebody asks. Paths are those of
`beerxml`: ``/RECIPES/RECIPE[1]/MISCS/MISC[2]/AMOUNT``; places of repeated records start at 1, any
other tag without a place is the first of its name.
"""

import re
from collections.abc import Collection, Mapping
from functools import cache
from typing import Final, NamedTuple

from recipe_tools.formats.beerxml_fields import is_numbered
from recipe_tools.formats.beerxml_tags import EVERY_TAG, local_name
from recipe_tools.formats.regions import Region, Written, places
from recipe_tools.formats.xml_markup import ATTRIBUTES, NAME, WRAPPER
from recipe_tools.formats.xml_source import XmlSource, markup

_CDATA_OPEN: Final = "<![CDATA["
_CDATA_CLOSE: Final = "]]>"
_NONE: Final[frozenset[str]] = frozenset()


class ElementSpan(NamedTuple):
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
    values: dict[str, tuple[int, int]] = {}
    for pointer in pointers:
        span = scan.nearest(pointer)
        if span is not None:
            start, end = scan.value(span, exact=pointer in scan.spans)
            values[pointer] = (scan.origin(start), scan.origin(end))
    return _regions(scan.original, values)


def _regions(text: str, spans: Mapping[str, tuple[int, int]]) -> dict[str, Region]:
    at = places(text, {edge for span in spans.values() for edge in span})
    return {pointer: Region(*at[start], *at[end]) for pointer, (start, end) in spans.items()}


def written(data: bytes, pointers: Collection[str]) -> dict[str, Written]:
    """Return the text of each value that exists and is not empty, as the file spells it.

    An element with elements inside is no single value.
    """
    scan = _scan(data, pointers)
    if scan is None:
        return {}
    values: dict[str, tuple[int, int]] = {}
    for pointer in pointers:
        span = scan.spans.get(pointer)
        if span is None or not span.leaf:
            continue
        start, end = (scan.origin(edge) for edge in scan.content(span))
        if start < end:
            values[pointer] = (start, end)
    regions = _regions(scan.original, values)
    return {
        pointer: Written(scan.original[start:end], regions[pointer])
        for pointer, (start, end) in values.items()
    }


def element_spans(data: bytes, pointers: Collection[str]) -> dict[str, ElementSpan]:
    """Return the bytes of the element at each symbolic path that exists in the file."""
    scan = _scan(data, pointers)
    if scan is None or scan.source.decoded is None:
        return {}
    found = {pointer: scan.spans[pointer] for pointer in pointers if pointer in scan.spans}
    edges = {edge for span in found.values() for edge in _edges(span)}
    offsets = {edge: scan.origin(edge) for edge in edges}
    bytes_at = scan.source.decoded.byte_offsets(scan.original, list(offsets.values()))
    spans_found = {}
    for pointer, span in found.items():
        start, open_end, close_start, end = (bytes_at[offsets[edge]] for edge in _edges(span))
        spans_found[pointer] = span._replace(
            start=start, open_end=open_end, close_start=close_start, end=end
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
    bytes_at = scan.source.decoded.byte_offsets(scan.original, list(offsets.values()))
    return {
        pointer: (bytes_at[offsets[start]], bytes_at[offsets[end]])
        for pointer, (start, end) in values.items()
    }


class _Scan(NamedTuple):
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


_latest: list[tuple[bytes, frozenset[str], _Scan]] = []


def _scan(data: bytes, pointers: Collection[str]) -> _Scan | None:
    """Scan a file for the elements at some paths.

    The latest scan is kept: what findings point at and what their edits change is asked for twice.
    """
    if not pointers:
        return None
    if _latest and _latest[0][0] is data and _latest[0][1].issuperset(pointers):
        return _latest[0][2]
    source = markup(data)
    if source.decoded is None or source.refusal is not None:
        return None
    original = source.decoded.text
    text = source.repaired.text if source.repaired is not None else original
    scan = _Scan(source, original, text, _elements(text, pointers))
    _latest[:] = [(data, frozenset(pointers), scan)]
    return scan


class _Tag(NamedTuple):
    """A tag as written: the name in it, its name in the standard, and what it does."""

    written: str
    name: str
    closes: bool
    opens: bool


def _elements(text: str, pointers: Collection[str]) -> dict[str, ElementSpan]:
    """Return the elements at the paths, and those around them, in a well-formed text."""
    waiting = set(pointers)
    wanted, children = _wanted(pointers)
    # Where no comment or CDATA section can hold what looks like a tag, end tags are searched for.
    plain = "<!" not in text and text.find("<?", 2) < 0
    found: dict[str, ElementSpan] = {}
    standard, own_tags = _standard_tags(), dict[str, _Tag]()
    # One frame for each open element that is wanted: path, start tag, counts of the child names.
    stack: list[tuple[str, int, int, dict[str, int]]] = []
    path, counts = "", dict[str, int]()
    names = children.get("", _NONE)
    unwanted = place = 0
    find = text.find
    while (at := find("<", place)) >= 0:
        place = find(">", at) + 1
        whole = text[at:place]
        tag = standard.get(whole) or own_tags.get(whole)
        if tag is None:
            match = _tag().match(text, at)
            if match is None:
                break
            place = match.end()
            if match[2] is None:
                continue
            tag = own_tags[match[0]] = _tag_of(match)
        if tag.closes:
            if unwanted:
                unwanted -= 1
            elif stack:
                own, start, open_end, outer = stack.pop()
                if own:
                    leaf = not counts
                    cdata = leaf and not plain and _is_cdata(text, open_end, at)
                    found[own] = ElementSpan(start, open_end, at, place, False, cdata, leaf)
                    waiting.discard(own)
                    if not waiting:
                        break
                path, counts = (stack[-1][0] if stack else ""), outer
                names = children.get(path, _NONE)
            continue
        if unwanted:
            unwanted += tag.opens
            continue
        name = tag.name
        child = ""
        if name in names:
            counts[name] = number = counts.get(name, 0) + 1
            numbered = number > 1 or is_numbered(name, path.rpartition("/")[2])
            child = f"{path}/{name}[{number}]" if numbered else f"{path}/{name}"
        if tag.written == WRAPPER:
            counts = {}
        elif child not in wanted:
            counts.setdefault(name, 1)
            if tag.opens:
                end = _end_of(text, tag.written, place) if plain else -1
                place, unwanted = (end, unwanted) if end >= 0 else (place, unwanted + 1)
            continue
        if not tag.opens:
            found[child] = ElementSpan(at, place, place, place, True)
            waiting.discard(child)
            continue
        stack.append((child, at, place, counts))
        path, counts = child, {}
        names = children.get(path, _NONE)
    return found


@cache
def _standard_tags() -> Mapping[str, _Tag]:
    """Return the tags of the standard as nearly every file writes them."""
    starts = {f"<{name}>": _Tag(name, name, False, True) for name in EVERY_TAG}
    return starts | {f"</{name}>": _Tag(name, name, True, True) for name in EVERY_TAG}


def _tag_of(match: re.Match[str]) -> _Tag:
    name = local_name(match[2].rpartition(":")[2])
    return _Tag(match[2], name, bool(match[1]), not match[0].endswith("/>"))


def _end_of(text: str, name: str, place: int) -> int:
    """Return the place behind an open element's end tag, -1 where only a scan can tell."""
    closing = f"</{name}>"
    at = text.find("<", place)
    if text.startswith(closing, at):
        return at + len(closing)
    at = text.find(closing, at)
    if at < 0 or text.find(f"<{name}", place, at) >= 0:
        return -1
    return at + len(closing)


@cache
def _tag() -> re.Pattern[str]:
    return re.compile(
        rf"<(?:(/)?({NAME}){ATTRIBUTES}>"
        r"|!--.*?(?:-->|\Z)|!\[CDATA\[.*?(?:\]\]>|\Z)|\?.*?(?:\?>|\Z))",
        re.S,
    )


def _wanted(pointers: Collection[str]) -> tuple[set[str], dict[str, set[str]]]:
    """Return the paths with those around them, and the names of children by path of the parent."""
    paths: set[str] = set()
    children: dict[str, set[str]] = {}
    for pointer in pointers:
        path = pointer
        while path and path not in paths:
            paths.add(path)
            above, _, last = path.rpartition("/")
            children.setdefault(above, set()).add(last.partition("[")[0])
            path = above
    return paths, children


def _is_cdata(text: str, start: int, end: int) -> bool:
    if text.find(_CDATA_OPEN, start, end) < 0:
        return False
    inside = text[start:end].strip()
    return (
        inside.startswith(_CDATA_OPEN)
        and inside.endswith(_CDATA_CLOSE)
        and inside.count(_CDATA_OPEN) == 1
    )
