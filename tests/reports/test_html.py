"""The page: its structure by an HTML parser, its contrast by the formula of WCAG 2.2, its size."""

from __future__ import annotations

import re
import subprocess
import sys
import time
from base64 import b64encode
from hashlib import sha256
from itertools import pairwise
from typing import Any

import pytest
from lxml import html as parser

from recipe_tools.findings import Finding, Related, Severity
from recipe_tools.recipe import Recipe
from recipe_tools.reference import family_targets
from recipe_tools.reports import html
from recipe_tools.reports.escaping import printable
from recipe_tools.reports.page import TEMPLATES
from recipe_tools.reports.pictures import IonRow, ion_picture, ph_picture, shares_picture
from recipe_tools.results import CheckedFile, Run
from tests.reports.cleanliness import assert_clean
from tests.reports.sample_run import (
    CATALOGUE,
    HOSTILE_TEXTS,
    PREDICTION,
    brew_day,
    checked,
    finding,
    hostile_run,
    liquor,
    many_recipes,
    plain_run,
    rule,
)

RUNS = {
    "plain": plain_run(),
    "hostile": hostile_run(),
    "empty": Run(files=()),
    "skipped": Run((CheckedFile("list.json", None, "skipped"),)),
}
CSS = (TEMPLATES / "report.css").read_text(encoding="utf-8")


@pytest.fixture(params=RUNS)
def page(request: pytest.FixtureRequest) -> parser.HtmlElement:
    """Return the parsed page of a run."""
    return parsed(RUNS[request.param])


def parsed(run: Run) -> parser.HtmlElement:
    """Return the page of a run as parsed."""
    document: parser.HtmlElement = parser.document_fromstring(html.render(run, CATALOGUE))
    return document


def test_nothing_is_loaded_and_links_lead_only_to_anchors_of_the_page(
    page: parser.HtmlElement,
) -> None:
    ids = set(page.xpath("//@id"))
    links = page.xpath("//@href")
    assert links
    for link in links:
        assert link.startswith("#") and link[1:] in ids, link
    assert not page.xpath("//@src | //@srcset | //@action | //@formaction | //@data | //@poster")
    assert not page.xpath("//link | //iframe | //object | //embed | //img | //base | //image")
    assert not re.search(r"url\(|@import|@font-face", CSS)


def test_scripts_and_styles_are_admitted_by_hash_alone(page: parser.HtmlElement) -> None:
    (policy,) = page.xpath("//meta[@http-equiv='Content-Security-Policy']/@content")
    directives = dict(part.strip().split(" ", 1) for part in policy.split(";"))
    assert directives["default-src"] == "'none'"
    assert directives["base-uri"] == directives["form-action"] == "'none'"
    for name, tag in (("script-src", "script"), ("style-src", "style")):
        (element,) = page.xpath(f"//{tag}")
        digest = b64encode(sha256(element.text.encode()).digest()).decode()
        assert directives[name] == f"'sha256-{digest}'"
    assert "unsafe" not in policy
    assert not page.xpath("//@style")
    attributes = {name for item in page.iter() for name in item.attrib}
    assert not [name for name in attributes if name.startswith("on")]


def test_the_script_is_the_same_whatever_the_data() -> None:
    scripts = {parsed(run).xpath("//script")[0].text for run in RUNS.values()}
    assert len(scripts) == 1
    assert not re.search(r"innerHTML|outerHTML|insertAdjacent|eval|document\.write", scripts.pop())


def test_ids_are_unique(page: parser.HtmlElement) -> None:
    ids = page.xpath("//@id")
    assert len(ids) == len(set(ids))


def test_headings_start_with_one_and_leave_no_level_out(page: parser.HtmlElement) -> None:
    levels = [int(item.tag[1]) for item in page.xpath("//h1|//h2|//h3|//h4|//h5|//h6")]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_the_page_says_its_language_and_lets_one_skip_to_the_results(
    page: parser.HtmlElement,
) -> None:
    assert page.get("lang") == "en"
    assert page.xpath("//title/text()")
    first = page.xpath("//body//a | //body//button | //body//input")[0]
    assert first.get("href") == "#main"
    assert len(page.xpath("//main[@id='main']")) == 1


def test_controls_have_labels_and_table_heads_a_scope(page: parser.HtmlElement) -> None:
    for control in page.xpath("//input | //select | //textarea"):
        assert page.xpath(f"//label[@for='{control.get('id')}']")
    for head in page.xpath("//th"):
        assert head.get("scope") in ("col", "row")
    for labelled in page.xpath("//*[@aria-labelledby]"):
        for name in labelled.get("aria-labelledby").split():
            assert page.xpath(f"//*[@id='{name}']")
    for scrolled in page.xpath("//*[@class='wide']"):
        # 2.1.1 Keyboard: what scrolls sideways can be reached and has a name.
        assert scrolled.get("tabindex") == "0" and scrolled.get("aria-label")


def test_every_picture_says_in_words_what_it_shows() -> None:
    page = parsed(RUNS["plain"])
    # Strips and marks only repeat what stands beside them, so that hearing it again would be noise.
    (strip,) = page.xpath("//svg[@class='strip']")
    assert strip.getparent().text_content() == "5.52 to 5.93"
    for mark in page.xpath("//svg[@class='mark']"):
        level = next(item.get("class") for item in mark.iterancestors("li"))
        assert level in mark.getparent().text_content()
    assert {item.get("class") for item in page.xpath("//svg[@aria-hidden='true']")} == {
        "strip",
        "mark",
    }
    pictures = page.xpath("//svg[not(@aria-hidden)]")
    assert len(pictures) == 4
    for picture in pictures:
        assert picture.get("role") == "img"
        title, text = picture[0], picture[1]
        assert (title.tag, text.tag) == ("title", "desc")
        assert picture.get("aria-labelledby") == f"{title.get('id')} {text.get('id')}"
        assert title.text and len(text.text) > 20
    descriptions = " ".join(item[1].text for item in pictures)
    assert "Predicted 5.71, most likely 5.52 to 5.93" in descriptions
    assert "Sulfate 141 mg/L, style family" in descriptions
    assert "The grist alone 5.78; Alkalinity of water +0.21" in descriptions


def test_levels_are_told_apart_by_a_drawn_shape() -> None:
    page = parsed(RUNS["plain"])
    shapes: dict[str, set[str]] = {}
    for mark in page.xpath("//svg[@class='mark']"):
        level = next(item.get("class") for item in mark.iterancestors("li"))
        shapes.setdefault(level, set()).update(mark.xpath("./path/@d"))
    assert set(shapes) == {"error", "warning", "note"}
    assert all(len(drawn) == 1 for drawn in shapes.values())
    assert len({drawn.pop() for drawn in shapes.values()}) == 3
    assert not re.search(r"::before", CSS)


def test_findings_stand_worst_first_with_remedy_place_and_a_link_to_their_rule() -> None:
    page = parsed(RUNS["plain"])
    (article,) = page.xpath("//article[h4='Harvest bitter']")
    items = article.xpath(".//ul[@class='findings']/li")
    assert [item.get("class") for item in items] == ["error", "note"]
    text = items[0].text_content()
    for part in ("error", "(likely)", "pH 5.71", "To do: Do the right thing.", "line 12"):
        assert part in text
    assert items[0].xpath(".//a/@href") == ["#rule-mash-ph--above-range"]
    (term,) = page.xpath("//dt[@id='rule-mash-ph--above-range']")
    assert term.text_content() == "mash-ph/above-range"


def test_nothing_of_the_run_is_lost() -> None:
    run = RUNS["plain"]
    text = parsed(run).text_content()
    for item in run.all_findings():
        assert item.message in text
    for part in (
        "brewed so for years",
        "23 more findings of standard/wrong-type",
        "Could not be checked.",
        "3 files skipped as no recipe",
        "2 findings that are only possible left out (--confidence possible lists them)",
        "Grain absorption is taken as 1.0 L/kg.",
        "the mash is thicker than any that was measured",
        "80 (80 to 88) %",
    ):
        assert part in text


def test_files_that_could_not_be_checked_are_listed_with_the_reason() -> None:
    page = parsed(RUNS["plain"])
    (item,) = page.xpath("//section[@aria-labelledby='unchecked']//li")
    assert item.text_content() == (
        "lagers/torn page 50%.json: The file ends in the middle of a value."
    )
    (link,) = item.xpath("./a/@href")
    assert page.xpath(f"//h3[@id='{link[1:]}']")
    assert not parsed(RUNS["hostile"]).xpath("//section[@aria-labelledby='unchecked']")


def test_commands_in_the_texts_of_a_rule_are_set_apart_and_nothing_else_is_markup() -> None:
    declared = rule(
        "mash-ph/above-range", Severity.ERROR, remedy="Run `dose <FILE>` & <b>measure</b>"
    )
    document = html.render(RUNS["plain"], {declared.id: declared})
    page: Any = parser.document_fromstring(document)
    remedies = page.xpath("//dd[starts-with(., 'To do:')]")
    assert [item.text_content() for item in remedies] == ["To do: Run dose <FILE> & <b>measure</b>"]
    assert [child.tag for child in remedies[0]] == ["code"]


def test_the_water_table_has_no_row_without_a_figure() -> None:
    unknown = liquor("mash", 14.0, ())._replace(
        alkalinity_meq_l=None, residual_alkalinity_meq_l=None
    )
    day = {"mash": unknown._replace(after_acid=None), "sparge": None, "total": None}
    source = brew_day(Recipe(0, "Own")).source._replace(known=False, ions_mg_l={})
    file = CheckedFile("a.xml", "beerxml", "checked", (checked(0, "Own", source=source, **day),))
    heads = parsed(Run((file,))).xpath("//table[starts-with(caption, 'Liquor')]/tbody/tr/th/text()")
    assert heads == ["volume, L"]


def test_hostile_names_are_text_and_nothing_else() -> None:
    document = html.render(RUNS["hostile"], CATALOGUE)
    assert_clean(document)
    page = parsed(RUNS["hostile"])
    assert len(page.xpath("//script")) == len(page.xpath("//style")) == 1
    assert [item.text_content() for item in page.xpath("//h4")] == [
        printable(text) for text in HOSTILE_TEXTS
    ]
    svg = {item.tag for item in page.xpath("//svg//*")}
    assert svg == {"title", "desc", "text", "rect", "path"}


def test_the_same_run_gives_the_same_bytes() -> None:
    assert html.render(plain_run(), CATALOGUE) == html.render(plain_run(), CATALOGUE)


def test_a_thousand_recipes_stay_usable() -> None:
    run = many_recipes(1_000)
    start = time.process_time()
    text = html.render(run, CATALOGUE)
    assert time.process_time() - start < 3.0
    assert len(text.encode()) < 15_000_000
    assert text.count("<article") == 1_000


def test_pictures_are_left_out_where_the_page_would_be_too_large(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(html, "PICTURES_UP_TO", 2)
    page = parsed(many_recipes(3))
    assert not page.xpath("//svg[not(@class='mark')]")
    assert "Pictures are left out" in page.text_content()


def test_importing_the_report_does_not_load_jinja2() -> None:
    code = "import sys, recipe_tools.reports.html; assert 'jinja2' not in sys.modules"
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


# The scale of the pH picture runs from 4.8 at x = 16 to 6.2 at x = 424.
@pytest.mark.parametrize(
    ("ph", "x", "shown"),
    [
        (4.8, 16, "4.80"),
        (5.5, 220, "5.50"),
        (6.2, 424, "6.20"),
        (4.5, 16, "← 4.50"),
        (7, 424, "7.00 →"),
    ],
)
def test_the_ph_stands_where_its_scale_puts_it(ph: float, x: int, shown: str) -> None:
    picture = parser.fragment_fromstring(ph_picture("a", "title", ph, ph - 0.1, ph + 0.1))
    assert picture.xpath("./path[@class='value']/@d") == [f"M{x} 24v24"]
    assert picture.xpath("./text[@class='mid strong']/text()") == [shown]


def test_an_ion_stands_where_its_scale_puts_it() -> None:
    # From 0 at x = 90 to 1.1 x 200 at x = 262: 100 mg/L lies at 90 + 172 / 2.2.
    row = IonRow("Calcium", 100.0, 90.0, 110.0, (60.0, 180.0), 200.0)
    picture = parser.fragment_fromstring(ion_picture("a", "title", [row]))
    assert picture.xpath("./path[@class='value']/@d") == ["M168.2 23v18"]
    assert picture.xpath("./text[@class='end']/text()") == ["60–180", "200"]


@pytest.mark.parametrize(
    ("side", "drawn", "words"),
    [
        # base above its tip, nothing, base below its tip
        ("below", ["M309 25h8l-4 11z"], ", below it."),
        ("", [], "limit 200."),
        ("above", ["M309 36h8l-4 -11z"], ", above it."),
    ],
)
def test_an_ion_found_outside_is_marked_by_a_triangle_and_in_words(
    side: str, drawn: list[str], words: str
) -> None:
    row = IonRow("Calcium", 100.0, 90.0, 110.0, (60.0, 180.0), 200.0, side)
    picture = parser.fragment_fromstring(ion_picture("a", "title", [row]))
    assert picture.xpath("./path[@class='arrow']/@d") == drawn
    assert len(picture.xpath("./path[@class='value outside']")) == bool(side)
    assert picture.find("desc").text.endswith(words)


def test_triangles_stand_for_findings_and_for_nothing_else() -> None:
    def arrows(*findings: Finding) -> int:
        file = CheckedFile("a.xml", "beerxml", "checked", (checked(0, "Bitter"),), findings)
        return len(parsed(Run((file,))).xpath("//figure//svg/path[@class='arrow']"))

    assert arrows() == 0
    values = {"ion": "sulfate", "side": "above"}
    assert arrows(finding("ions/sulfate-high", "Much sulfate.", "a.xml", values=values)) == 1


def one_recipe(*findings: Finding) -> parser.HtmlElement:
    """Return the page of a file with one recipe."""
    file = CheckedFile("ales/a.xml", "beerxml", "checked", (checked(0, "Harvest"),), findings)
    return parsed(Run((file,), (finding("safety/strong-acid-handling", "Acid.", None),)))


def test_a_single_recipe_is_the_page() -> None:
    warned = finding("ions/sulfate-high", "Much sulfate.", "a.xml", severity=Severity.WARNING)
    page = one_recipe(warned)
    assert [item.text for item in page.xpath("//h1")] == ["Harvest"]
    heads = page.xpath("//h2/text()")
    assert heads == ["Mash pH", "What to do", "Water", "Handling", "Rules that found something"]
    assert "Fix 1 thing before brewing" in page.text_content()
    assert not page.xpath("//*[@id='recipe-table'] | //*[@id='files'] | //nav")
    # pH picture and things to do before the water
    order = [
        item.tag for item in page.xpath("//svg[@role='img'] | //ul[@class='findings'] | //table")
    ]
    assert order[:4] == ["svg", "svg", "ul", "svg"]


def test_remarks_on_the_file_stand_in_one_closed_block_with_their_lines() -> None:
    again = tuple(Related("", "the same here", line) for line in (176, 187))
    page = one_recipe(
        finding(
            "standard/wrong-type",
            "Not as the standard has it.",
            severity=Severity.NOTE,
            recipe=None,
            line=165,
            related=again,
        ),
        finding("ions/sulfate-high", "Much sulfate.", suppressed="brewed so for years"),
    )
    (block,) = page.xpath("//details")
    assert block.get("open") is None
    summary = block.xpath("./summary")[0].text_content()
    assert summary == "1 remark on how the file is written, 1 accepted"
    assert "lines 165, 176, 187" in block.text_content()
    assert "the same here" not in block.text_content()
    assert not page.xpath("//h2[.='What to do']")


def test_a_caution_carries_its_codes_on_the_page() -> None:
    codes = {"signal_word": "Danger", "h": ["H314"], "p": ["P280"]}
    told = finding("safety/strong-acid-handling", "Acid burns.", None, values=codes)
    assert "Acid burns. (Danger; H314; P280)" in parsed(Run((), (told,))).text_content()


def test_the_overview_has_the_worst_recipe_first_and_advice_stands_once_in_a_list() -> None:
    page = parsed(many_recipes(3))
    worst = [int(row.get("data-worst")) for row in page.xpath("//tbody/tr[@data-worst]")]
    assert worst == sorted(worst, reverse=True)
    for listed in page.xpath("//ul[@class='findings']"):
        rules = listed.xpath("./li//a/text()")
        advice = listed.xpath("./li/p[b='To do:']")
        assert len(advice) == len(set(rules))


def test_the_picture_shows_the_ranges_a_club_has_settled() -> None:
    settled = family_targets("bitters_and_ipas")._replace(ranges={"sulfate": (77.0, 99.0)})
    file = CheckedFile("a.xml", "beerxml", "checked", (checked(0, "Own", targets=settled),))
    texts = parsed(Run((file,))).xpath("//figure//svg/text[@class='end']/text()")
    assert "77–99" in texts


def test_an_ion_nobody_states_and_one_without_a_range_are_said_to_be_so() -> None:
    rows = [IonRow("Potassium", None), IonRow("Bicarbonate", 120.0)]
    picture = parser.fragment_fromstring(ion_picture("a", "title", rows))
    assert picture.xpath("./text[@class='faint']/text()") == ["not stated", "no range"]
    assert not picture.xpath("./path")


def test_the_bars_of_the_shares_are_as_long_as_what_they_show() -> None:
    shifts = PREDICTION.contributions_ph
    picture = parser.fragment_fromstring(shares_picture("a", "title", shifts))
    widths = [float(width) for width in picture.xpath("./rect/@width")]
    values = [abs(value) for key, value in shifts.items() if key != "malt"]
    scale = max(widths) / max(values)
    assert widths == pytest.approx([scale * value for value in values], abs=0.06)
    assert picture.xpath("./text[@class='end']/text()") == ["+0.21", "−0.16", "−0.12", "0.00"]


def colours() -> dict[str, dict[str, str]]:
    """Return the colour variables of the style sheet for screen, dark screen and paper."""
    light, dark, paper = re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)
    found = {}
    for name, block in (("light", light), ("dark", dark), ("paper", paper)):
        found[name] = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", block))
    return found


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour (WCAG 2.2, definition of relative luminance)."""
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours (WCAG 2.2, definition of contrast ratio)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_formula_agrees_with_the_ends_of_its_scale() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("scheme", ["light", "dark", "paper"])
def test_text_and_marks_have_the_contrast_of_wcag_aa(scheme: str) -> None:
    palette = colours()[scheme]
    assert set(palette) == set(colours()["light"])
    for text in ("ink", "faint", "link", "error", "warning", "note"):
        for ground in ("paper", "sheet"):
            # 1.4.3 Contrast (Minimum)
            assert contrast(palette[text], palette[ground]) >= 4.5, (text, ground)
    for mark in ("band", "gives", "takes", "ink", "error"):
        # 1.4.11 Non-text Contrast
        assert contrast(palette[mark], palette["paper"]) >= 3.0, mark
    assert contrast(palette["ink"], palette["target"]) >= 4.5
