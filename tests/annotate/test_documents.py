"""What is written is all that changes, whatever the file looks like."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from lxml import etree

from recipe_tools import formats
from recipe_tools.annotate.annotating import Wish, annotate_bytes, with_blocks, without_blocks
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.formats.result import ReadResult
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.own_block import FIRST_LINE, OwnBlock, find_own_block, strip_own_block
from recipe_tools.recipe import SourceFile
from tests.annotate.documents import BLOCK_LINES, Made, files, json_files, xml_files

OPTIONS, REQUEST = Options(), FileRequest()
SLOW = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def read(data: bytes, made: Made) -> ReadResult:
    return formats.read(SourceFile("made", data, made.format), DEFAULT_LIMITS)


def annotated(made: Made, lines: Sequence[str]) -> bytes:
    recipes = read(made.data, made).recipes
    assert len(recipes) == made.recipes
    blocks = {item.origin.path: lines for item in recipes}
    return with_blocks(made.data, made.format, blocks)[0]


@settings(max_examples=300, deadline=None)
@given(files(), BLOCK_LINES)
def test_taking_the_block_out_gives_back_every_byte(made: Made, lines: list[str]) -> None:
    new = annotated(made, lines)
    assert new != made.data
    assert without_blocks(new, made.format, read(new, made).recipes) == made.data


@settings(max_examples=150, deadline=None)
@given(files(), BLOCK_LINES)
def test_every_recipe_gets_its_block_whole(made: Made, lines: list[str]) -> None:
    for recipe in read(annotated(made, lines), made).recipes:
        block = find_own_block(recipe.notes.replace("\r\n", "\n"))
        assert isinstance(block, OwnBlock)
        shown = recipe.notes[recipe.notes.index(FIRST_LINE) :]
        for line in lines[1:-3]:
            # Three hyphens in a row are spread, so that no line can look like a mark.
            if "--" not in line and "]]>" not in line:
                assert line in shown


@settings(max_examples=150, deadline=None)
@given(files(), BLOCK_LINES)
def test_bytes_before_and_behind_the_block_stay(made: Made, lines: list[str]) -> None:
    assume(made.recipes == 1)
    # Each codec here spells a character in one way only: the same text is the same bytes.
    old, new = (data.decode(made.codec) for data in (made.data, annotated(made, lines)))
    head = _alike(old, new)
    tail = _alike(old[::-1], new[::-1])
    # Only the end of an empty tag and null are replaced; all else stays and something is put in.
    replaced = old[head : max(head, len(old) - tail)]
    assert replaced in ("", "/", "/>", "null")


def _alike(one: str, other: str) -> int:
    """Return how many characters two texts share at their start."""
    pairs = enumerate(zip(one, other, strict=False))
    return next((at for at, pair in pairs if pair[0] != pair[1]), min(len(one), len(other)))


@settings(max_examples=100, deadline=None)
@given(xml_files(), BLOCK_LINES)
def test_another_parser_sees_the_same_xml_but_for_the_notes(made: Made, lines: list[str]) -> None:
    old, new = (etree.fromstring(data) for data in (made.data, annotated(made, lines)))
    for before, after in zip(old.iter("RECIPE"), new.iter("RECIPE"), strict=True):
        had, has = before.find("NOTES"), after.find("NOTES")
        assert has is not None
        text = "".join(has.itertext())
        if had is not None:
            assert strip_own_block(text).strip() == "".join(had.itertext()).strip()
            before.remove(had)
        after.remove(has)
        assert _tree(before) == _tree(after)


def _tree(element: Any) -> Any:
    children = [_tree(child) for child in element if isinstance(child.tag, str)]
    own = (element.text or "").strip() if not children else ""
    return element.tag, dict(element.attrib), own, children


@settings(max_examples=100, deadline=None)
@given(json_files(), BLOCK_LINES)
def test_another_parser_sees_the_same_json_but_for_the_notes(made: Made, lines: list[str]) -> None:
    old, new = (
        json.loads(data.decode(_sniffed(data))) for data in (made.data, annotated(made, lines))
    )
    for before, after in zip(old["beerjson"]["recipes"], new["beerjson"]["recipes"], strict=True):
        had, has = before.pop("notes", None), after.pop("notes")
        assert strip_own_block(has).strip() == (had or "").strip()
    assert old == new


def _sniffed(data: bytes) -> str:
    if data[:1] == b"{" and data[1:2] == b"\0":
        return "utf-16-le"
    return "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"


@settings(max_examples=100, deadline=None)
@given(files(), BLOCK_LINES)
def test_a_minified_file_stays_on_its_lines_and_line_ends_stay_of_one_kind(
    made: Made, lines: list[str]
) -> None:
    old, new = (data.decode(made.codec) for data in (made.data, annotated(made, lines)))
    if made.format == "beerjson" and "\n" not in old:
        assert "\n" not in new
    if "\r\n" in old and "\n" not in old.replace("\r\n", ""):
        assert "\n" not in new.replace("\r\n", "")
    if "\r" not in old and "&#13;" not in old:
        assert "\r" not in new


@SLOW
@given(files())
def test_results_are_written_once_and_removed_to_the_byte(made: Made) -> None:
    first = annotate_bytes(made.data, "made", OPTIONS, REQUEST)
    assert first.status == "annotated", first.problem
    again = annotate_bytes(first.data, "made", OPTIONS, REQUEST)
    assert (again.status, again.data) == ("unchanged", first.data)
    removed = annotate_bytes(first.data, "made", OPTIONS, REQUEST, Wish(remove=True))
    assert removed.data == made.data


@pytest.mark.parametrize("spelling", ["&#10;", "&#xA;", "&#13;&#10;", "\r\n", "\r", "&#13;\n"])
def test_a_block_is_known_however_another_program_spells_its_line_breaks(spelling: str) -> None:
    data = b"<RECIPES><RECIPE><NAME>Bitter</NAME><NOTES>Dry.</NOTES></RECIPE></RECIPES>"
    new = annotate_bytes(data, "made", OPTIONS, REQUEST).data
    saved = new.replace(b"\n", spelling.encode())
    removed = annotate_bytes(saved, "made", OPTIONS, REQUEST, Wish(remove=True))
    assert removed.data == data
