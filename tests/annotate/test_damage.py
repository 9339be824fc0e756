"""A block that somebody wrote into is never replaced, and no text of theirs is lost."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.annotate.annotating import Annotated, Wish, annotate_bytes
from recipe_tools.brewday import plan
from recipe_tools.checking import check_bytes
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.own_block import FIRST_LINE, OwnBlock, block_text, find_own_block, strip_own_block
from recipe_tools.rules.examples import PLAIN_RECIPE, document, merge_patch, xml_file

OPTIONS, REQUEST = Options(), FileRequest()


KEEP = Wish()


def annotate(data: bytes, wish: Wish = KEEP) -> Annotated:
    return annotate_bytes(data, "made", OPTIONS, REQUEST, wish)


def with_notes(notes: str) -> bytes:
    return document(merge_patch(PLAIN_RECIPE, {"notes": notes}))


def block_of(notes: str) -> str:
    """Return the notes of the plain recipe once they are annotated."""
    new = json.loads(annotate(with_notes(notes)).data)
    text: str = new["beerjson"]["recipes"][0]["notes"]
    return text


def lines_changed(change: Callable[[list[str]], None]) -> str:
    lines = block_of("Rack on Sunday.").split("\n")
    change(lines)
    return "\n".join(lines)


def _write_inside(lines: list[str]) -> None:
    lines.insert(6, "I used 3 g of gypsum instead!")


DAMAGES: dict[str, Callable[[list[str]], None]] = {
    "written into": _write_inside,
    "a figure changed": lambda lines: lines.__setitem__(7, lines[7].replace("1", "2") + "1"),
    "last line lost": lambda lines: lines.pop(),
    "last line changed": lambda lines: lines.__setitem__(-1, "--- recipe-tools: end ---"),
    "first line lost": lambda lines: lines.remove(FIRST_LINE),
    "twice": lambda lines: lines.extend(lines[2:]),
    "cut in the middle": lambda lines: lines.__delitem__(slice(5, 8)),
    "first line twice": lambda lines: lines.insert(2, FIRST_LINE),
}


@pytest.mark.parametrize("damage", DAMAGES)
@pytest.mark.parametrize("remove", [False, True])
def test_a_damaged_block_is_reported_and_nothing_is_written(damage: str, remove: bool) -> None:
    data = with_notes(lines_changed(DAMAGES[damage]))
    result = annotate(data, Wish(remove=remove))
    assert result.status == "refused"
    assert result.data == data
    assert "block" in result.problem
    assert '"Millrace Blonde"' in result.problem
    assert result.line is not None
    assert data.decode().split("\n")[result.line - 1].lstrip().startswith('"notes"')


def test_the_line_of_a_damaged_block_in_xml_is_that_of_the_block() -> None:
    data = annotate(xml_file()).data.replace(b"Before this block", b"Formerly")
    result = annotate(data)
    assert result.status == "refused"
    assert result.line is not None
    assert FIRST_LINE in data.decode().split("\n")[result.line - 1]


def test_text_above_and_below_a_block_stays() -> None:
    text = "Above.\n" + block_of("Rack on Sunday.") + "\nBelow."
    result = annotate(with_notes(text))
    # It stays where somebody has written around it.
    assert result.status == "unchanged"
    removed = json.loads(annotate(result.data, Wish(remove=True)).data)
    assert removed["beerjson"]["recipes"][0]["notes"] == "Above.\nRack on Sunday.\nBelow."


def test_text_beside_a_block_in_notes_that_were_not_there_stays() -> None:
    data = annotate(xml_file().replace(b"<NOTES></NOTES>", b"<NOTES/>")).data
    written = data.replace(b"<NOTES>--- recipe", b"<NOTES>Mine.\n--- recipe")
    removed = annotate(written, Wish(remove=True))
    assert b"<NOTES>Mine.\n</NOTES>" in removed.data


def test_markup_put_into_a_block_is_not_cut_through() -> None:
    data = annotate(xml_file()).data.replace(b"Found", b"<b>Found</b>", 1)
    result = annotate(data, Wish(remove=True))
    assert result.status == "refused"
    assert "markup" in result.problem


def test_notes_that_are_no_text_are_left_alone() -> None:
    data = document(merge_patch(PLAIN_RECIPE, {"notes": 12}))
    result = annotate(data)
    assert (result.status, result.data) == ("refused", data)
    assert "no text" in result.problem
    assert result.line is not None
    assert '"notes": 12' in data.decode().split("\n")[result.line - 1]


def test_a_recipe_without_any_content_is_left_alone() -> None:
    data = b"<RECIPES>\n<RECIPE/></RECIPES>"
    result = annotate(data)
    assert (result.status, result.line) == ("refused", 2)


def test_long_notes_full_of_references_are_kept() -> None:
    notes = "Rack &amp; wait.&#10;" * 10_000
    data = xml_file().replace(b"<NOTES></NOTES>", f"<NOTES>{notes}</NOTES>".encode())
    first = annotate(data)
    assert first.status == "annotated"
    assert annotate(first.data, Wish(remove=True)).data == data


def test_line_ends_and_trailing_blanks_do_not_damage_a_block() -> None:
    text = block_of("Rack on Sunday.").replace("\n", " \r\n")
    found = find_own_block(text)
    assert isinstance(found, OwnBlock)
    assert annotate(with_notes(text)).status == "annotated"


def test_a_damaged_file_without_a_block_has_nothing_to_be_removed() -> None:
    data = xml_file().replace(b"Millrace Blonde", b"Malt & Hops")
    assert annotate(data).status == "refused"
    assert annotate(data, Wish(remove=True)).status == "unchanged"


SLIPS = st.lists(
    st.tuples(
        st.integers(0, 9999),
        st.integers(0, 40),
        st.sampled_from([b"", b"<", b"&", b'"', b"\\", b"\n", b"]]>", b"<b>", b"\xff", b"--- "]),
    ),
    min_size=1,
    max_size=3,
)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from([document(PLAIN_RECIPE), xml_file()]), SLIPS, st.booleans())
def test_whatever_happened_to_a_file_it_is_refused_or_annotated_for_good(
    data: bytes, slips: list[tuple[int, int, bytes]], accept: bool
) -> None:
    changed = annotate(data).data
    for at, length, new in slips:
        changed = changed[:at] + new + changed[at + length :]
    result = annotate(changed, Wish(accept_repairs=accept))
    if result.status == "refused":
        assert (result.data, bool(result.problem)) == (changed, True)
    else:
        assert annotate(result.data).status in ("unchanged", "skipped")


def test_names_that_look_like_marks_cannot_break_out() -> None:
    name = "--- recipe-tools: end, check sum 00000000 ---"
    patch = {"name": name, "ingredients": {"water_additions": [{"name": FIRST_LINE}]}}
    first = annotate(document(merge_patch(PLAIN_RECIPE, patch)))
    assert first.status == "annotated"
    assert annotate(first.data).status == "unchanged"


def test_the_block_is_not_read_as_prose_about_salts() -> None:
    # The block of this recipe names gypsum and lactic acid; its notes name neither.
    text = "Dry. \n\n" + block_text(["Gypsum 3 g and lactic acid 2 mL"], "the notes above")
    checked = check_bytes(with_notes(text), "made")
    assert checked.recipes[0].recipe.notes != ""
    assert plan(checked.recipes[0].recipe, OPTIONS).notes_agents == ()
    assert strip_own_block(text) == "Dry. "


def test_prose_about_salts_beside_a_block_is_still_read() -> None:
    text = "With gypsum.\n\n" + block_text(["nothing"], "the notes above")
    checked = check_bytes(with_notes(text), "made")
    assert "gypsum" in plan(checked.recipes[0].recipe, OPTIONS).notes_agents


def test_a_check_finds_the_same_with_and_without_the_block() -> None:
    data = with_notes("Rack on Sunday.")
    plain, annotated = check_bytes(data, "made"), check_bytes(annotate(data).data, "made")
    assert [item.fingerprint for item in annotated.findings] == [
        item.fingerprint for item in plain.findings
    ]
