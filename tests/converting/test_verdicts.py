"""Converted recipes are checked with the same result, and come back as they were."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest

from recipe_tools import formats
from recipe_tools.annotate.annotating import Wish, annotate_bytes, without_blocks
from recipe_tools.checking import check_bytes
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.converting import Converted, convert_bytes
from recipe_tools.formats.result import ReadResult
from recipe_tools.own_block import FIRST_LINE
from recipe_tools.recipe import FormatName, SourceFile
from recipe_tools.rules.examples import document, xml_file
from recipe_tools.tidying.proof import reads_equal
from tests.converting.accounts import rich
from tests.converting.test_accounts import EXAMPLES, FILES
from tests.planted.clean import CLEAN, recipe_of
from tests.planted.written import beerxml

OPTIONS = Options()
OF_THE_FILE = ("file/", "standard/")

OTHERWISE = {
    "final-gravity-plato.xml": "a final gravity above the original one is a doubt of BeerXML",
    "flag-against-unit.xml": "the contradiction of flag and unit is gone",
    "mash-ph.xml": "the pH of the sparge is lost",
    "solid-without-flag.xml": "the missing flag is stated",
}
"""Files whose findings rightly differ afterwards; the list of the conversion says why."""


def verdict(data: bytes) -> tuple[Counter[tuple[str, int | None]], list[float | None]]:
    """Return what is found of the recipes of a file, and their mash pH."""
    checked = check_bytes(data, "made", OPTIONS)
    found = Counter(
        (item.rule, item.severity)
        for item in checked.findings
        if not item.rule.startswith(OF_THE_FILE)
    )
    days = [item.day for item in checked.recipes]
    return found, [day.prediction.ph if day and day.prediction else None for day in days]


def assert_same(source: bytes, result: Converted) -> None:
    assert result.data is not None
    before, after = verdict(source), verdict(result.data)
    assert before[0] == after[0]
    for old, new in zip(before[1], after[1], strict=True):
        assert (old is None) == (new is None)
        assert old is None or new is None or abs(old - new) <= 0.005


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_the_examples_are_checked_alike(path: Path) -> None:
    source = path.read_bytes()
    to: FormatName = "beerjson" if path.suffix == ".xml" else "beerxml"
    assert_same(source, convert_bytes(source, "made", to, OPTIONS))


@pytest.mark.parametrize("name", CLEAN)
def test_recipes_of_five_styles_are_checked_alike(name: str) -> None:
    recipe = recipe_of(name)
    for source, to in ((beerxml(recipe), "beerjson"), (document(recipe), "beerxml")):
        assert_same(source, convert_bytes(source, "made", to, OPTIONS))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "path", [path for path in FILES if path.suffix == ".xml"], ids=lambda path: path.name
)
def test_what_real_files_do_is_read_alike(path: Path) -> None:
    source = path.read_bytes()
    result = convert_bytes(source, "made", "beerjson", OPTIONS)
    if result.data is None:
        assert result.problem
    elif path.name in OTHERWISE:
        assert result.changed or result.lost
    else:
        assert_same(source, result)


@pytest.mark.parametrize("seed", range(3))
def test_there_and_back_again(seed: int) -> None:
    """What is neither lost nor changed on the way reads as before; names pair the records."""
    source = rich(seed, "beerjson")
    there = convert_bytes(source, "made", "beerjson", OPTIONS)
    assert there.data is not None
    back = convert_bytes(there.data, "made", "beerxml", OPTIONS)
    assert back.data is not None
    told = {item.pointer for item in (*there.lost, *there.changed)}
    homeward = dict(there.carried)
    told |= {
        at
        for at, to in homeward.items()
        if to in {item.pointer for item in (*back.lost, *back.changed)}
    }
    old = formats.read(SourceFile("made", source), OPTIONS.limits)
    new = formats.read(SourceFile("made", back.data), OPTIONS.limits)
    assert reads_equal(old, new, told)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_an_example_that_lost_nothing_comes_back_as_it_was(path: Path) -> None:
    source = path.read_bytes()
    first: FormatName = "beerjson" if path.suffix == ".xml" else "beerxml"
    second: FormatName = "beerxml" if path.suffix == ".xml" else "beerjson"
    there = convert_bytes(source, "made", first, OPTIONS)
    assert there.data is not None
    back = convert_bytes(there.data, "made", second, OPTIONS)
    assert back.data is not None
    pairs = dict(back.carried)
    told = {item.pointer for item in (*there.lost, *there.changed)}
    again = {item.pointer for item in (*back.lost, *back.changed)}
    told |= {at for at, to in there.carried if to in again or to not in pairs}
    old = formats.read(SourceFile("made", source), OPTIONS.limits)
    new = formats.read(SourceFile("made", back.data), OPTIONS.limits)
    assert len(old.recipes) == len(new.recipes)
    for one, other in zip(old.recipes, new.recipes, strict=True):
        assert (one.name, one.batch_l, one.boil_l) == (other.name, other.batch_l, other.boil_l)
        assert [item.name for item in one.fermentables] == [
            item.name for item in other.fermentables
        ]
        masses = [[item.amount_kg for item in recipe.fermentables] for recipe in (one, other)]
        assert masses[0] == pytest.approx(masses[1], rel=1e-12)
        ions = [[dict(item.ions_mg_l) for item in recipe.waters] for recipe in (one, other)]
        assert ions[0] == ions[1] or told


def stripped(found: ReadResult) -> ReadResult:
    """Return what was read without the line breaks around notes."""
    recipes = tuple(item._replace(notes=item.notes.strip()) for item in found.recipes)
    return found._replace(recipes=recipes)


@pytest.mark.parametrize("to", ["beerjson", "beerxml"])
def test_the_block_of_annotate_comes_out_of_the_other_standard_too(to: FormatName) -> None:
    source = xml_file() if to == "beerjson" else document(recipe_of("pils"))
    noted = annotate_bytes(source, "made", OPTIONS, FileRequest(), Wish())
    assert noted.status == "annotated"
    result = convert_bytes(noted.data, "made", to, OPTIONS)
    assert result.data is not None
    assert FIRST_LINE.encode() in result.data
    read = formats.read(SourceFile("made", result.data), OPTIONS.limits)
    bare = without_blocks(result.data, to, read.recipes)
    plain = convert_bytes(source, "made", to, OPTIONS)
    assert plain.data is not None
    assert FIRST_LINE.encode() not in bare
    again = formats.read(SourceFile("made", bare), OPTIONS.limits)
    without = formats.read(SourceFile("made", plain.data), OPTIONS.limits)
    assert reads_equal(stripped(again), stripped(without), ())


@pytest.mark.parametrize("text", ["a & b < c > d \"e\" 'f' ]]>", "Größe ½ °C\r\nline", "日本 😀"])
def test_any_letter_comes_through(text: str) -> None:
    recipe = {**recipe_of("pils"), "notes": text, "author": text}
    there = convert_bytes(document(recipe), "made", "beerxml", OPTIONS)
    assert there.data is not None
    back = convert_bytes(there.data, "made", "beerjson", OPTIONS)
    assert back.data is not None
    written = json.loads(back.data)["beerjson"]["recipes"][0]
    # The lines for the sparge stand behind the notes.
    assert written["notes"].startswith(text)
    assert written["author"] == text


def test_the_ph_of_a_water_is_found_in_the_profile_of_its_name() -> None:
    """BeerJSON has no pH in the waters of a recipe, but in the document's own profiles."""
    source = xml_file().replace(b"</BICARBONATE>", b"</BICARBONATE><PH>7.8</PH>")
    result = convert_bytes(source, "made", "beerjson", OPTIONS)
    assert result.data is not None
    assert json.loads(result.data)["beerjson"]["profiles"][0]["pH"] == 7.8
    (recipe,) = formats.read(SourceFile("made", result.data), OPTIONS.limits).recipes
    assert [item.ph for item in recipe.waters] == [7.8] * len(recipe.waters)


def test_an_adjunct_comes_back_as_one() -> None:
    source = xml_file().replace(b"<TYPE>Grain</TYPE>", b"<TYPE>Adjunct</TYPE>", 1)
    there = convert_bytes(source, "made", "beerjson", OPTIONS)
    assert there.data is not None
    back = convert_bytes(there.data, "made", "beerxml", OPTIONS)
    assert back.data is not None
    assert back.data.count(b"<TYPE>Adjunct</TYPE>") == 1
    assert_same(source, there)
