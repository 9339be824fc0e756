"""Reads BeerXML 1.0: bytes in, recipes and findings out. Nothing in a file makes it raise.

A file that breaks the standard is read as far as its sense is beyond doubt; each departure is a
finding whose declaration stands in `deviations`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Final

from lxml import etree

from recipe_tools.findings import Finding, Severity
from recipe_tools.formats import beerxml_recipe as build
from recipe_tools.formats.beerxml_deviations import foreign_left_out, misspelt
from recipe_tools.formats.beerxml_sets import Reading
from recipe_tools.formats.beerxml_tags import is_foreign, local_name
from recipe_tools.formats.decoding import Mismatch
from recipe_tools.formats.fields import REPEATED, ROOTS, SETS, is_numbered
from recipe_tools.formats.json_bounds import MOST_ENTRIES
from recipe_tools.formats.notices import Notices, fault, shown
from recipe_tools.formats.regions import LineIndex
from recipe_tools.formats.result import ReadResult, Status
from recipe_tools.formats.xml_source import Refusal, XmlSource, load
from recipe_tools.limits import DEFAULT_LIMITS, Limits
from recipe_tools.recipe import Recipe, WaterSource

_Part = tuple[str, etree._Element, str]

_RECIPE_ROOTS: Final = ("RECIPES", "RECIPE")
_ANYWHERE: Final = ("RECIPE", "WATER")
_DEEPEST_STANDARD: Final = 6
_DEEPER_THAN_STANDARD = etree.XPath("boolean(" + "/*" * (_DEEPEST_STANDARD + 1) + ")")
_ATTRIBUTE: Final = (
    r"<([A-Za-z_][^\s/><=\"'&!?]*)\s(?:[^\"'<>]|\"[^\"<]*\"|'[^'<]*')*?"
    r"(?<![\w:.-])(?!xmlns\b)([A-Za-z_][\w.-]*)\s*=\s*[\"']"
)
_EQUALS = (b'="', b"='", b'= "', b"= '")


def read(data: bytes, limits: Limits = DEFAULT_LIMITS) -> ReadResult:
    """Return the recipes and water profiles of a BeerXML file, and what is wrong with it.

    Units are converted to those of `recipe_tools.recipe`. Never raises for what the bytes contain.
    """
    source = load(data)
    findings = _about_the_bytes(source)
    if source.refusal is not None:
        return _refused([*findings, _refusal(source.refusal, limits)], _labels(source))
    if _too_deep(source, limits):
        deep = Refusal("too-deep")
        return _refused([*findings, _refusal(deep, limits)], _labels(source))
    return _Reader(source, limits, findings).result()


class _Reader:
    """The reading of one parsed file."""

    def __init__(self, source: XmlSource, limits: Limits, findings: list[Finding]) -> None:
        self.source = source
        self.limits = limits
        self.findings = findings
        self.notices = Notices()
        self.recipes: list[Recipe] = []
        self.waters: list[WaterSource] = []
        self.complete = True

    def result(self) -> ReadResult:
        roots = self.source.roots
        known, others = any(map(_is_known, roots)), 0
        for record, element, path in self._parts():
            state = Reading(self.notices, self.limits)
            if record != "RECIPE":
                others += 1
                if others > MOST_ENTRIES:
                    self._too_many("records beside the recipes", MOST_ENTRIES, path)
                    break
                built = build.BUILDERS[record](state, element, path)
                if isinstance(built, WaterSource):
                    self.waters.append(built)
            elif len(self.recipes) < self.limits.max_recipes:
                self.notices.recipe = index = len(self.recipes)
                self.recipes.append(build.recipe(state, element, path, index))
                self.notices.recipe = None
            else:
                self._too_many("recipes", self.limits.max_recipes, path)
                break
            self.complete = self.complete and not state.over_limit
        self.complete = self.complete and not self.notices.left_out
        findings = [*self.findings, *self.notices.findings()]
        status: Status = "checked" if self.complete else "not_checked"
        if not (self.recipes or others):
            at = f"/{_segment(local_name(roots[0].tag), 1, '')}"
            if known:
                findings.append(fault("file/empty-document", at, value="", standard="BeerXML"))
            else:
                status = "skipped"
                findings.append(_no_recipe(roots[0].tag.rpartition("}")[2], at))
        return ReadResult(
            None if status == "skipped" else "beerxml",
            status,
            tuple(self.recipes),
            tuple(findings),
            tuple(self.waters),
            _labels(self.source),
        )

    def _too_many(self, what: str, most: int, path: str) -> None:
        self.complete = False
        number = f"more than {most}"
        value = what.upper() if what == "recipes" else what
        self.notices.add(
            "file/too-many-records", path, value=value, number=number, what=what, limit=most
        )

    def _parts(self) -> Iterator[_Part]:
        counts: dict[str, int] = {}
        for root in self.source.roots:
            name = local_name(root.tag)
            counts[name] = place = counts.get(name, 0) + 1
            path = f"/{_segment(name, place, '')}"
            parts = self._below(root, path, inside=_is_known(root))
            if name not in ROOTS:
                found = list(parts)
                if found:
                    self._unusual_root(name, path)
                yield from found
            else:
                yield from parts

    def _unusual_root(self, name: str, path: str) -> None:
        self.notices.add(
            "file/root-not-standard",
            path,
            value=shown(name),
            fault=f"The root element is {shown(name)} where BeerXML wants RECIPES",
        )

    def _below(self, element: etree._Element, path: str, *, inside: bool) -> Iterator[_Part]:
        """Yield the records in an element, at any depth of foreign elements.

        inside: it is one of BeerXML. In foreign ones only what nobody else calls so is a record:
        a page has a STYLE, too.
        """
        name = local_name(element.tag)
        if name in REPEATED and (inside or name in _ANYWHERE):
            self._spelling(element, name, path)
            yield name, element, path
        elif name in SETS and (inside or SETS[name] in _ANYWHERE):
            self._spelling(element, name, path)
            yield from self._members(element, SETS[name], path)
        elif name not in SETS and name not in REPEATED:
            for child, at in self._children(element, path):
                yield from self._below(child, at, inside=False)

    def _members(self, holder: etree._Element, wanted: str, path: str) -> Iterator[_Part]:
        for child, at in self._children(holder, path):
            name = local_name(child.tag)
            if name == wanted:
                yield from self._below(child, at, inside=True)
            elif name in SETS or name in REPEATED:
                self.notices.add(
                    "standard/misplaced-tag",
                    at,
                    severity=Severity.WARNING,
                    value=name,
                    record=local_name(holder.tag),
                    outcome="it is left out",
                )

    def _children(self, element: etree._Element, path: str) -> Iterator[tuple[etree._Element, str]]:
        """Yield the elements right inside another one that are read, with their paths."""
        children = [child for child in element if isinstance(child.tag, str)]
        parent = local_name(element.tag)
        plain: Mapping[str, int] = {}
        if any("{" in child.tag for child in children):
            plain = Counter(local_name(child.tag) for child in children if not is_foreign(child))
        counts: dict[tuple[str, bool], int] = {}
        for child in children:
            name, foreign = local_name(child.tag), is_foreign(child)
            counts[name, foreign] = place = counts.get((name, foreign), 0) + 1
            if foreign:
                place += plain.get(name, 0)
            at = f"{path}/{_segment(name, place, parent)}"
            if foreign and plain.get(name) and (name in SETS or name in REPEATED):
                foreign_left_out(child, at, self.notices)
            else:
                yield child, at

    def _spelling(self, element: etree._Element, name: str, path: str) -> None:
        written = element.tag.rpartition("}")[2]
        if written != name:
            misspelt(written, name, name, path, self.notices, read=True)


def _segment(name: str, place: int, parent: str) -> str:
    return f"{name}[{place}]" if place > 1 or is_numbered(name, parent) else name


def _labels(source: XmlSource) -> tuple[str, ...]:
    labels = tuple(source.repaired.labels) if source.repaired is not None else ()
    if source.decoded is not None and source.decoded.mismatch is not None:
        return ("encoding", *labels)
    return labels


def _refused(findings: list[Finding], repaired: tuple[str, ...] = ()) -> ReadResult:
    return ReadResult("beerxml", "not_checked", findings=tuple(findings), repaired=repaired)


def _too_deep(source: XmlSource, limits: Limits) -> bool:
    if limits.max_depth > _DEEPEST_STANDARD and not any(
        _DEEPER_THAN_STANDARD(root) for root in source.roots
    ):
        return False
    return any(_depth_exceeds(root, limits.max_depth) for root in source.roots)


def _depth_exceeds(root: etree._Element, limit: int) -> bool:
    level = [root]
    depth = 0
    while level:
        depth += 1
        if depth > limit:
            return True
        level = [child for element in level for child in element if isinstance(child.tag, str)]
    return False


def _about_the_bytes(source: XmlSource) -> list[Finding]:
    """Return the findings on encoding, repairs and attributes, with lines of the original."""
    decoded = source.decoded
    if decoded is None:
        return []
    findings = []
    if decoded.mismatch is not None:
        findings.append(_at(_encoding(decoded.mismatch), 1, 1))
    repaired = source.repaired
    attributed = source.refusal is None and _may_have_attributes(decoded.utf8)
    if repaired is None and not attributed:
        return findings
    text = decoded.text
    lines = LineIndex(text)
    if repaired is not None:
        for label, (count, first) in repaired.labels.items():
            findings.append(_at(_repair(label, count), *lines.place(first)))
        if len(repaired.roots) > 1:
            several = fault("file/several-roots", value=len(repaired.roots))
            findings.append(_at(several, *lines.place(repaired.roots[1])))
    if attributed and (match := re.search(_ATTRIBUTE, text)) is not None:
        findings.append(_at(_attribute(match), *lines.place(match.start())))
    return findings


def _at(finding: Finding, line: int, column: int) -> Finding:
    return finding._replace(line=line, column=column, end_line=line, end_column=column + 1)


def _may_have_attributes(utf8: bytes) -> bool:
    start = utf8.find(b"?>", 0, 300) + 1
    if utf8.find(b"=", start) < 0:
        return False
    return any(utf8.find(sign, start) >= 0 for sign in _EQUALS)


def _attribute(match: re.Match[str]) -> Finding:
    return fault("standard/attribute-data", tag=shown(match[1]), value=shown(match[2]))


def _encoding(mismatch: Mismatch) -> Finding:
    declared = f"The file declares the encoding {shown(mismatch.declared)}"
    return fault(
        "file/encoding-repaired",
        severity=None if mismatch.garbles else Severity.NOTE,
        declared=shown(mismatch.declared),
        value=mismatch.used,
        fault=f"{declared} but is not in it",
        outcome=f"it is read as {mismatch.used}"
        if mismatch.garbles
        else "as it holds plain ASCII only, no letter depends on it",
    )


def _repair(label: str, count: int) -> Finding:
    from recipe_tools.formats.xml_repair import LABELS

    places = "one place" if count == 1 else f"{count} places"
    return fault(
        "file/markup-repaired", value=label, fault=LABELS[label], places=places, count=count
    )


def _is_known(root: etree._Element) -> bool:
    """Tell whether a root is a record or set of BeerXML, and not one of another kind of XML.

    Others have styles and waters, too: in a namespace of their own, or in lower case.
    """
    name, written = local_name(root.tag), root.tag.rpartition("}")[2]
    if name in _RECIPE_ROOTS:
        return True
    return name == written if name in ROOTS else name in REPEATED and name == root.tag


def _no_recipe(root: str, path: str) -> Finding:
    what = f"XML with the root {shown(root)}"
    return fault("file/not-a-recipe", path, value=shown(root), what=what, advice="")


def _refusal(refusal: Refusal, limits: Limits) -> Finding:
    if refusal.reason == "entities":
        found = fault("file/entity-declaration")
    elif refusal.reason == "too-deep":
        found = fault("file/too-deep", limit=limits.max_depth)
    elif refusal.reason == "too-large":
        what = f"One value in the file is too large ({shown(refusal.detail)})"
        found = fault("file/too-large", value=refusal.detail, fault=what)
    else:
        what = shown(refusal.detail)
        detail = f"it is not well-formed XML and cannot be repaired: {what}"
        found = fault("file/unreadable", value=what, detail=detail)
    if refusal.line is None or refusal.column is None:
        return found
    return _at(found, refusal.line, refusal.column)
