"""The page on an archive in a browser: nothing blocked or fetched, filtering works."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from recipe_tools import cli
from tests.benchmarks import generated_archive
from tests.browser.devtools import Page, browser_page

VISIBLE_ROWS = (
    "[...document.querySelectorAll('#recipe-table tbody tr')]"
    ".filter(row => row.offsetParent !== null)"
)


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page on a generated archive."""
    folder = tmp_path_factory.mktemp("archive")
    generated_archive.write(folder / "club", 80, seed=2)
    path = folder / "archive.html"
    options = ["--no-config", "--no-cache", "--jobs", "1", f"--output=html={path}"]
    cli.run(["audit", str(folder / "club"), *options])
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


def test_nothing_is_wider_than_the_window(page: Page) -> None:
    assert page.value("document.documentElement.scrollWidth <= window.innerWidth")


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
