"""The comment, rendered by the reference implementation of GitHub Flavored Markdown if present."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from lxml import html

from recipe_tools.reports import markdown
from recipe_tools.reports.escaping import markdown_code, markdown_inline, printable
from recipe_tools.results import CheckedFile, Run
from tests.reports.cleanliness import assert_clean
from tests.reports.sample_run import (
    CATALOGUE,
    HOSTILE_TEXTS,
    checked,
    finding,
    hostile_run,
    many_recipes,
    plain_run,
)

RULE = CATALOGUE["water/source-unknown"]
COMMENT_LIMIT = 65_536
"""Characters a comment on a pull request may hold, as the common hosts document it."""


@pytest.fixture
def rendered() -> Callable[[str], html.HtmlElement]:
    """Return a function from Markdown to a parsed page, raw HTML let through."""
    reason = "cmarkgfm is not installed; it belongs to the test extra"
    cmark = pytest.importorskip("cmarkgfm", reason=reason)
    unsafe = pytest.importorskip("cmarkgfm.cmark").Options.CMARK_OPT_UNSAFE

    def render(text: str) -> html.HtmlElement:
        page: html.HtmlElement = html.fragment_fromstring(
            cmark.github_flavored_markdown_to_html(text, options=unsafe), create_parent=True
        )
        return page

    return render


def rows_of(text: str) -> list[str]:
    """Return the lines of all tables."""
    return [line for line in text.splitlines() if line.startswith("|")]


def test_totals_recipes_and_findings_stand_in_the_comment() -> None:
    text = markdown.render(plain_run(), CATALOGUE)
    assert text.startswith("## recipe-tools: 2 errors, 24 warnings, 2 notes\n")
    assert "2 files, 2 recipes, **1 file could not be checked**, 3 skipped as no recipe" in text
    assert "| Harvest bitter | `ales/harvest.xml` | 5.71 (5.52 to 5.93) | 1 | 0 | 1 |" in text
    assert "| Mill stout | `ales/harvest.xml` | not predicted | 0 | 0 | 0 |" in text
    assert "`ales/harvest.xml:12`" in text
    assert "Counted but not listed: 23 of standard/wrong-type." in text
    assert "Sulfate is 432" not in text and "1 accepted" in text


def test_findings_stand_by_severity() -> None:
    rows = rows_of(markdown.render(plain_run(), CATALOGUE))
    words = [
        found.group(1) for row in rows if (found := re.match(r"\| \**(error|warning|note)\b", row))
    ]
    assert words == ["error", "error", "warning", "note", "note"]


def test_a_run_without_findings_says_so() -> None:
    assert "Nothing found." in markdown.render(Run(files=()), CATALOGUE)


def test_every_row_has_the_cells_of_its_table() -> None:
    for line in rows_of(markdown.render(hostile_run(), CATALOGUE)):
        cells = len(re.findall(r"(?<!\\)(?:\\\\)*\|", line)) - 1
        assert cells in (2, 5, 6), line


def test_hostile_texts_render_as_the_words_they_are(
    rendered: Callable[[str], html.HtmlElement],
) -> None:
    text = markdown.render(hostile_run(), CATALOGUE)
    assert_clean(text)
    page = rendered(text)
    allowed = {"div", "h2", "p", "table", "thead", "tbody", "tr", "th", "td", "code", "strong"}
    assert {element.tag for element in page.iter() if isinstance(element.tag, str)} <= allowed
    recipes, findings, remedies = page.findall(".//table")
    assert [row[0].text_content() for row in remedies.findall(".//tbody/tr")] == [
        "water/source-unknown"
    ]
    names = [row[0].text_content() for row in recipes.findall(".//tbody/tr")]
    assert names == [printable(name).strip() for name in HOSTILE_TEXTS]
    messages = [row[3].text_content() for row in findings.findall(".//tbody/tr")]
    assert messages == [f"{printable(name)} is unknown.".strip() for name in HOSTILE_TEXTS]


def test_each_rule_of_the_table_has_its_remedy_once_with_commands_set_apart(
    rendered: Callable[[str], html.HtmlElement],
) -> None:
    remedy = "Ask for `recipe-tools water --example` | or *not*."
    rules = {**CATALOGUE, "water/source-unknown": RULE._replace(remedy=remedy)}
    page = rendered(markdown.render(hostile_run(), rules))
    (row,) = page.findall(".//table")[2].findall(".//tbody/tr")
    assert row[1].text_content() == "Ask for recipe-tools water --example | or *not*."
    assert [code.text for code in row[1].findall("code")] == ["recipe-tools water --example"]


@pytest.mark.parametrize("text", HOSTILE_TEXTS)
def test_a_name_alone_on_a_line_is_a_plain_paragraph(
    text: str, rendered: Callable[[str], html.HtmlElement]
) -> None:
    page = rendered(markdown_inline(text))
    assert [child.tag for child in page] == ["p"]
    paragraph = page[0]
    assert not [child for child in paragraph if isinstance(child.tag, str)]
    assert paragraph.text_content() == printable(text).strip()


@pytest.mark.parametrize("text", ["`", "``", "a`b", "`a", "a``", " a ", "a|b", ""])
def test_a_code_span_in_a_table_holds_any_backticks(
    text: str, rendered: Callable[[str], html.HtmlElement]
) -> None:
    page = rendered(f"| a |\n|---|\n| {markdown_code(text)} |\n")
    (code,) = page.findall(".//td/code")
    assert code.text_content().strip() == text.strip()


@pytest.mark.parametrize("text", ["@brewer", "@club/brewers", "#12", "see #12", "GH-7", "x#3"])
def test_mentions_and_references_are_torn_apart_for_the_host(text: str) -> None:
    assert not re.search(r"[@#]\w|GH-\d", markdown_inline(text))


def test_the_comment_fits_and_says_exactly_what_is_missing() -> None:
    run = many_recipes(1_000)
    text = markdown.render(run, CATALOGUE)
    assert len(text) <= COMMENT_LIMIT
    found = re.search(
        r"The (\d+) worst of (\d+) findings are shown. "
        r"Left out: (\d+) errors?, (\d+) warnings?, (\d+) notes?.",
        text,
    )
    assert found is not None
    shown, total, *left_out = (int(number) for number in found.groups())
    assert total == 5_000 == shown + sum(left_out)
    listed = [line for line in rows_of(text) if re.match(r"\| \**(error|warning|note)\b", line)]
    assert len(listed) == shown
    missing = re.search(r"(\d+) more recipes not shown in this table, with (\d+) findings", text)
    assert missing is not None
    rows = [line for line in rows_of(text) if line.startswith("| Recipe ")]
    assert len(rows) + int(missing.group(1)) == 1_000
    assert int(missing.group(2)) == 5 * int(missing.group(1))


def test_the_limit_holds_for_characters_beyond_the_basic_plane() -> None:
    loaf = "\U0001f35e" * 4_000
    item = finding("mash-ph/above-range", loaf, loaf)
    file = CheckedFile(loaf, "beerxml", "checked", (checked(0, loaf),), (item,) * 200)
    text = markdown.render(Run((file,)), CATALOGUE)
    assert len(text.encode("utf-16-le")) // 2 <= COMMENT_LIMIT
