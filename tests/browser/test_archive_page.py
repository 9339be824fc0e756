"""The page on an archive in a browser: nothing blocked or fetched, filtering works."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from recipe_tools import cli
from tests.archive import made_up
from tests.benchmarks import generated_archive
from tests.browser.devtools import Page, browser_page

VISIBLE_ROWS = (
    "[...document.querySelectorAll('#recipe-table tbody tr')]"
    ".filter(row => row.offsetParent !== null)"
)


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page on a made-up archive whose water has changed, with some files as exported."""
    folder = tmp_path_factory.mktemp("archive")
    made_up.write(folder, 80)
    recipes = folder / "recipes"
    generated_archive.write(recipes / "unsorted", 30, seed=2)
    old, path = folder / "old.json", folder / "archive.html"
    options = ["audit", str(recipes), "--no-cache", "--jobs", "1", "--fail-on", "never"]
    cli.run([*options, f"--output=json={old}"])
    shutil.copy(folder / "new-source.toml", recipes / "upper-town" / "tap.toml")
    cli.run([*options, f"--against={old}", f"--output=html={path}"])
    return path


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory, report: Path) -> Iterator[Page]:
    """The report, loaded."""
    with browser_page(tmp_path_factory.mktemp("profile")) as opened:
        opened.open(report)
        yield opened


def test_nothing_is_blocked_fetched_or_thrown(page: Page, report: Path) -> None:
    assert page.told("Log.entryAdded") == []
    assert page.told("Runtime.exceptionThrown") == []
    assert page.told("Runtime.consoleAPICalled") == []
    fetched = [event["request"]["url"] for event in page.told("Network.requestWillBeSent")]
    assert fetched == [report.as_uri()]


@pytest.fixture
def at_width(page: Page) -> Iterator[Callable[[int], None]]:
    def set_width(pixels: int) -> None:
        page.call(
            "Emulation.setDeviceMetricsOverride",
            width=pixels,
            height=900,
            deviceScaleFactor=1,
            mobile=False,
        )

    yield set_width
    page.call("Emulation.clearDeviceMetricsOverride")


@pytest.mark.parametrize("pixels", [360, 390, 768, 1280, 1920])
def test_nothing_is_wider_than_the_window(
    page: Page, at_width: Callable[[int], None], pixels: int
) -> None:
    at_width(pixels)
    assert page.value("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.parametrize("pixels", [1280, 1920])
def test_tables_are_whole_on_a_desk(
    page: Page, at_width: Callable[[int], None], pixels: int
) -> None:
    at_width(pixels)
    page.value("document.querySelectorAll('details').forEach(item => { item.open = true; })")
    assert page.value("document.querySelectorAll('.wide').length") >= 5
    cut = "[...document.querySelectorAll('.wide')].filter(one => one.scrollWidth > one.clientWidth)"
    assert page.value(f"{cut}.map(one => one.getAttribute('aria-label'))") == []


def test_histograms_are_drawn_within_their_frames(page: Page) -> None:
    outside = page.value(
        "[...document.querySelectorAll('figure svg')].filter(svg => {"
        "const frame = svg.getBoundingClientRect();"
        "return [...svg.querySelectorAll('rect, text')].some(part => {"
        "const box = part.getBoundingClientRect();"
        "return box.left < frame.left - 1 || box.right > frame.right + 1"
        "|| box.top < frame.top - 1 || box.bottom > frame.bottom + 1})}).length"
    )
    assert outside == 0


def test_rows_are_filtered_by_words_and_by_severity(page: Page) -> None:
    every = page.value(f"{VISIBLE_ROWS}.length")
    page.value(
        "(() => {const field = document.getElementById('filter-level'); field.value = '3';"
        "field.dispatchEvent(new Event('change')); return 0})()"
    )
    errors = page.value(f"{VISIBLE_ROWS}.map(row => row.dataset.worst)")
    assert 0 < len(errors) < every
    assert set(errors) == {"3"}
