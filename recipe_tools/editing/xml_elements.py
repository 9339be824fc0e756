"""The elements of an XML text with their places in it, in code points."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from recipe_tools.formats.beerxml_tags import local_name
from recipe_tools.formats.xml_markup import ATTRIBUTES, NAME

_TAG = re.compile(
    rf"<(?:(/)?({NAME}){ATTRIBUTES}>"
    r"|!--.*?(?:-->|\Z)|!\[CDATA\[.*?(?:\]\]>|\Z)|\?.*?(?:\?>|\Z))",
    re.S,
)
_DEEPEST = 1_000_000
_SEGMENT = re.compile(r"([^\[]+)(?:\[([0-9]+)\])?")


@dataclass(slots=True)
class Element:
    """An element of a text.

    written: its tag as written, with prefix. name: local name in upper case. start: of its start
    tag. open_end: behind the start tag. close_start: of its end tag. end: behind it. For a
    self-closed element the last three are equal.
    """

    written: str
    name: str
    start: int
    open_end: int
    close_start: int = -1
    end: int = -1
    self_closed: bool = False
    children: list[Element] = field(default_factory=list)
    _named: dict[str, list[Element]] | None = None

    def named(self, name: str) -> list[Element]:
        """Return the children of a name, in the order of the file."""
        if self._named is None:
            self._named = {}
            for child in self.children:
                self._named.setdefault(child.name, []).append(child)
        return self._named.get(name, [])

    def first(self, name: str) -> Element | None:
        """Return the first child of a name, or None."""
        found = self.named(name)
        return found[0] if found else None


def elements(text: str, depth: int = _DEEPEST) -> Element:
    """Return an element without name around everything in a text whose tags are nested rightly.

    depth: of the innermost elements that are wanted; 1 is the root element.
    """
    names: dict[str, str] = {}
    top = Element("", "", 0, 0, len(text), len(text))
    stack = [top]
    deeper = 0
    for match in _TAG.finditer(text):
        written = match[2]
        if written is None:
            continue
        start, end = match.span()
        if match[1]:
            if deeper:
                deeper -= 1
            elif len(stack) > 1:
                done = stack.pop()
                done.close_start, done.end = start, end
            continue
        if len(stack) > depth:
            deeper += text[end - 2] != "/"
            continue
        name = names.get(written)
        if name is None:
            name = names[written] = local_name(written.rpartition(":")[2])
        element = Element(written, name, start, end)
        stack[-1].children.append(element)
        if text[end - 2] == "/":
            element.close_start = element.end = end
            element.self_closed = True
        else:
            stack.append(element)
    return top


def find(top: Element, path: str) -> Element | None:
    """Return the element at a symbolic path of `beerxml`, or None."""
    element: Element | None = top
    for segment in path.split("/")[1:]:
        match = _SEGMENT.fullmatch(segment)
        if match is None or element is None:
            return None
        place = int(match[2] or 1) - 1
        same = element.named(match[1])
        element = same[place] if 0 <= place < len(same) else None
    return element


def gap_before(text: str, place: int) -> str:
    """Return the blanks and line breaks right before a place."""
    start = place
    while start > 0 and text[start - 1] in " \t\r\n":
        start -= 1
    return text[start:place]
