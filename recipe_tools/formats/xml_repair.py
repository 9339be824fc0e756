"""Repairs that make a damaged XML file readable, on a copy, each of them told.

The bytes of the file are never touched. `Edits` leads from a place in the copy back to the
original.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass, field
from typing import Final

from recipe_tools.formats.xml_markup import ATTRIBUTES, NAME, WRAPPER

_TOKEN = re.compile(
    rf"""
    (?P<comment><!--.*?(?:-->|\Z))
  | (?P<cdata><!\[CDATA\[.*?(?:\]\]>|\Z))
  | (?P<pi><\?.*?(?:\?>|\Z))
  | (?P<doctype><!DOCTYPE[^\[>]*(?:\[.*?\]\s*)?>)
  | <(?P<end>/)?(?P<name>{NAME})(?P<attributes>{ATTRIBUTES})>
  | (?P<less><)
  | (?P<reference>&(?:
        \#(?P<code>[0-9]{{1,8}}|[xX][0-9A-Fa-f]{{1,8}});
      | (?P<entity>[A-Za-z][A-Za-z0-9]{{0,31}});
    )?)
  | (?P<control>[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]+)
  | (?P<bracket>\]\]>)
    """,
    re.X | re.S,
)
_PREFIX = re.compile(r"\sxmlns:([^\W\d][\w.-]*)\s*=\s*(?:\"([^\"<&]*)\"|'([^'<&]*)')")
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]+")
_DECLARATION = re.compile(
    r"""<\?xml\s+version\s*=\s*["']1\.[0-9]["'](\s+[a-z]+\s*=\s*["'][\w.:-]+["'])*\s*\?>"""
)
_XML_ENTITIES = frozenset(("amp", "lt", "gt", "quot", "apos"))

LABELS: Final = {
    "html-entities": "names of characters that only HTML knows",
    "bare-ampersands": "an ampersand that should be &amp;",
    "bare-angle-brackets": "a < or ]]> in text that should be escaped",
    "control-characters": "control characters, which XML forbids",
    "text-outside": "text before the first or after the last element",
    "declaration": "an XML declaration in the wrong place or out of order",
    "end-tags": "an end tag that is missing or misspelt",
    "namespace-prefixes": "a namespace prefix that is declared nowhere",
    "comments": "a comment with two hyphens inside",
    "attributes": "attributes that are not well-formed",
}
"""What each repair was for, in words."""

_VOID = frozenset(("br", "hr", "img"))
_DEEPEST_REPAIRED = 300

MOST_REPAIRS: Final = 200_000
"""Changes made to one file (derived_default): each is kept with its place, some 300 bytes."""


class PastRepairError(ValueError):
    """A text that would need more than `MOST_REPAIRS` changes."""


class Edits:
    """Where the copy differs from the original, in rising order."""

    __slots__ = ("_copy", "_original")

    def __init__(self) -> None:
        self._copy: list[int] = [0]
        self._original: list[int] = [0]

    def add(self, copy: int, original: int) -> None:
        """Note that what follows in the copy is what follows there in the original."""
        self._copy.append(copy)
        self._original.append(original)

    def original(self, offset: int) -> int:
        """Return the place in the original that a place in the copy stands for."""
        at = bisect_right(self._copy, offset) - 1
        reached = self._original[at] + offset - self._copy[at]
        if at + 1 < len(self._original):
            return min(reached, self._original[at + 1])
        return reached


@dataclass(frozen=True, slots=True)
class Repaired:
    """A repaired copy inside a `WRAPPER` element, without declaration, comments and attributes.

    The wrapper declares the prefixes that the file declares anywhere.

    labels: repairs by label, with the number of places and the first of them in the original.
    roots: places of the root elements in the original. unclosed: name and place of the innermost
    element that never ends. changes: each labelled repair as start and end in the original, new
    text and label.
    """

    text: str
    edits: Edits
    labels: dict[str, tuple[int, int]]
    roots: tuple[int, ...]
    unclosed: tuple[str, int] | None = None
    changes: tuple[tuple[int, int, str, str], ...] = ()


def repair(text: str) -> Repaired:
    """Return a copy of the text with the repairs that `LABELS` names, in linear time.

    Raises PastRepairError.
    """
    return _Pass(text).run()


@dataclass(slots=True)
class _Pass:
    text: str
    pieces: list[str] = field(default_factory=list)
    size: int = 0
    done: int = 0
    edits: Edits = field(default_factory=Edits)
    labels: dict[str, tuple[int, int]] = field(default_factory=dict)
    open_names: list[str] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    leaf: bool = False
    roots: list[int] = field(default_factory=list)
    prefixes: dict[str, str] = field(default_factory=dict)
    changes: list[tuple[int, int, str, str]] = field(default_factory=list)

    def run(self) -> Repaired:
        self.prefixes = declared_prefixes(self.text)
        declared = "".join(f' xmlns:{name}="{uri}"' for name, uri in self.prefixes.items())
        self._replace(0, 0, f"<{WRAPPER}{declared}>")
        for match in _TOKEN.finditer(self.text):
            kind = match.lastgroup
            if kind == "attributes":
                self._tag(match)
            elif kind == "comment":
                self._comment(match)
            elif kind in ("pi", "doctype"):
                self._instruction(match)
            elif not self.open_names:
                continue  # text outside the root: dropped as a whole before the next tag
            elif kind == "reference":
                self._reference(match)
            elif kind == "control":
                self._replace(match.start(), match.end(), "", "control-characters")
            elif kind == "cdata":
                self._cdata(match)
            else:
                escaped = "&lt;" if kind == "less" else "]]&gt;"
                self._replace(match.start(), match.end(), escaped, "bare-angle-brackets")
        self._outside(len(self.text))
        self._keep(len(self.text))
        self.pieces.append(f"</{WRAPPER}>")
        unclosed = (self.open_names[-1], self.starts[-1]) if self.open_names else None
        copy, changes = "".join(self.pieces), tuple(self.changes)
        return Repaired(copy, self.edits, self.labels, tuple(self.roots), unclosed, changes)

    def _keep(self, upto: int) -> None:
        if len(self.pieces) > 2 * MOST_REPAIRS:
            raise PastRepairError(f"more than {MOST_REPAIRS:,} places of it are damaged")
        piece = self.text[self.done : upto]
        self.pieces.append(piece)
        self.size += len(piece)
        self.done = upto

    def _replace(self, start: int, end: int, new: str, label: str = "") -> None:
        self._keep(start)
        if label:
            self._label(label, start)
            self.changes.append((start, end, new, label))
        self.edits.add(self.size, start)
        self.pieces.append(new)
        self.size += len(new)
        self.edits.add(self.size, end)
        self.done = end

    def _label(self, label: str, start: int) -> None:
        count, first = self.labels.get(label, (0, start))
        self.labels[label] = (count + 1, first)

    def _outside(self, upto: int) -> None:
        """Drop text that stands outside the root element."""
        if self.open_names or self.done >= upto:
            return
        between = self.text[self.done : upto]
        if not between.strip():
            return
        start = self.done + len(between) - len(between.lstrip())
        self._replace(start, upto, "", "text-outside")

    def _comment(self, match: re.Match[str]) -> None:
        self._outside(match.start())
        inside = match[0][4:-3]
        faulty = "--" in inside or inside.endswith("-") or _CONTROLS.search(inside) is not None
        self._replace(match.start(), match.end(), "", "comments" if faulty else "")

    def _instruction(self, match: re.Match[str]) -> None:
        self._outside(match.start())
        text = match[0]
        declares = text[:5].lower() == "<?xml" and not text[5:6].isalnum()
        in_order = match.start() == 0 and _DECLARATION.fullmatch(text) is not None
        faulty = declares and not in_order
        self._replace(match.start(), match.end(), "", "declaration" if faulty else "")

    def _cdata(self, match: re.Match[str]) -> None:
        text = match[0]
        clean = _CONTROLS.sub("", text)
        if clean != text:
            self._replace(match.start(), match.end(), clean, "control-characters")

    def _reference(self, match: re.Match[str]) -> None:
        start, end = match.span()
        code, entity = match["code"], match["entity"]
        if code is not None:
            if not _allowed(int(code[1:], 16) if code[0] in "xX" else int(code)):
                self._replace(start, end, "", "control-characters")
            return
        if entity in _XML_ENTITIES:
            return
        meant = _html_character(entity)
        if meant is None:
            self._replace(start, start + 1, "&amp;", "bare-ampersands")
        else:
            self._replace(start, end, meant, "html-entities")

    def _tag(self, match: re.Match[str]) -> None:
        self._outside(match.start())
        name = match["name"]
        if match["end"]:
            self._end_tag(match, name)
            return
        if not self.open_names:
            self.roots.append(match.start())
        attributes = match["attributes"]
        closed = attributes.endswith("/")
        void = not closed and name.lower() in _VOID
        self.leaf = True
        if not closed and not void:
            self.open_names.append(name)
            self.starts.append(match.start())
        else:
            self.leaf = False
        if attributes.rstrip("/").strip() or ":" in name or void:
            self._label_prefix(name, match.start())
            new = f"<{self._local(name)}{'/' if closed or void else ''}>"
            self._replace(match.start(), match.end(), new, "end-tags" if void else "")
        if not self.open_names:
            self._keep(match.end())

    def _end_tag(self, match: re.Match[str], name: str) -> None:
        start, end = match.span()
        names = self.open_names
        if name.lower() in _VOID:
            self._replace(start, end, "", "end-tags")
            return
        if names and names[-1] != name and self.leaf and len(names) < _DEEPEST_REPAIRED:
            unclosed = names.pop()
            self.starts.pop()
            if name in names:
                closing = f"</{self._local(unclosed)}>"
                self._replace(start, start, closing, "end-tags")
            else:
                self._replace(start, end, f"</{self._local(unclosed)}>", "end-tags")
                self.leaf = False
                return
        self.leaf = False
        if names and names[-1] == name:
            names.pop()
            self.starts.pop()
        elif not names:
            self._replace(start, end, "", "text-outside")
            return
        if ":" in name or match["attributes"].strip():
            self._replace(start, end, f"</{self._local(name)}>")
        if not names:
            self._keep(end)

    def _label_prefix(self, name: str, start: int) -> None:
        if ":" in name and name.partition(":")[0] not in self.prefixes:
            self._label("namespace-prefixes", start)

    def _local(self, name: str) -> str:
        """Return the name with a declared prefix; an undeclared one becomes part of the name."""
        prefix, colon, local = name.partition(":")
        local = local.replace(":", "_")
        return f"{prefix}{colon if prefix in self.prefixes else colon and '_'}{local}"


def declared_prefixes(text: str) -> dict[str, str]:
    """Return the namespaces that are declared anywhere in a text, by prefix."""
    found = {match[1]: match[2] or match[3] or "" for match in _PREFIX.finditer(text)}
    # XML keeps both names to itself, and no prefix can stand for no namespace.
    return {name: uri or f"urn:{name}" for name, uri in found.items() if name[:3].lower() != "xml"}


def _allowed(code: int) -> bool:
    return (
        code in (9, 10, 13)
        or 0x20 <= code <= 0xD7FF
        or 0xE000 <= code <= 0xFFFD
        or 0x10000 <= code <= 0x10FFFF
    )


def _html_character(entity: str | None) -> str | None:
    from html.entities import html5

    meant = html5.get(f"{entity};") if entity else None
    if meant is None:
        return None
    return meant.replace("&", "&amp;").replace("<", "&lt;")
