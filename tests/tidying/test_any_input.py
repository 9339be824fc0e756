"""Whatever a file holds, tidying it ends in a file that reads the same, or in a sentence."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.config import Options
from recipe_tools.tidying import Choice, tidy_bytes
from tests.hostile import beerxml_documents
from tests.standards import REPOSITORY

FILES = sorted(path for path in (REPOSITORY / "tests" / "files").rglob("*.*") if path.is_file())
CHOICES = st.sampled_from((Choice(), Choice(meant=True), Choice(only=("standard",))))


def check(data: bytes, choice: Choice) -> None:
    result = tidy_bytes(data, "made", Options(), choice)
    assert result.status in ("tidied", "unchanged", "refused", "skipped")
    # The proof is there for faults of ours that nobody knows of yet; this test looks for them.
    assert "report it" not in result.problem
    assert (result.data == data) == (result.status != "tidied")


@settings(max_examples=60, deadline=None)
@given(beerxml_documents.trees(), CHOICES)
def test_trees_of_tags(text: str, choice: Choice) -> None:
    check(text.encode("utf-8", "replace"), choice)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(FILES), st.data())
def test_files_with_a_stretch_cut_out_or_doubled(path: object, data: st.DataObject) -> None:
    text = path.read_bytes()  # type: ignore[attr-defined]
    start = data.draw(st.integers(0, len(text)))
    length = data.draw(st.integers(0, 60))
    doubled = data.draw(st.booleans())
    cut = text[:start] + text[start : start + length] * 2 * doubled + text[start + length :]
    check(cut, data.draw(CHOICES))


def test_every_file_of_the_readers() -> None:
    for path in FILES:
        for choice in (Choice(), Choice(meant=True)):
            check(path.read_bytes(), choice)
