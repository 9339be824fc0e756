"""Repairs made in the file itself, for those who accept them; everything else keeps its bytes.

The readers repair a copy and drop from it what they do not read. Here nothing is dropped: text
outside the root element becomes a comment, and a faulty comment stays one.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from typing import Final

from recipe_tools.editing.document import Document, Edit, EditError, open_document
from recipe_tools.formats.xml_repair import declared_prefixes
from recipe_tools.formats.xml_spans import TAG
from recipe_tools.recipe import FormatName

HARMLESS: Final = frozenset({"byte-order-mark", "utf-16", "utf-32"})
"""Labels of repairs that leave no doubt about any character: such a file is edited as it is."""

_ENCODING = re.compile(r"""(\s*<\?xml\s[^>]{0,200}?encoding\s*=\s*["'])([^"']*)""", re.I)
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]+")
_HYPHENS = re.compile("-(?=-)")
_DECLARATION: Final = '<?xml version="1.0" encoding="UTF-8"?>'

_JSON_STRING = re.compile(r'"(?:[^"\\]|\\.)*"', re.S)
_JSON_CONTROL = re.compile(r"[\x00-\x1f]")
_SURROGATE = re.compile(
    r"\\u[dD][89abAB][0-9a-fA-F]{2}\\u[dD][c-fC-F][0-9a-fA-F]{2}|(\\u[dD][89a-fA-F][0-9a-fA-F]{2})"
    r"|\\."
)
_SHORT_ESCAPES: Final = {"\b": "\\b", "\f": "\\f", "\n": "\\n", "\r": "\\r", "\t": "\\t"}


def mended(data: bytes, format_name: FormatName) -> bytes:
    """Return a file with the repairs in it that its reader makes on a copy.

    A file in another encoding than it declares becomes UTF-8. Raises EditError where it is no text.
    """
    document = open_document(data, format_name)
    return _xml(document) if format_name == "beerxml" else _json(document)


def _json(document: Document) -> bytes:
    text = document.text
    edits: list[Edit] = []
    for string in _JSON_STRING.finditer(text):
        for match in _JSON_CONTROL.finditer(text, *string.span()):
            escape = _SHORT_ESCAPES.get(match[0]) or f"\\u{ord(match[0]):04x}"
            edits.append(Edit(match.start(), match.end(), escape))
        edits.extend(
            Edit(match.start(), match.end(), "\\ufffd")
            for match in _SURROGATE.finditer(text, *string.span())
            if match[1]
        )
    return _in_utf8(document, edits) if document.decoded.breaks else document.edited(edits)


def _xml(document: Document) -> bytes:
    from recipe_tools.formats.xml_source import load

    source = load(document.data)
    edits = []
    if source.repaired is not None:
        edits = list(_markup(document.text, source.repaired.changes))
        if "namespace-prefixes" in source.repaired.labels:
            edits += _without_prefixes(document.text, edits)
        if "declaration" in source.repaired.labels and not _begins_declared(edits, document.text):
            edits.append(Edit(0, 0, f"{_DECLARATION}{document.newline}"))
    if source.decoded is not None and source.decoded.mismatch is not None:
        return _in_utf8(document, edits)
    if "declaration" in (source.repaired.labels if source.repaired is not None else ()):
        return _in_utf8(document, edits)
    return document.edited(edits)


def _begins_declared(edits: list[Edit], text: str) -> bool:
    return text.startswith("<?xml ") and all(edit.start > 0 for edit in edits)


def _in_utf8(document: Document, edits: list[Edit]) -> bytes:
    text = applied(document.text, edits)
    match = _ENCODING.match(text) if document.format == "beerxml" else None
    if match is not None:
        text = f"{match[1]}UTF-8{text[match.end() :]}"
    mark = codecs.BOM_UTF8 if document.data.startswith(codecs.BOM_UTF8) else b""
    return mark + text.encode("utf-8")


def applied(text: str, edits: list[Edit]) -> str:
    """Return a text with some edits made."""
    parts: list[str] = []
    done = 0
    for edit in sorted(edits, key=lambda edit: (edit.start, edit.end)):
        if edit.start < done:
            raise EditError("its repairs overlap, so that they cannot be written")
        parts += (text[done : edit.start], edit.new)
        done = edit.end
    return "".join([*parts, text[done:]])


def _markup(text: str, changes: tuple[tuple[int, int, str, str], ...]) -> Iterator[Edit]:
    for start, end, new, label in changes:
        stretch = text[start:end]
        if label == "text-outside":
            yield Edit(start, end, f"<!-- {_comment(stretch.rstrip())} -->{_blanks(stretch)}")
        elif label == "comments":
            yield Edit(start, end, f"<!--{_comment(stretch.removeprefix('<!--')[:-3])}-->")
        elif label == "end-tags" and new.endswith("/>"):
            yield Edit(end - 1, end, "/>")
        else:
            yield Edit(start, end, new)


def _comment(text: str) -> str:
    clean = _HYPHENS.sub("- ", _CONTROLS.sub("", text))
    return f"{clean} " if clean.endswith("-") else clean


def _blanks(stretch: str) -> str:
    return stretch[len(stretch.rstrip()) :]


def _without_prefixes(text: str, edits: list[Edit]) -> Iterator[Edit]:
    """Yield the edits that make an undeclared prefix a part of the name."""
    taken = {edit.start for edit in edits if edit.end > edit.start}
    declared = declared_prefixes(text)
    for match in TAG.finditer(text):
        name = match[2]
        if name is None or ":" not in name or match.start() in taken:
            continue
        if name.partition(":")[0] not in declared:
            yield Edit(*match.span(2), name.replace(":", "_"))
