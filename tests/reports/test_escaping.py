"""What each escaping function promises, for any text at all."""

from __future__ import annotations

import csv
import io
import re
from urllib.parse import unquote_to_bytes
from xml.etree import ElementTree
from xml.sax.saxutils import escape

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import html

from recipe_tools.reports.escaping import (
    csv_cell,
    html_text,
    markdown_code,
    markdown_inline,
    printable,
    sarif_text,
    uri_path,
    workflow_data,
    workflow_property,
    xml_characters,
)
from tests.reports.cleanliness import assert_clean

# Surrogates too: a file name that is not UTF-8 and a careless JSON file bring them.
ANY_TEXT = st.text(st.characters(exclude_categories=()), max_size=60)
LETTERS = st.text(st.sampled_from("ab1 |`\\*_#@<>[](){}~$^!&;:/.,=+-%'\"\n\r\t\u202e"), max_size=40)
WORDS = st.lists(
    st.sampled_from(
        (
            " ",
            "https://",
            "HTTP://",
            "ftp://",
            "www.",
            "example.invalid/",
            "mailto:",
            "xmpp:",
            "a@b.c",
            "@club/brewers",
            "#12",
            "GH-7",
            "<b>",
            "</td>",
            "<!--",
            "-->",
            "](",
            "![x](",
            "[a]:",
            "&lt;",
            "&#64;",
            "```",
            "**",
            "__",
            "~~",
            ":beer:",
            "$$",
            "\\",
            "\\|",
            "||",
            "---",
            "-",
            "1.",
            "1)",
            ">",
            "+",
        )
    ),
    max_size=12,
).map("".join)
MARKUP = st.one_of(LETTERS, WORDS)


@given(ANY_TEXT)
def test_what_is_printable_is_clean_on_one_line_and_stays_so(text: str) -> None:
    shown = printable(text)
    assert_clean(shown, allowed="")
    assert printable(shown) == shown


@given(st.text(st.characters(categories=("L", "N", "P", "S", "Zs")), max_size=60))
def test_letters_figures_and_signs_of_any_script_are_left_alone(text: str) -> None:
    assert printable(text) == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a\nb\tc\rd", r"a\nb\tc\rd"),
        ("\x1b[31m", r"\u001b[31m"),
        ("\u202e", r"\u202e"),
        ("\u200b\ufeff", r"\u200b\ufeff"),
        ("\ud800", r"\ud800"),
        ("\U0001fffe", r"\U0001fffe"),
        ("\U000e0041", r"\U000e0041"),
        ("\u2028", r"\u2028"),
    ],
)
def test_what_hides_or_reorders_is_shown_as_an_escape(text: str, shown: str) -> None:
    assert printable(text) == shown


@given(ANY_TEXT)
def test_xml_reads_back_what_was_shown(text: str) -> None:
    element = ElementTree.fromstring(f"<a>{escape(xml_characters(text))}</a>")
    assert (element.text or "") == printable(text)


@given(st.one_of(ANY_TEXT, MARKUP))
def test_html_reads_back_what_was_shown(text: str) -> None:
    page = html.fragment_fromstring(f'<p title="{html_text(text)}">{html_text(text)}</p>')
    assert len(page) == 0
    assert page.text_content() == page.get("title") == printable(text)


@given(st.one_of(ANY_TEXT, MARKUP))
def test_a_cell_reads_back_and_starts_no_formula(text: str) -> None:
    stream = io.StringIO(newline="")
    csv.writer(stream, lineterminator="\r\n").writerow([csv_cell(text), "end"])
    (row,) = csv.reader(io.StringIO(stream.getvalue(), newline=""), strict=True)
    assert len(row) == 2
    assert row[0] in (printable(text), f"'{printable(text)}")
    assert row[0].lstrip()[:1] not in ("=", "+", "-", "@", "\t", "\r")


@given(st.one_of(ANY_TEXT, MARKUP))
def test_a_workflow_command_cannot_be_left(text: str) -> None:
    assert not re.search(r"[\r\n]", workflow_data(text))
    assert not re.search(r"[\r\n:,]", workflow_property(text))
    data = workflow_data(text).replace("%0D", "\r").replace("%0A", "\n").replace("%25", "%")
    assert data == printable(text)


@given(st.one_of(ANY_TEXT, MARKUP))
def test_a_uri_reads_back_as_the_bytes_of_the_name(text: str) -> None:
    uri = uri_path(text)
    assert re.fullmatch(r"(?:[A-Za-z0-9._~/-]|%[0-9A-F]{2})*", uri)
    try:
        data = text.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:
        return
    assert unquote_to_bytes(uri) == data


@given(MARKUP)
def test_a_sarif_message_has_no_argument_and_no_link(text: str) -> None:
    shown = sarif_text(text)
    assert "](" not in shown
    assert "{" not in shown.replace("{{", "") and "}" not in shown.replace("}}", "")


@given(MARKUP)
def test_markdown_shows_the_words_and_nothing_else(text: str) -> None:
    cmark = pytest.importorskip("cmarkgfm", reason="cmarkgfm is not installed (test extra)")
    unsafe = pytest.importorskip("cmarkgfm.cmark").Options.CMARK_OPT_UNSAFE
    document = f"| a | b |\n|---|---|\n| {markdown_inline(text)} | {markdown_code(text)} |\n"
    page = html.fragment_fromstring(
        cmark.github_flavored_markdown_to_html(document, options=unsafe), create_parent=True
    )
    words, code = page.findall(".//tbody/tr/td")
    assert not [child for child in words if isinstance(child.tag, str)]
    assert words.text_content() == printable(text).strip()
    assert [child.tag for child in code] == ["code"]
    assert code.text_content().strip() == printable(text).strip()
