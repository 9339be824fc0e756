"""Every value is carried, or in the list; every loss has its reason in the table of fields."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from recipe_tools.config import Options
from recipe_tools.converting import Converted, convert_bytes
from recipe_tools.recipe import FormatName
from tests.converting.accounts import faults, generated, kept_share, rich
from tests.converting.losses import reason
from tests.standards import REPOSITORY, require_standards

OPTIONS = Options()
WAYS: tuple[FormatName, ...] = ("beerjson", "beerxml")
SEEDS = range(12)
EXAMPLES = sorted(
    path
    for path in (REPOSITORY / "examples").rglob("*")
    if path.suffix in (".xml", ".json") and path.is_file()
)
FILES = sorted((REPOSITORY / "tests" / "files").rglob("*.*"))


def converted(source: bytes) -> Converted:
    to: FormatName = "beerjson" if b"<" in source[:200] else "beerxml"
    return convert_bytes(source, "made", to, OPTIONS)


@pytest.mark.parametrize("to", WAYS)
@pytest.mark.parametrize("seed", SEEDS)
def test_the_list_is_the_whole_truth(seed: int, to: FormatName) -> None:
    """``python -m tests.converting.accounts`` does this for a thousand documents each way."""
    source = generated(seed, to)
    result = convert_bytes(source, "made", to, OPTIONS)
    assert faults(source, result) == []
    assert [item for item in result.lost if not reason(item, source)] == []


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_the_examples_keep_what_the_other_standard_has_a_place_for(path: Path) -> None:
    source = path.read_bytes()
    result = converted(source)
    assert faults(source, result) == []
    assert [item for item in result.lost if not reason(item, source)] == []
    assert kept_share(source, result) >= 2 / 3


@pytest.mark.parametrize("seed", range(4))
def test_rich_recipes_keep_two_thirds_both_ways(seed: int) -> None:
    source = rich(seed, "beerjson")
    result = convert_bytes(source, "made", "beerjson", OPTIONS)
    assert kept_share(source, result) >= 2 / 3
    assert result.data is not None
    back = convert_bytes(result.data, "made", "beerxml", OPTIONS)
    assert kept_share(result.data, back) >= 2 / 3


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_what_real_files_do_ends_in_a_document_or_a_sentence(path: Path) -> None:
    result = converted(path.read_bytes())
    assert "report it" not in result.problem
    assert (result.data is None) == bool(result.problem) or not result.data


def test_official_samples_are_accounted_for() -> None:
    folder = require_standards("beerjson-1.0", "samples")
    count = 0
    for path in sorted(folder.rglob("*.json")):
        source = path.read_bytes()
        result = converted(source)
        assert not result.problem, path.name
        count += 1
        told = [item for item in result.lost if not reason(item, source)]
        assert told == [], path.name
        if result.data is not None and len(json.loads(source)["beerjson"]) == 2:
            assert faults(source, result) == [], path.name
    assert count == 39
