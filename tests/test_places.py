"""The place of a finding, compared with what another parser reads there: for every rule.

The files are the failing examples of all rules, the recipes with planted faults in both standards,
and the files with deviations. JSON is read by ``json``, XML by lxml.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from lxml import etree

from recipe_tools.checking import catalogue, check_bytes
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.config.load import options_from_table
from recipe_tools.findings import Confidence, Finding
from recipe_tools.limits import Limits
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    example_file,
    merge_patch,
    more_additions,
)
from tests.planted.archive import ALL_FAULTS, by_hand
from tests.planted.written import beerxml

FILES = Path(__file__).parent / "files"
OF_THE_RUN = (
    *("safety/", "suppression/", "configuration/", "reading/", "baseline/"),
    *("internal/", "archive/"),
)
"""What belongs to a whole run, to a failure of the program, or to a file nobody could open."""
NO_PLACE = frozenset(
    {
        "file/no-recipes",
        "file/not-opened",
        "file/not-regular",
        "file/outside-root",
        "file/too-large",
    }
)


class Said(NamedTuple):
    """A finding and the bytes of its file."""

    finding: Finding
    data: bytes


FEW = replace(Options(), limits=Limits(max_recipes=1))


def _samples() -> Iterator[tuple[bytes, Options]]:
    for data, config in _configured():
        yield data, options_from_table(config)
    xml, recipe = (FILES / "xml/plain.xml").read_bytes(), dict(PLAIN_RECIPE)
    yield (FILES / "xml/several-recipes.xml").read_bytes(), FEW
    whole = {"beerjson": {"version": 1.0, "recipes": [recipe, recipe]}}
    yield json.dumps(whole, indent=1).encode(), FEW
    yield xml.replace(b"<AMOUNT>3.600", b"<AMOUNT>"), Options()  # grain without amount
    for item in (dose("Gypsum", 5, "tbsp", step=1), dose("Gypsum", 2, "pkg", step=1)):
        yield document(merge_patch(recipe, more_additions(item))), Options()
    tap = {"calcium": "31 mg/L", "magnesium": "4 mg/L", "sodium": "12 mg/L", "chloride": "22 mg/L"}
    tap.update(sulfate="30 mg/L", bicarbonate="52 mg/L")
    for bad in ({"nitrate": "38 mg/L", "nitrite": "1.0 mg/L"}, {"nitrate": "70 mg/L"}):
        yield xml, options_from_table({"water": {"report": {**tap, **bad}}})
    yield xml, options_from_table({"water": {"report": {**tap, "nitrite": "0.3 mg/L"}}})
    yield xml, options_from_table({"water": {"report": {**tap, "nitrate": "38 mg/L"}}})
    yield xml, options_from_table({"water": {"report": {**tap, "iron": "0.6 mg/L"}}})
    yield xml.replace(b"<USE>Mash</USE>", b"<USE/>"), Options()
    text = (FILES / "json/plain.json").read_bytes()
    yield text.replace(b'"moisture"', b'"recommend_mash": "true",\n"moisture"', 1), Options()
    yield b'{"beerjson": {"version": 1}}', Options()  # the example of an empty document is BeerXML


def _configured() -> Iterator[tuple[bytes, dict[str, Any]]]:
    for rule in catalogue().values():
        yield example_file(rule.fails)[1], dict(rule.fails.config)
        if rule.fails.raw is None:
            with suppress(KeyError, TypeError, AttributeError):  # BeerXML cannot say all of them
                recipe = merge_patch(PLAIN_RECIPE, rule.fails.patch)
                yield beerxml(recipe), dict(rule.fails.config)
    for fault in ALL_FAULTS:
        for standard in ("beerjson", "beerxml"):
            for name in ("blonde ale", "bitter"):
                file = by_hand(name, standard, fault)
                if file is not None:
                    yield file.data, dict(file.config)
    for path in sorted(FILES.rglob("*.*ml")) + sorted(FILES.rglob("*.json")):
        yield path.read_bytes(), {}


@cache
def said() -> dict[tuple[str, str], list[Said]]:
    """Return all findings by rule and standard, possible ones too."""
    found: dict[tuple[str, str], list[Said]] = {}
    request = FileRequest(confidence=Confidence.POSSIBLE)
    for data, options in _samples():
        file = check_bytes(data, "sample", options, request)
        for item in file.findings:
            standard = file.format or ("beerxml" if b"<" in data[:200] else "beerjson")
            found.setdefault((item.rule, standard), []).append(Said(item, data))
    return found


def text_at(said_of: Said) -> str:
    """Return the text of the file between the two ends of a finding."""
    item = said_of.finding
    assert item.line is not None, item.rule
    assert None not in (item.column, item.end_line, item.end_column), item.rule
    text = decoded(said_of.data)
    lines = re.split(r"\r\n|\r|\n", text)[item.line - 1 : item.end_line]
    assert lines, (item.rule, item.line)
    lines[-1] = lines[-1][: (item.end_column or 1) - 1]
    lines[0] = lines[0][(item.column or 1) - 1 :]
    return "\n".join(lines)


def decoded(data: bytes) -> str:
    for mark, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            return data.decode(encoding)
    if b"\0" in data[:4]:
        return data.decode("utf-16-be" if data[0] == 0 else "utf-16-le")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252")


def json_value(data: bytes, pointer: str) -> tuple[bool, Any]:
    """Return whether a pointer leads to a value and which; else the innermost value before it."""
    value = json.loads(decoded(data), strict=False)
    for part in pointer.split("/")[1:]:
        name = part.replace("~1", "/").replace("~0", "~")
        if isinstance(value, dict) and name in value:
            value = value[name]
        elif isinstance(value, list) and name.isdigit() and int(name) < len(value):
            value = value[int(name)]
        else:
            return False, value
    return True, value


def compare_json(item: Said) -> None:
    text = text_at(item)
    there, value = json_value(item.data, item.finding.pointer)
    if there:
        read = json.loads(text, strict=False)
        assert read == value or read != read, (item.finding.rule, text[:60])
    else:
        assert text in ("{", "[") or text[:1] in '"-0123456789tfn', (item.finding.rule, text[:60])


def xml_element(root: etree._Element, pointer: str) -> etree._Element | None:
    """Return the element of a path, whatever its namespace and case; None where there is none."""
    names = pointer.split("/")[1:]
    found: etree._Element | None = root if _is(root, names[0].partition("[")[0]) else None
    for name in names[1:]:
        if found is None:
            return None
        tag, _, place = name.rstrip("]").partition("[")
        same = [item for item in found.iterchildren(tag=etree.Element) if _is(item, tag)]
        same.sort(key=lambda item: _unlikeness(item, tag))
        number = int(place or 1) - 1
        found = same[number] if number < len(same) else None
    return found


def _is(element: etree._Element, tag: str) -> bool:
    return etree.QName(element).localname.casefold() == tag.casefold()


def _unlikeness(element: etree._Element, tag: str) -> tuple[bool, bool]:
    """Tell the true tag (first) from one in another case, and both from those of other vendors."""
    name, parent = etree.QName(element), element.getparent()
    foreign = element.prefix is not None and (
        parent is None or name.namespace != etree.QName(parent).namespace
    )
    return foreign, name.localname != tag


def compare_xml(item: Said, root: etree._Element) -> None:
    text, pointer = text_at(item), item.finding.pointer
    found = xml_element(root, pointer)
    if found is None or len(found) or not (found.text or "").strip():
        # an element without text of its own, or the record around one that is not there
        assert text.startswith("<"), (item.finding.rule, pointer, text[:60])
        if found is not None and text != "<":  # "<": the start of the file, for the whole of it
            assert text[1:].startswith(etree.QName(found).localname) or ":" in text.split()[0]
        return
    bare = etree.fromstring(f"<t>{text}</t>".encode()).text or ""
    assert bare.split() == (found.text or "").split(), (item.finding.rule, pointer, text[:60])


def is_in_file(item: Said) -> bool:
    """Tell whether a finding on the file as a whole names a stretch that lies in it."""
    found = item.finding
    lines = re.split(r"\r\n|\r|\n", decoded(item.data))
    ends = (found.line, found.column, found.end_line, found.end_column)
    if None in ends:
        return False
    first, last = (found.line or 0, found.column or 0), (found.end_line or 0, found.end_column or 0)
    return (1, 1) <= first <= last and last[0] <= len(lines)


def _placed(standard: str) -> list[str]:
    return [
        rule.id
        for rule in catalogue().values()
        if not rule.id.startswith(OF_THE_RUN)
        and rule.id not in NO_PLACE
        and standard in rule.standards
    ]


def test_a_rule_of_one_standard_does_not_speak_of_files_of_the_other() -> None:
    for rule, standard in said():
        assert standard in catalogue()[rule].standards, rule


@pytest.mark.parametrize("rule", _placed("beerjson"))
def test_a_finding_in_beerjson_points_at_the_value_it_speaks_of(rule: str) -> None:
    items = said().get((rule, "beerjson"), [])
    assert items, "no file shows it"
    for item in items:
        try:
            json.loads(decoded(item.data), strict=False)
        except (ValueError, RecursionError):
            assert is_in_file(item)
            continue
        if item.finding.pointer and rule != "file/duplicate-member":
            compare_json(item)
        else:
            assert is_in_file(item)


@pytest.mark.parametrize("rule", _placed("beerxml"))
def test_a_finding_in_beerxml_points_at_the_value_it_speaks_of(rule: str) -> None:
    items = said().get((rule, "beerxml"), [])
    assert items, "no file shows it"
    for item in items:
        try:
            root = etree.fromstring(item.data)
        except (etree.XMLSyntaxError, LookupError):
            assert is_in_file(item)
            continue
        if item.finding.pointer:
            compare_xml(item, root)
        else:
            assert is_in_file(item)
