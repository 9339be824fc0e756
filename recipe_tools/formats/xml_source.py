"""An XML file as a tree, parsed without reaching for anything outside its bytes."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from recipe_tools.formats.decoding import Decoded, NotTextError, decode_xml
from recipe_tools.formats.regions import LineIndex

if TYPE_CHECKING:
    from recipe_tools.formats.xml_repair import Repaired

_RESOURCE_LIMIT: Final = 114  # XML_ERR_RESOURCE_LIMIT of libxml2
_AT = re.compile(r",? line \d+, column \d+.*|, try XML_PARSE_HUGE.*|,? use XML_PARSE_HUGE.*", re.S)
_NOT_IN_PROLOG = re.compile(r"<!--.*?(?:-->|\Z)|<\?.*?(?:\?>|\Z)|<[^!?\s]", re.S)


class Refusal(NamedTuple):
    """Why there is no tree. reason: ``entities``, ``too-deep``, ``too-large`` or ``malformed``.

    detail: what the parser says. line, column: 1-based, in the original; None where unknown.
    """

    reason: str
    detail: str = ""
    line: int | None = None
    column: int | None = None


class XmlSource(NamedTuple):
    """A parsed file.

    roots: the root element, or several where the file has more than one. repaired: the copy that
    was parsed, where the file itself is not well-formed.
    """

    decoded: Decoded | None
    roots: tuple[etree._Element, ...] = ()
    repaired: Repaired | None = None
    refusal: Refusal | None = None


_recent: dict[bytes, XmlSource] = {}
_MOST_RECENT: Final = 32
_SMALL: Final = 1 << 17


def markup(data: bytes) -> XmlSource:
    """Return what `load` does, perhaps without the trees: for small files it is remembered.

    Files are read first, a few at a time, and their findings are located later.
    """
    return _recent.get(data) or load(data)


def _remember(data: bytes, source: XmlSource) -> XmlSource:
    if len(data) <= _SMALL:
        if len(_recent) >= _MOST_RECENT:
            del _recent[next(iter(_recent))]
        _recent[data] = source._replace(roots=())
    return source


@lru_cache(maxsize=1)
def load(data: bytes) -> XmlSource:
    """Parse the bytes of a file; a damaged one as a repaired copy. Never raises for its content.

    The latest file is kept: it is read first, and its findings are located right after.
    """
    return _remember(data, _loaded(data))


def _loaded(data: bytes) -> XmlSource:
    try:
        decoded = decode_xml(data)
    except NotTextError as error:
        return XmlSource(
            None, refusal=Refusal("malformed", f"its bytes are not valid {error}", 1, 1)
        )
    utf8 = decoded.utf8
    if b"!" in utf8 and (b"<!DOCTYPE" in utf8 or b"<!ENTITY" in utf8):
        return _with_doctype(decoded)
    try:
        return XmlSource(decoded, (_parse(utf8),))
    except etree.XMLSyntaxError as error:
        if _is_limit(error):
            return XmlSource(decoded, refusal=_refusal(error, decoded.text, None))
        return _repaired(decoded)


def _parse(utf8: bytes) -> etree._Element:
    # A parser of its own per file: one that is shared keeps the error log and is not re-entrant.
    parser = etree.XMLParser(
        encoding="utf-8",
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        dtd_validation=False,
        huge_tree=False,
        strip_cdata=False,
        remove_comments=False,
        remove_pis=False,
    )
    return etree.fromstring(utf8, parser)


def _with_doctype(decoded: Decoded) -> XmlSource:
    text = decoded.text
    start, root = text.find("<!DOCTYPE"), _root_start(text)
    declared = text.find("<!ENTITY", start, root) if 0 <= start < root else -1
    if declared >= 0:
        line, column = LineIndex(text).place(declared)
        return XmlSource(decoded, refusal=Refusal("entities", line=line, column=column))
    # Behind a document type the parser would leave unknown entities open; the repair settles them.
    if 0 <= start < root:
        return _repaired(decoded)
    try:
        return XmlSource(decoded, (_parse(decoded.utf8),))
    except etree.XMLSyntaxError as error:
        if _is_limit(error):
            return XmlSource(decoded, refusal=_refusal(error, text, None))
        return _repaired(decoded)


def _root_start(text: str) -> int:
    for match in _NOT_IN_PROLOG.finditer(text):
        if match[0][1] not in "!?":
            return match.start()
    return len(text)


def _repaired(decoded: Decoded) -> XmlSource:
    from recipe_tools.formats.xml_repair import PastRepairError, repair

    text = decoded.text
    try:
        copy = repair(text)
    except PastRepairError as error:
        return XmlSource(decoded, refusal=Refusal("malformed", str(error), 1, 1))
    if not copy.roots:
        detail = "it is empty" if not text.strip() else "it holds no element"
        return XmlSource(decoded, refusal=Refusal("malformed", detail, 1, 1))
    try:
        wrapper = _parse(copy.text.encode("utf-8"))
    except etree.XMLSyntaxError as error:
        if copy.unclosed is not None and not _is_limit(error):
            return XmlSource(decoded, refusal=_never_closed(*copy.unclosed, text))
        return XmlSource(decoded, refusal=_refusal(error, text, copy))
    roots = tuple(child for child in wrapper if isinstance(child.tag, str))
    return XmlSource(decoded, roots, copy)


def _never_closed(name: str, start: int, text: str) -> Refusal:
    line, column = LineIndex(text).place(start)
    return Refusal("malformed", f"the element {name} opened here never ends", line, column)


def _is_limit(error: etree.XMLSyntaxError) -> bool:
    return bool(getattr(error, "code", 0) == _RESOURCE_LIMIT)


def _refusal(error: etree.XMLSyntaxError, text: str, copy: Repaired | None) -> Refusal:
    message = error.msg or ""
    reason = "malformed"
    if _is_limit(error):
        reason = "too-deep" if "depth" in message.lower() else "too-large"
    line, column = error.position
    parsed = copy.text if copy is not None else text
    offset = _offset(parsed, line, column)
    original = copy.edits.original(offset) if copy is not None else offset
    place = LineIndex(text).place(min(original, len(text)))
    return Refusal(reason, _AT.sub("", message).strip(), *place)


def _offset(text: str, line: int, column: int) -> int:
    """Return the place of the parser's line (ended by LF) and column (bytes of UTF-8)."""
    start = 0
    for _ in range(line - 1):
        end = text.find("\n", start)
        if end < 0:
            break
        start = end + 1
    end = text.find("\n", start)
    rest = text[start : end if end >= 0 else len(text)]
    before = rest.encode("utf-8")[: max(0, column - 1)].decode("utf-8", "ignore")
    return start + len(before)
