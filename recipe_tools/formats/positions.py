"""Where the values of a file stand, as lines and columns; computed only when asked."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Protocol

from recipe_tools.formats.regions import Region, Written, lines_of, places
from recipe_tools.recipe import FormatName

_Span = tuple[int, int]


class Spans(Protocol):
    """The span tree of a format, asked by symbolic path; spans are code points of the file."""

    def shown(self, path: str) -> _Span | None:
        """Return what to show of a path, or of what is nearest around it."""

    def spelt(self, path: str) -> _Span | None:
        """Return the single value at a path; None where there is none."""


_latest: list[tuple[bytes, str, Spans]] = []


def _opened(
    data: bytes, format_name: FormatName, pointers: Collection[str]
) -> tuple[str, Spans] | None:
    """Return the text and the spans of a file; the latest is kept, as it is asked for twice."""
    if _latest and _latest[0][0] is data:
        return _latest[0][1:]
    opened: tuple[str, Spans] | None
    if format_name == "beerxml":
        from recipe_tools.formats import xml_spans

        opened = xml_spans.of_file(data)
    else:
        from recipe_tools.formats import json_spans

        opened = json_spans.of_file(data, pointers)
    if opened is not None:
        _latest[:] = [(data, *opened)]
    return opened


def locate(data: bytes, format_name: FormatName, pointers: Collection[str]) -> dict[str, Region]:
    """Return the region to show of each symbolic path: its value, or what is nearest around it.

    Paths that lead nowhere in the file are left out.
    """
    opened = _opened(data, format_name, pointers) if pointers else None
    if opened is None:
        return {}
    text, tree = opened
    spans = {path: span for path in pointers if (span := tree.shown(path)) is not None}
    return _regions(text, spans)


def written(data: bytes, format_name: FormatName, pointers: Collection[str]) -> dict[str, Written]:
    """Return the text of each single value that exists and is not empty (others are left out)."""
    opened = _opened(data, format_name, pointers) if pointers else None
    if opened is None:
        return {}
    text, tree = opened
    spans = {path: span for path in pointers if (span := tree.spelt(path)) is not None}
    regions = _regions(text, spans)
    return {path: Written(text[slice(*span)], regions[path]) for path, span in spans.items()}


def _regions(text: str, spans: Mapping[str, _Span]) -> dict[str, Region]:
    at = places(text, {edge for span in spans.values() for edge in span})
    return {path: Region(*at[start], *at[end]) for path, (start, end) in spans.items()}


def utf8_columns(
    data: bytes, format_name: FormatName, found: Collection[tuple[int, int]]
) -> dict[tuple[int, int], int]:
    """Return for each (line, column) the column in bytes of UTF-8, where that is another one."""
    from recipe_tools.formats.decoding import NotTextError, decode_json, decode_xml

    if not found:
        return {}
    if _latest and _latest[0][0] is data:
        text = _latest[0][1]
    else:
        try:
            text = (decode_xml if format_name == "beerxml" else decode_json)(data).text
        except NotTextError:  # nothing in it has a place
            return {}
    lines = lines_of(text)
    columns = {}
    for line, column in found:
        # A finding may stand behind the last line, where the file breaks off.
        before = lines[line - 1][: column - 1] if line <= len(lines) else ""
        if not before.isascii():
            columns[line, column] = len(before.encode("utf-8", "surrogatepass")) + 1
    return columns
