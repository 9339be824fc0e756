"""The HTML report in a browser: nothing blocked, nothing fetched, sorting and filtering work."""

from __future__ import annotations

import re
from base64 import b64decode
from collections.abc import Iterator
from pathlib import Path

import pytest

from recipe_tools.archive.many_files import check_files
from recipe_tools.archive.run_request import FileSettings, RunRequest
from recipe_tools.archive.walk import discover
from recipe_tools.checking.checklist import catalogue
from recipe_tools.config import Options
from recipe_tools.reports import html
from recipe_tools.results import Run
from tests.browser.devtools import Page, browser_page
from tests.reports.sample_run import CATALOGUE, HOSTILE_TEXTS, hostile_run, many_recipes, plain_run
from tests.standards import REPOSITORY

VISIBLE_ROWS = (
    "[...document.querySelectorAll('#recipe-table tbody tr')]"
    ".filter(row => row.offsetParent !== null)"
)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """Yield a page of one browser for all tests of this file."""
    with browser_page(tmp_path_factory.mktemp("profile")) as opened:
        yield opened


def show(page: Page, run: Run, folder: Path) -> None:
    """Load the report of a run."""
    path = folder / "report.html"
    path.write_text(html.render(run, CATALOGUE), encoding="utf-8")
    page.open(path)


@pytest.mark.parametrize("run", [plain_run(), hostile_run()], ids=["plain", "hostile"])
def test_nothing_is_blocked_fetched_or_thrown(page: Page, run: Run, tmp_path: Path) -> None:
    show(page, run, tmp_path)
    assert page.told("Log.entryAdded") == []
    assert page.told("Runtime.exceptionThrown") == []
    assert page.told("Runtime.consoleAPICalled") == []
    assert page.told("Page.javascriptDialogOpening") == []
    fetched = [event["request"]["url"] for event in page.told("Network.requestWillBeSent")]
    assert fetched == [(tmp_path / "report.html").as_uri()]


def test_the_style_sheet_and_the_script_pass_the_policy(page: Page, tmp_path: Path) -> None:
    show(page, plain_run(), tmp_path)
    assert page.value("getComputedStyle(document.querySelector('main')).borderLeftStyle") == (
        "double"
    )
    assert page.value("document.getElementById('filter').hidden") is False


def test_a_script_that_is_not_the_reports_own_does_not_run(page: Page, tmp_path: Path) -> None:
    path = tmp_path / "report.html"
    text = html.render(plain_run(), CATALOGUE)
    path.write_text(
        text.replace("</body>", "<script>document.title = 'owned'</script></body>"),
        encoding="utf-8",
    )
    page.open(path)
    assert page.value("document.title") != "owned"
    assert page.told("Log.entryAdded")


def test_a_click_on_a_heading_sorts_by_number_and_a_second_turns_it_round(
    page: Page, tmp_path: Path
) -> None:
    show(page, plain_run(), tmp_path)
    first = f"{VISIBLE_ROWS}[0].cells[0].textContent"
    click = "document.querySelectorAll('#recipe-table thead button')[2].click()"
    heading = "document.querySelectorAll('#recipe-table thead th')[2].getAttribute('aria-sort')"
    page.value(click)
    assert (page.value(first), page.value(heading)) == ("Mill stout", "ascending")
    page.value(click)
    assert (page.value(first), page.value(heading)) == ("Harvest bitter", "descending")


def test_the_filters_narrow_the_table_and_say_how_far(page: Page, tmp_path: Path) -> None:
    show(page, plain_run(), tmp_path)
    page.value("document.getElementById('filter-words').focus()")
    page.call("Input.insertText", text="stout")
    assert page.value(f"{VISIBLE_ROWS}.length") == 1
    assert page.value("document.getElementById('filter-shown').textContent") == (
        "1 of 2 recipes shown"
    )
    page.value(
        "(() => { const words = document.getElementById('filter-words'); words.value = '';"
        "words.dispatchEvent(new Event('input'));"
        "const level = document.getElementById('filter-level'); level.value = '3';"
        "level.dispatchEvent(new Event('change')); })()"
    )
    assert page.value(f"{VISIBLE_ROWS}.map(row => row.cells[0].textContent).join()") == (
        "Harvest bitter"
    )


def test_hostile_names_are_shown_as_text(page: Page, tmp_path: Path) -> None:
    show(page, hostile_run(), tmp_path)
    shown = page.value("[...document.querySelectorAll('h4')].map(item => item.textContent)")
    assert len(shown) == len(HOSTILE_TEXTS)
    assert shown[:2] == list(HOSTILE_TEXTS[:2])


@pytest.mark.parametrize("width", [320, 1280])
def test_the_page_does_not_scroll_sideways(page: Page, tmp_path: Path, width: int) -> None:
    show(page, hostile_run(), tmp_path)
    page.call(
        "Emulation.setDeviceMetricsOverride",
        width=width,
        height=900,
        deviceScaleFactor=1,
        mobile=False,
    )
    wide = page.value("document.documentElement.scrollWidth")
    page.call("Emulation.clearDeviceMetricsOverride")
    assert wide <= width


def test_dark_and_print_have_their_own_colours(page: Page, tmp_path: Path) -> None:
    show(page, plain_run(), tmp_path)
    colours = []
    background = "getComputedStyle(document.body).backgroundColor"
    for scheme, medium in (("light", "screen"), ("dark", "screen"), ("dark", "print")):
        features = [{"name": "prefers-color-scheme", "value": scheme}]
        page.call("Emulation.setEmulatedMedia", media=medium, features=features)
        colours.append(page.value(background))
    page.call("Emulation.setEmulatedMedia", media="", features=[])
    assert len(set(colours)) == 3
    assert colours[2] == "rgb(255, 255, 255)"


def test_every_sheet_is_open_on_paper(page: Page, tmp_path: Path) -> None:
    show(page, many_recipes(20), tmp_path)
    shut = "document.querySelectorAll('details:not([open])').length"
    assert page.value(shut) == 20
    page.value("window.dispatchEvent(new Event('beforeprint'))")
    assert page.value(shut) == 0


def single_recipe_pages() -> dict[str, str]:
    """Return the pages of the examples, each checked by itself."""
    paths = sorted((REPOSITORY / "examples").glob("*/*.xml"))
    paths += sorted((REPOSITORY / "examples").glob("*/*.json"))
    names = [path.relative_to(REPOSITORY).as_posix() for path in paths]
    assert len(names) > 10
    pages = {}
    for name in names:
        discovery = discover([str(REPOSITORY / name)], REPOSITORY)
        run = check_files(discovery, lambda place: FileSettings(Options()), RunRequest())
        pages[name] = html.render(run, catalogue())
    return pages


def test_one_recipe_is_nowhere_clipped_and_prints_on_two_sheets(page: Page, tmp_path: Path) -> None:
    path = tmp_path / "report.html"
    clipped = (
        "[...document.querySelectorAll('.wide, figure, svg[role=img]')]"
        ".filter(part => part.scrollWidth > part.clientWidth + 1).length"
    )
    beyond = (
        "[...document.querySelectorAll('svg[role=img] text')].filter(part => {"
        "const own = part.getBoundingClientRect();"
        "const all = part.ownerSVGElement.getBoundingClientRect();"
        "return own.right > all.right + 1 || own.left < all.left - 1 || own.bottom > all.bottom + 1"
        " || own.top < all.top - 1; }).map(part => part.textContent).join()"
    )
    for name, text in single_recipe_pages().items():
        path.write_text(text, encoding="utf-8")
        page.open(path)
        for width in (1280, 390):
            page.call(
                "Emulation.setDeviceMetricsOverride",
                width=width,
                height=900,
                deviceScaleFactor=1,
                mobile=False,
            )
            assert page.value("document.documentElement.scrollWidth") <= width, name
            assert page.value(clipped) == 0, (name, width)
            assert page.value(beyond) == "", (name, width)
        page.call("Emulation.clearDeviceMetricsOverride")
        # A4 in inches; the margins are those the browser takes by itself.
        printed = page.call("Page.printToPDF", paperWidth=8.27, paperHeight=11.69)
        sheets = re.findall(rb"/Type\s*/Page\b", b64decode(printed["data"]))
        assert 1 <= len(sheets) <= 2, name


def test_on_a_phone_recipe_ph_and_levels_come_first(page: Page, tmp_path: Path) -> None:
    show(page, many_recipes(3), tmp_path)
    page.call(
        "Emulation.setDeviceMetricsOverride",
        width=390,
        height=900,
        deviceScaleFactor=1,
        mobile=False,
    )
    heads = page.value(
        "[...document.querySelectorAll('#recipe-table th[scope=col]')]"
        ".filter(head => head.offsetParent !== null && head.getBoundingClientRect().right <= 390)"
        ".map(head => head.textContent).join()"
    )
    page.call("Emulation.clearDeviceMetricsOverride")
    assert heads == "Recipe,Mash pH,Errors,Warnings,Notes"
