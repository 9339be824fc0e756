"""Files that mean harm, or look like it: nothing is fetched, unfolded or read, nothing raises."""

from __future__ import annotations

import gzip
import time
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from lxml import etree

from recipe_tools.formats import beerxml, positions
from recipe_tools.formats.deviation_examples import PLAIN_TEXT
from recipe_tools.formats.result import ReadResult
from recipe_tools.limits import Limits

SECRET = "aldermoor-cellar-key"


def with_doctype(doctype: str, name: str = "Weir Bitter") -> bytes:
    head, root, rest = PLAIN_TEXT.partition("<RECIPES>")
    return (head + doctype + root + rest.replace("Weir Bitter", name)).encode()


def rules(result: ReadResult) -> list[str]:
    return [item.rule for item in result.findings]


def everything(result: ReadResult) -> str:
    return repr(result)


def test_an_entity_bomb_is_refused_unread() -> None:
    doctype = '<!DOCTYPE r [<!ENTITY a "beer">' + "".join(
        f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(12)
    )
    data = with_doctype(doctype + "]>\n", "&m;")
    started = time.perf_counter()
    result = beerxml.read(data)
    assert rules(result) == ["file/entity-declaration"]
    assert result.status == "not_checked"
    assert time.perf_counter() - started < 1.0


@pytest.mark.parametrize(
    "declaration",
    [
        '<!ENTITY secret SYSTEM "{url}">',
        '<!ENTITY % secret SYSTEM "{url}"> %secret;',
        '<!ENTITY secret PUBLIC "-//A//B//EN" "{url}">',
    ],
)
def test_no_file_is_read_through_an_entity(declaration: str, tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_text(SECRET, encoding="utf-8")
    url = (tmp_path / "secret.txt").as_uri()
    data = with_doctype(f"<!DOCTYPE RECIPES [{declaration.format(url=url)}]>\n", "&secret;")
    result = beerxml.read(data)
    assert rules(result) == ["file/entity-declaration"]
    assert SECRET not in everything(result)


def test_no_external_document_type_is_read(tmp_path: Path) -> None:
    (tmp_path / "r.dtd").write_text(f'<!ENTITY secret "{SECRET}">', encoding="utf-8")
    url = (tmp_path / "r.dtd").as_uri()
    result = beerxml.read(with_doctype(f'<!DOCTYPE RECIPES SYSTEM "{url}">\n', "&secret;"))
    assert result.recipes[0].name == "&secret;"
    assert SECRET not in everything(result)


def test_an_entity_hidden_behind_a_quoted_bracket_is_never_unfolded() -> None:
    doctype = f'<!DOCTYPE RECIPES [<!ATTLIST R a CDATA "]>"> <!ENTITY secret "{SECRET}">]>\n'
    result = beerxml.read(with_doctype(doctype, "&secret;"))
    assert result.status == "not_checked" or SECRET not in repr(result.recipes)


def test_no_file_is_included(tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_text(SECRET, encoding="utf-8")
    include = (
        '<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" parse="text" href="'
        f'{(tmp_path / "secret.txt").as_uri()}"/>'
    )
    data = PLAIN_TEXT.replace("Weir Bitter", include).encode()
    assert SECRET not in everything(beerxml.read(data))


def test_an_attribute_does_not_unfold_an_entity() -> None:
    data = with_doctype(f'<!DOCTYPE r [<!ENTITY e "{SECRET}">]>\n').replace(
        b"<RECIPE>", b'<RECIPE a="&e;">'
    )
    assert rules(beerxml.read(data)) == ["file/entity-declaration"]


def test_compressed_bytes_are_not_unpacked() -> None:
    result = beerxml.read(gzip.compress(PLAIN_TEXT.encode() * 1000))
    assert rules(result)[-1] == "file/unreadable"
    assert result.recipes == ()


@pytest.mark.parametrize("depth", [250, 300, 3000, 100_000])
def test_deep_nesting_is_refused(depth: int) -> None:
    result = beerxml.read(b"<A>" * depth + b"</A>" * depth)
    assert rules(result) == ["file/too-deep"]
    assert result.status == "not_checked"


def test_the_limit_of_depth_is_the_one_asked_for() -> None:
    data = PLAIN_TEXT.replace("<HOPS>", "<OWN><A><B><C><D/></C></B></A></OWN><HOPS>").encode()
    assert rules(beerxml.read(data, Limits(max_depth=7))) == []
    assert rules(beerxml.read(data, Limits(max_depth=6))) == ["file/too-deep"]
    assert rules(beerxml.read(PLAIN_TEXT.encode(), Limits(max_depth=6))) == []
    assert rules(beerxml.read(PLAIN_TEXT.encode(), Limits(max_depth=5))) == ["file/too-deep"]


def test_a_huge_text_and_a_huge_attribute_are_refused() -> None:
    huge = "x" * 11_000_000
    for data in (f"<RECIPES><NOTES>{huge}</NOTES></RECIPES>", f'<RECIPES a="{huge}"/>'):
        result = beerxml.read(data.encode())
        assert rules(result) == ["file/too-large"]
        assert result.findings[0].line == 1


def test_recipes_over_the_limit_are_told_not_cut_silently() -> None:
    recipe = PLAIN_TEXT[PLAIN_TEXT.index(" <RECIPE>") : PLAIN_TEXT.index("</RECIPES>")]
    data = PLAIN_TEXT.replace("</RECIPES>", recipe * 2 + "</RECIPES>").encode()
    assert beerxml.read(data, Limits(max_recipes=3)).findings == ()
    result = beerxml.read(data, Limits(max_recipes=2))
    assert (len(result.recipes), result.status) == (2, "not_checked")
    (found,) = result.findings
    assert (found.rule, found.pointer) == ("file/too-many-records", "/RECIPES/RECIPE[3]")


def test_additions_over_the_limit_are_told_not_cut_silently() -> None:
    start, end = PLAIN_TEXT.index("   <MISC>"), PLAIN_TEXT.index("  </MISCS>")
    data = PLAIN_TEXT.replace("  </MISCS>", PLAIN_TEXT[start:end] * 2 + "  </MISCS>").encode()
    assert beerxml.read(data, Limits(max_additions=3)).findings == ()
    result = beerxml.read(data, Limits(max_additions=2))
    assert (len(result.recipes[0].additions), result.status) == (2, "not_checked")
    assert rules(result) == ["file/too-many-records"]


@pytest.mark.parametrize(
    "piece",
    [
        "<!--",
        "<![CDATA[",
        "<?x ",
        '<a "',
        "&",
        "&#",
        "<",
        "<a>",
        "</a>",
        "<!DOCTYPE ",
        "]]>",
        "\x00",
    ],
)
def test_damage_many_times_over_takes_time_in_proportion(piece: str) -> None:
    data = f"<RECIPES>{piece * 40_000}</RECIPES>".encode()
    started = time.perf_counter()
    result = beerxml.read(data)
    positions.locate(data, "beerxml", ["/RECIPES/RECIPE[1]"])
    assert time.perf_counter() - started < 5.0
    assert result.findings or result.status == "skipped"


def test_memory_stays_in_proportion_to_the_file() -> None:
    data = f"<RECIPES>{'<A/>' * 100_000}</RECIPES>".encode()
    tracemalloc.start()
    beerxml.read(data)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 100 * len(data)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b" \n",
        b"<",
        b"<RECIPES",
        b"<RECIPES>",
        b"<?xml version='1.0'?>",
        b"\xef\xbb\xbf",
        b"\xff\xfe",
        b"\x00",
        b"<!DOCTYPE RECIPES>",
        b"<!-- only a comment -->",
        b"plain text",
        b"<RECIPES/>",
        b"<RECIPES>\xff</RECIPES>",
        b"\x00\x00\x00\x00",
        b"<a:b/>",
        b"<_document/>",
    ],
)
def test_scraps_give_a_finding(data: bytes) -> None:
    result = beerxml.read(data)
    assert result.findings
    assert result.recipes == ()


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300))
@example(b"<RECIPES>\x80</RECIPES>")
def test_any_bytes_give_recipes_or_findings(data: bytes) -> None:
    result = beerxml.read(data)
    assert result.findings
    positions.locate(data, "beerxml", ["/RECIPES", "/RECIPES/RECIPE[1]/NAME"])


@settings(max_examples=200, deadline=None)
@given(
    st.integers(0, len(PLAIN_TEXT) - 1),
    st.integers(0, 40),
    st.sampled_from(
        ["", "<", ">", "&", "</", "<!--", "\x00", "é", '"', "<NAME>", "</MISC>", "nan"]
    ),
)
def test_a_damaged_recipe_gives_recipes_or_findings(start: int, length: int, new: str) -> None:
    data = (PLAIN_TEXT[:start] + new + PLAIN_TEXT[start + length :]).encode()
    result = beerxml.read(data)
    assert result.recipes or result.findings
    places = positions.locate(data, "beerxml", [item.pointer for item in result.findings])
    for item in result.findings:
        assert item.line is not None or item.pointer in places


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(["AMOUNT", "STEP_TEMP", "CALCIUM", "VERSION", "USE", "OG_MIN"]), st.text())
def test_any_text_as_a_value_gives_a_recipe(tag: str, text: str) -> None:
    start = PLAIN_TEXT.index(f"<{tag}>") + len(tag) + 2
    end = PLAIN_TEXT.index(f"</{tag}>")
    escaped = text.replace("&", "&amp;").replace("<", "&lt;")
    data = (PLAIN_TEXT[:start] + escaped + PLAIN_TEXT[end:]).encode("utf-8", "replace")
    result = beerxml.read(data)
    assert len(result.recipes) == 1
    for water in result.recipes[0].waters:
        assert all(0.0 <= value <= 1e6 for value in water.ions_mg_l.values())


def test_the_parser_is_new_enough_to_leave_local_files_alone() -> None:
    assert etree.LXML_VERSION >= (6, 1, 3), "older ones read local files through parameter entities"
