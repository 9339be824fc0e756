"""Every recipe file of the project, and the samples of the standard, annotated and restored."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from lxml import etree

from recipe_tools import formats
from recipe_tools.annotate.annotating import Wish, annotate_bytes
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.editing.mending import HARMLESS
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.own_block import OwnBlock, find_own_block, strip_own_block
from recipe_tools.recipe import SourceFile
from tests.standards import require_standards, standards_path

ROOT = Path(__file__).resolve().parents[2]
OPTIONS, REQUEST = Options(), FileRequest()


def all_files() -> list[Path]:
    found = [
        path
        for folder in ("tests/files", "examples")
        for path in (ROOT / folder).rglob("*")
        if path.suffix in (".xml", ".json", ".beerjson")
    ]
    return sorted(found)


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("path", all_files(), ids=name_of)
def test_a_file_is_annotated_and_restored_or_left_alone(path: Path) -> None:
    data = path.read_bytes()
    found = formats.read(SourceFile(path.name, data), DEFAULT_LIMITS)
    repaired = set(found.repaired) - HARMLESS
    result = annotate_bytes(data, path.name, OPTIONS, REQUEST)
    if found.status != "checked" or repaired or not found.recipes:
        assert result.status == "refused"
        assert result.problem
        assert result.data == data
        return
    assert result.status == "annotated"
    again = annotate_bytes(result.data, path.name, OPTIONS, REQUEST)
    assert (again.status, again.data) == ("unchanged", result.data)
    removed = annotate_bytes(result.data, path.name, OPTIONS, REQUEST, Wish(remove=True))
    assert removed.data == data
    for recipe in formats.read(SourceFile(path.name, result.data), DEFAULT_LIMITS).recipes:
        assert isinstance(find_own_block(recipe.notes), OwnBlock)
    if found.format == "beerxml" and _well_formed(data):
        assert _well_formed(result.data)


def damaged_files() -> list[Path]:
    found = []
    for path in all_files():
        read = formats.read(SourceFile(path.name, path.read_bytes()), DEFAULT_LIMITS)
        if read.status == "checked" and set(read.repaired) - HARMLESS:
            found.append(path)
    return found


@pytest.mark.parametrize("path", damaged_files(), ids=name_of)
def test_accepted_repairs_give_a_file_that_needs_none(path: Path) -> None:
    data = path.read_bytes()
    found = formats.read(SourceFile(path.name, data), DEFAULT_LIMITS)
    repaired = set(found.repaired) - HARMLESS
    result = annotate_bytes(data, path.name, OPTIONS, REQUEST, Wish(accept_repairs=True))
    assert result.status == "annotated", result.problem
    assert set(result.repairs) == repaired
    new = formats.read(SourceFile(path.name, result.data), DEFAULT_LIMITS)
    assert set(new.repaired) <= HARMLESS
    assert [recipe.additions for recipe in new.recipes] == [
        recipe.additions for recipe in found.recipes
    ]
    if found.format == "beerjson":
        json.loads(result.data)
    elif not any(item.rule == "file/several-roots" for item in found.findings):
        assert _well_formed(result.data)
    again = annotate_bytes(result.data, path.name, OPTIONS, REQUEST)
    assert again.status == "unchanged"


def _well_formed(data: bytes) -> bool:
    try:
        etree.fromstring(data, etree.XMLParser(resolve_entities=False, no_network=True))
    except (etree.XMLSyntaxError, ValueError, LookupError):
        return False
    return True


def samples() -> list[Path]:
    root = standards_path()
    return [] if root is None else sorted((root / "beerjson-1.0" / "samples").rglob("*.json"))


def test_samples_of_the_standard_keep_every_other_value() -> None:
    # The samples of BeerJSON 1.0 itself: an annotated one differs in the notes of recipes alone.
    require_standards("beerjson-1.0", "samples")
    for path in samples():
        _keeps_every_other_value(path)


def _keeps_every_other_value(path: Path) -> None:
    data = path.read_bytes()
    result = annotate_bytes(data, path.name, OPTIONS, REQUEST)
    if result.status == "refused":
        assert "no recipe" in result.problem or "not-a-recipe" in result.problem
        return
    old, new = json.loads(data), json.loads(result.data)
    for before, after in zip(old["beerjson"]["recipes"], new["beerjson"]["recipes"], strict=True):
        assert strip_own_block(after.pop("notes")).strip() == before.pop("notes", "").strip()
    assert old == new
