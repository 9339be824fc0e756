"""The elements of an XML text as a tree of spans: the one that findings and edits ask.

A level of the tree is scanned when somebody looks into it, and kept. Paths are those of `beerxml`:
``/RECIPES/RECIPE[1]/MISCS/MISC[2]/AMOUNT``; places start at 1 and count as the reader does
(`beerxml_tags.precedence`), a tag without a place is the one that was read.
"""

import re
from collections.abc import Callable
from typing import Final

from recipe_tools.formats.beerxml_tags import EVERY_TAG, local_name, precedence
from recipe_tools.formats.fields import is_numbered
from recipe_tools.formats.xml_markup import ATTRIBUTES, NAME, WRAPPER
from recipe_tools.formats.xml_source import markup

TAG: Final = re.compile(
    rf"<(?:(/)?({NAME}){ATTRIBUTES}>"
    r"|!--.*?(?:-->|\Z)|!\[CDATA\[.*?(?:\]\]>|\Z)|\?.*?(?:\?>|\Z))",
    re.S,
)
"""A tag (1: whether it ends an element, 2: its name), a comment, CDATA section or instruction."""

_SEGMENT: Final = re.compile(r"([^\[]+)(?:\[([0-9]{1,9})\])?")
_NAMESPACE: Final = re.compile(r"\sxmlns\s*=\s*(?:\"([^\"]*)\"|'([^']*)')")
_CDATA_OPEN: Final = "<![CDATA["
_CDATA_CLOSE: Final = "]]>"
_BLANKS: Final = " \t\r\n"
_LONGEST_KNOWN: Final = 80
"""Letters of a start tag that is looked up rather than matched."""


_Row = tuple[str, int, int, int, int, str]
"""What an `Element` is made of: most are never asked for, and a plain tuple is made faster."""


class Element:
    """An element of a text, in code points.

    written: its tag as written, with prefix. name: local name in upper case. start: of its start
    tag. open_end: behind the start tag. close_start: of its end tag. end: behind it. For a
    self-closed element the last three are equal.
    """

    __slots__ = (
        "_named",
        "_rows",
        "_scanner",
        "close_start",
        "end",
        "name",
        "namespace",
        "open_end",
        "start",
        "written",
    )

    def __init__(self, scanner: "_Scanner", row: _Row) -> None:
        self._scanner = scanner
        self.written, self.start, self.open_end, self.close_start, self.end, self.namespace = row
        self.name = scanner.names.get(self.written) or scanner.standard_name(self.written)
        self._rows: list[_Row] | None = None
        self._named: dict[str, list[_Row]] | None = None

    @property
    def self_closed(self) -> bool:
        """True where start and end tag are one."""
        return self.end == self.open_end

    def rows(self) -> "list[_Row]":
        """Return what the elements right inside are made of."""
        if self._rows is None:
            self._rows = self._scanner.scan(self)
        return self._rows

    @property
    def children(self) -> "tuple[Element, ...]":
        """The elements right inside, in the order of the file."""
        return tuple(Element(self._scanner, row) for row in self.rows())

    def _of_name(self, name: str) -> "list[_Row]":
        if self._named is None:
            named = self._named = {}
            odd: set[str] = set()
            names, namespace = self._scanner.names, self.namespace
            for row in self.rows():
                tag = names.get(row[0]) or self._scanner.standard_name(row[0])
                if tag in named:
                    named[tag].append(row)
                else:
                    named[tag] = [row]
                if row[0] != tag or row[5] != namespace:
                    odd.add(tag)
            for tag in odd if self.written else ():
                records = is_numbered(tag, self.name)
                named[tag].sort(key=lambda row: self._precedence(row, records))
        return self._named.get(name, [])

    def _precedence(self, row: "_Row", records: bool) -> tuple[bool, bool, bool]:
        prefix, _, local = row[0].rpartition(":")
        outer = self.written.rpartition(":")[0]
        foreign = prefix != outer if prefix else row[5] not in ("", self.namespace)
        return precedence(local, foreign=foreign, prefixed=bool(prefix), records=records)

    def first(self, name: str, place: int = 1) -> "Element | None":
        """Return the child of a name that is read, or of those the one at a place; or None."""
        same = self._of_name(name)
        return Element(self._scanner, same[place - 1]) if 0 < place <= len(same) else None

    def named(self, name: str) -> "list[Element]":
        """Return the children of a name, the one that is read first."""
        return [Element(self._scanner, row) for row in self._of_name(name)]

    def content(self) -> tuple[int, int]:
        """Return the text of a value without blanks around it and CDATA marks.

        Where elements stand inside it is all that is between the tags.
        """
        start, end = self.open_end, self.close_start
        if self.rows():
            return start, end
        inside = self._scanner.text[start:end]
        if _is_cdata(inside):
            start += inside.index(_CDATA_OPEN) + len(_CDATA_OPEN)
            end -= len(inside) - inside.rindex(_CDATA_CLOSE)
            inside = self._scanner.text[start:end]
        stripped = inside.strip()
        if not stripped:
            return start, start
        start += len(inside) - len(inside.lstrip())
        return start, start + len(stripped)

    def gap_before(self) -> str:
        """Return the blanks and line breaks right before the element."""
        return _gap_before(self._scanner.text, self.start)

    def gap_before_end(self) -> str:
        """Return the blanks and line breaks right before its end tag."""
        return _gap_before(self._scanner.text, self.close_start)


class _Scanner:
    """What the elements of a text are asked of; it holds none of them.

    A tree whose elements held the tree would stay in memory until somebody looks for such circles:
    an archive makes one for each file.
    """

    def __init__(self, text: str) -> None:
        self.text = text
        self.names = {tag: tag for tag in EVERY_TAG}
        self._tags: dict[str, str] = {}
        self._by_tags: set[str] = set()
        # Where no comment or CDATA section can hold what looks like a tag, end tags are searched.
        self._plain = "<!" not in text and text.find("<?", 2) < 0

    def standard_name(self, written: str) -> str:
        """Return the name of a tag in the standard."""
        name = self.names.get(written)
        if name is None:
            name = self.names[written] = local_name(written.rpartition(":")[2])
        return name

    def scan(self, holder: Element) -> list[_Row]:
        """Return what the elements right inside another one are made of."""
        text, find, known = self.text, self.text.find, self._tags.get
        place, end = holder.open_end, holder.close_start
        found: list[_Row] = []
        while (at := find("<", place, end)) >= 0:
            place = find(">", at, at + _LONGEST_KNOWN) + 1
            namespace = holder.namespace
            written = known(text[at:place])
            if written is None:
                tag = TAG.match(text, at)
                if tag is None or not tag[2] or tag[1]:  # a comment, or a document type
                    place = tag.end() if tag is not None else at + 1
                    continue
                written, place = tag[2], tag.end()
                if "xmlns" in tag[0] and (declared := _NAMESPACE.search(tag[0])) is not None:
                    namespace = declared[1] or declared[2] or ""
                else:
                    self._tags[tag[0]] = written
            if text[place - 2] == "/":
                found.append((written, at, place, place, place, namespace))
                continue
            closing = f"</{written}>"
            close_start = find("<", place)
            if text.startswith(closing, close_start):
                close_end = close_start + len(closing)
            else:
                close_start, close_end = self._close(written, closing, place)
            found.append((written, at, place, close_start, close_end, namespace))
            place = close_end
        return found

    def _close(self, written: str, closing: str, place: int) -> tuple[int, int]:
        """Return start and end of the end tag of an element that holds others."""
        text = self.text
        if written not in self._by_tags:
            at = text.find(closing, place)
            if at >= 0 and self._is_plain(place, at) and not self._opens(written, place, at):
                return at, at + len(closing)
            # Looking far for nothing again and again would take time that grows with the square.
            self._by_tags.add(written)
        depth = 1
        for tag in TAG.finditer(text, place):
            if tag[2] != written:
                continue
            if tag[1]:
                depth -= 1
                if not depth:
                    return tag.span()
            elif text[tag.end() - 2] != "/":
                depth += 1
        return len(text), len(text)

    def _is_plain(self, start: int, end: int) -> bool:
        return self._plain or (
            self.text.find("<!", start, end) < 0 and self.text.find("<?", start, end) < 0
        )

    def _opens(self, written: str, start: int, end: int) -> bool:
        """Tell whether an element of the same name starts in a stretch."""
        opening = f"<{written}"
        while (start := self.text.find(opening, start, end)) >= 0:
            start += len(opening)
            if self.text[start] in " \t\r\n/>":
                return True
        return False


class XmlSpans:
    """The elements of a well-formed text; ``top`` holds the root, or several.

    origin: leads from a place in a repaired text to the one in the file.
    """

    def __init__(self, text: str, origin: Callable[[int], int] | None = None) -> None:
        self.text = text
        self._origin = origin
        self._scanner = _Scanner(text)
        self._elements: dict[str, Element | None] = {}
        self.top = self._around(0, len(text))
        roots = self.top.rows()
        if len(roots) == 1 and roots[0][0] == WRAPPER:
            self.top = self._around(*roots[0][2:4])

    def _around(self, start: int, end: int) -> Element:
        return Element(self._scanner, ("", start, start, end, end, ""))

    def find(self, path: str) -> Element | None:
        """Return the element at a symbolic path, or None."""
        if not path:
            return self.top
        if path not in self._elements:
            around, _, segment = path.rpartition("/")
            holder, match = self.find(around), _SEGMENT.fullmatch(segment)
            found = None
            if holder is not None and match is not None:
                found = holder.first(match[1], int(match[2] or 1))
            self._elements[path] = found
        return self._elements[path]

    def shown(self, path: str) -> tuple[int, int] | None:
        """Return what to show of a path: the text of its value, without blanks around it.

        Where the element is empty or holds elements, or where it does not exist, that is the start
        tag of the element itself or of the nearest one around it; None where there is none.
        """
        value = self.spelt(path)
        if value is not None:
            return value
        while (element := self.find(path)) is None:
            path = path.rpartition("/")[0]
        return self._in_file((element.start, element.open_end)) if path else None

    def spelt(self, path: str) -> tuple[int, int] | None:
        """Return the text of the single value at a path; None where there is none."""
        element = self.find(path)
        value = self._value(element) if element is not None else None
        return self._in_file(value) if value is not None else None

    def _value(self, element: Element) -> tuple[int, int] | None:
        if element.rows():
            return None
        start, end = element.content()
        return (start, end) if start < end else None

    def _in_file(self, span: tuple[int, int]) -> tuple[int, int]:
        if self._origin is None:
            return span
        return self._origin(span[0]), self._origin(span[1])


def of_file(data: bytes) -> tuple[str, XmlSpans] | None:
    """Return the text of a file before any repair, and its spans; None where it is no XML."""
    source = markup(data)
    if source.decoded is None or source.refusal is not None:
        return None
    text, repaired = source.decoded.text, source.repaired
    if repaired is None:
        return text, XmlSpans(text)
    return text, XmlSpans(repaired.text, repaired.edits.original)


def _gap_before(text: str, place: int) -> str:
    """Return the blanks and line breaks right before a place."""
    start = place
    while start > 0 and text[start - 1] in _BLANKS:
        start -= 1
    return text[start:place]


def _is_cdata(inside: str) -> bool:
    inside = inside.strip()
    return (
        inside.startswith(_CDATA_OPEN)
        and inside.endswith(_CDATA_CLOSE)
        and inside.count(_CDATA_OPEN) == 1
    )
