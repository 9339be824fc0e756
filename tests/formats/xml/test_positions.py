"""Where values stand: checked by looking into the text and the bytes at the place given."""

from __future__ import annotations

from pathlib import Path

import pytest
from lxml import etree

from recipe_tools.formats import positions
from recipe_tools.formats.decoding import decode_xml
from recipe_tools.formats.deviation_examples import PLAIN_TEXT
from recipe_tools.formats.fields import SETS
from recipe_tools.formats.xml_spans import XmlSpans
from tests.formats.xml.files import FOLDER, content

R = "/RECIPES/RECIPE[1]"
AMOUNT = f"{R}/MISCS/MISC[1]/AMOUNT"
PATHS = {
    f"{R}/NAME": "Weir Bitter",
    f"{R}/STYLE/OG_MAX": "1.039",
    AMOUNT: "0.004",
    f"{R}/MASH/MASH_STEPS/MASH_STEP[1]/STEP_TEMP": "66.0",
    f"{R}/WATERS/WATER[1]/BICARBONATE": "155.0",
}
WIDE_TEXT = PLAIN_TEXT.replace("<RECIPES>", "<RECIPES><!-- 🍺 größer <b> -->").replace(
    "<HOPS>", "<!-- <MISC> --><HOPS>"
)


def locate(data: bytes, pointers: list[str]) -> dict[str, positions.Region]:
    return positions.locate(data, "beerxml", pointers)


def texts(data: bytes, pointers: list[str]) -> dict[str, str]:
    """Return the values at some paths as the file spells them."""
    found = positions.written(data, "beerxml", pointers)
    return {pointer: value.text for pointer, value in found.items()}


def shown(data: bytes, pointer: str) -> str:
    """Return the text of a place on one line, cut out by line and column as an editor would."""
    region = locate(data, [pointer])[pointer]
    assert region.line == region.end_line
    line = decode_xml(data).text.splitlines()[region.line - 1]
    return line[region.column - 1 : region.end_column - 1]


VARIANTS = {
    "plain": PLAIN_TEXT.encode(),
    "crlf": PLAIN_TEXT.replace("\n", "\r\n").encode(),
    "cr": PLAIN_TEXT.replace("\n", "\r").encode(),
    "mark": b"\xef\xbb\xbf" + PLAIN_TEXT.encode(),
    "utf-16": ("\ufeff" + WIDE_TEXT).encode("utf-16-le"),
    "comments and astral letters": WIDE_TEXT.encode(),
    "latin-1": WIDE_TEXT.replace("🍺", "").encode("latin-1"),
    "one line": PLAIN_TEXT.replace("\n", " ").encode(),
    "repaired": ("junk\n" + PLAIN_TEXT.replace("Mill Garden", "A & B &ouml; \x07 < 5")).encode(),
    "attributes": PLAIN_TEXT.replace("<MISC>", """<MISC a="/>" b='"'>""").encode(),
}


@pytest.mark.parametrize("variant", VARIANTS)
@pytest.mark.parametrize("pointer", PATHS)
def test_the_place_shows_the_value(variant: str, pointer: str) -> None:
    assert shown(VARIANTS[variant], pointer) == PATHS[pointer]


@pytest.mark.parametrize("variant", VARIANTS)
def test_the_text_is_the_value(variant: str) -> None:
    assert texts(VARIANTS[variant], list(PATHS)) == PATHS


@pytest.mark.parametrize("variant", [name for name in VARIANTS if name != "repaired"])
def test_an_element_is_cut_out_whole(variant: str) -> None:
    text = decode_xml(VARIANTS[variant]).text
    element = XmlSpans(text).find(AMOUNT)
    assert element is not None
    assert text[element.start : element.end] == "<AMOUNT>0.004</AMOUNT>"
    assert text[element.start : element.open_end] == "<AMOUNT>"
    assert text[element.close_start : element.end] == "</AMOUNT>"
    assert not element.self_closed
    assert not element.children


def test_the_second_record_is_not_the_first() -> None:
    data = content("same-agent-twice")
    first, second = f"{R}/MISCS/MISC[1]/TIME", f"{R}/MISCS/MISC[2]/TIME"
    assert texts(data, [first, second]) == {first: "60.0", second: "1800"}


def test_a_duplicate_is_found_by_its_place() -> None:
    data = content("duplicates")
    assert list(texts(data, [AMOUNT, f"{AMOUNT}[2]"]).values()) == ["0.004", "0.006"]


def test_an_absent_value_is_shown_at_its_record() -> None:
    data = PLAIN_TEXT.encode()
    assert shown(data, f"{R}/MISCS/MISC[1]/USE_FOR") == "<MISC>"
    assert shown(data, f"{R}/MISCS/MISC[9]/AMOUNT") == "<MISCS>"
    assert texts(data, [f"{R}/MISCS/MISC[9]/AMOUNT"]) == {}


def test_an_empty_value_is_shown_at_its_tag() -> None:
    assert shown(content("empty-numbers"), f"{R}/MASH/GRAIN_TEMP") == "<GRAIN_TEMP/>"
    step = f"{R}/MASH/MASH_STEPS/MASH_STEP[1]"
    assert shown(content("empty-numbers"), f"{step}/INFUSE_AMOUNT") == "<INFUSE_AMOUNT>"


def test_a_record_is_shown_at_its_start_tag() -> None:
    assert shown(PLAIN_TEXT.encode(), f"{R}/MISCS/MISC[1]") == "<MISC>"


def test_marks_of_cdata_are_no_part_of_a_value() -> None:
    notes = f"{R}/NOTES"
    assert texts(content("cdata-in-notes"), [notes])[notes] == "Add 2 g of <gypsum> & stir."


def test_end_tags_are_found_whatever_stands_between() -> None:
    """End tags with blanks, names that begin alike, elements in their like, comments with tags."""
    text = "<R><A>1</A ><AB>2</AB><A><A>3</A></A><!--</A>--><A><![CDATA[</A>]]>4</A><A/></R>"
    root = XmlSpans(text).find("/R")
    assert root is not None
    found = [text[child.open_end : child.close_start] for child in root.children]
    assert found == ["1", "2", "<A>3</A>", "<![CDATA[</A>]]>4", ""]


def test_tags_in_another_case_or_namespace_are_found() -> None:
    assert shown(content("tags-wrong-case"), f"{R}/BATCH_SIZE") == "20.0"
    assert shown(content("namespace"), AMOUNT) == "0.004"
    prefixed = PLAIN_TEXT.replace("<", "<b:").replace("<b:/", "</b:").replace("<b:?", "<?")
    prefixed = prefixed.replace("<b:RECIPES>", '<b:RECIPES xmlns:b="https://aldermoor.example/r">')
    assert shown(prefixed.encode(), AMOUNT) == "0.004"


def test_a_value_over_several_lines_ends_where_its_text_ends() -> None:
    data = PLAIN_TEXT.replace("  <BREWER>", "  <NOTES>\n  One.\n Two.\n  </NOTES>\n  <BREWER>")
    region = locate(data.encode(), [f"{R}/NOTES"])[f"{R}/NOTES"]
    lines = data.split("\n")
    start = next(place for place, line in enumerate(lines, 1) if line == "  One.")
    assert (region.line, region.column) == (start, 3)
    assert (region.end_line, region.end_column) == (start + 1, len(" Two.") + 1)


def test_columns_count_code_points() -> None:
    data = PLAIN_TEXT.replace("<NAME>Weir Bitter", "<!--🍺🍺--><NAME>Weir Bitter").encode()
    region = locate(data, [f"{R}/NAME"])[f"{R}/NAME"]
    assert region.column == len("  <!--🍺🍺--><NAME>") + 1


def test_the_second_root_is_found() -> None:
    data = content("two-roots")
    pointer = "/RECIPES[2]/RECIPE[1]/NAME"
    assert texts(data, [pointer]) == {pointer: "Barn Mild"}


def test_a_file_that_cannot_be_parsed_has_no_places() -> None:
    assert locate(content("cut-short"), [AMOUNT]) == {}
    assert locate(content("doctype-entities"), [AMOUNT]) == {}
    assert texts(content("cut-short"), [AMOUNT]) == {}
    assert locate(PLAIN_TEXT.encode(), []) == {}


def test_lines_beyond_sixteen_bits_are_right() -> None:
    data = PLAIN_TEXT.replace("<RECIPES>", "<RECIPES>" + "\n" * 70_000).encode()
    expected = data[: data.index(b"0.004")].count(b"\n") + 1
    assert locate(data, [AMOUNT])[AMOUNT].line == expected


ALWAYS_NUMBERED = ("RECIPE", "HOP", "FERMENTABLE", "MISC", "YEAST", "WATER", "MASH_STEP")


def every_leaf(root: etree._Element) -> dict[str, str]:
    """Return the text of each element without children by path, as another parser sees the file."""
    found: dict[str, str] = {}

    def walk(element: etree._Element, path: str, parent: str) -> None:
        counts: dict[str, int] = {}
        children = [child for child in element if isinstance(child.tag, str)]
        for child in children:
            name = child.tag.rpartition("}")[2].upper()
            counts[name] = counts.get(name, 0) + 1
            numbered = counts[name] > 1 or name in ALWAYS_NUMBERED or SETS.get(parent) == name
            walk(child, f"{path}/{name}[{counts[name]}]" if numbered else f"{path}/{name}", name)
        if not children and not len(element):
            found[path] = (element.text or "").strip()

    name = root.tag.rpartition("}")[2].upper()
    walk(root, f"/{name}[1]" if name == "RECIPE" else f"/{name}", name)
    return found


def well_formed() -> list[Path]:
    """Return the files that another parser can read, and that have no document type."""
    found: list[Path] = []
    for path in sorted(FOLDER.glob("*.xml")):
        try:
            tree = etree.fromstring(path.read_bytes()).getroottree()
        except etree.XMLSyntaxError:
            continue
        if tree.docinfo.internalDTD is None:
            found.append(path)
    return found


@pytest.mark.parametrize("path", well_formed(), ids=lambda path: path.stem)
def test_every_value_of_every_file_is_where_the_parser_reads_it(path: Path) -> None:
    data = path.read_bytes()
    expected = {at: text for at, text in every_leaf(etree.fromstring(data)).items() if text}
    found = texts(data, list(expected))
    assert set(found) == set(expected)
    for pointer, text in found.items():
        read = etree.fromstring(f"<a>{text}</a>").text if "<" not in text else text
        if decode_xml(data).mismatch is None:
            assert (read or "").strip() == expected[pointer], pointer
