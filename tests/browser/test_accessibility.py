"""The HTML report against WCAG 2.1 A and AA, by the axe engine, in light, dark and on a phone."""

from __future__ import annotations

import functools
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.reports import html
from recipe_tools.results import Run
from tests.browser.devtools import Page, browser_page
from tests.reports.sample_run import CATALOGUE, hostile_run, plain_run
from tests.standards import REPOSITORY

# Few recipes: the engine takes about a second for each.
PLAIN = plain_run()
HOSTILE = Run(hostile_run().files[:3])
VIEWS = [
    (PLAIN, "light", 1280),
    (PLAIN, "dark", 1280),
    (PLAIN, "light", 360),
    (HOSTILE, "dark", 360),
]
FOUND = (
    "axe.run().then(done => JSON.stringify({passes: done.passes.length, violations: "
    "done.violations.map(item => [item.id, item.impact, item.nodes[0].html])}))"
)


@functools.cache
def engine() -> str:
    """Return the axe engine as a script, or skip the test with the reason."""
    package = find_spec("axe_core_python")
    if package is None or not package.submodule_search_locations:
        pytest.skip("axe-core-python is not installed; it belongs to the test extra")
    path = Path(package.submodule_search_locations[0], "axe.min.js")
    return path.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """Yield a page of one browser for all tests of this file."""
    engine()
    with browser_page(tmp_path_factory.mktemp("profile")) as opened:
        yield opened


def results(page: Page) -> Any:
    """Return what the engine finds in the page that is open."""
    page.value(f"{engine()};0")
    answer = page.call("Runtime.evaluate", expression=FOUND, awaitPromise=True, returnByValue=True)
    return json.loads(answer["result"]["value"])


@pytest.mark.parametrize(("run", "scheme", "width"), VIEWS)
def test_no_violation_is_found(
    page: Page, tmp_path: Path, run: Run, scheme: str, width: int
) -> None:
    show(page, run, tmp_path / "report.html", scheme, width)
    found = results(page)
    assert found["violations"] == []
    assert found["passes"] > 30


@pytest.mark.parametrize(
    "command",
    [
        ["dose", "inbox/market-day-pale.xml", "--format", "html"],
        ["audit", "club", "inbox", "--format", "html", "--no-cache"],
        ["compare", "inbox/market-day-pale.xml", "inbox/heron-ipa.json", "--format", "html"],
    ],
    ids=["dose", "audit", "compare"],
)
@pytest.mark.parametrize(("scheme", "width"), [("light", 1280), ("dark", 360)])
def test_no_violation_is_found_on_the_pages_of_other_commands(
    page: Page, tmp_path: Path, command: list[str], scheme: str, width: int
) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "recipe_tools", *command],
        cwd=REPOSITORY / "examples",
        env={**os.environ, "PYTHONPATH": str(REPOSITORY)},
        capture_output=True,
        check=False,
    )
    path = tmp_path / "page.html"
    path.write_bytes(done.stdout)
    look(page, path, scheme, width)
    found = results(page)
    assert found["violations"] == []
    assert found["passes"] > 30
    assert page.told("Log.entryAdded") == []


def test_the_engine_would_notice(page: Page, tmp_path: Path) -> None:
    path = tmp_path / "report.html"
    text = html.render(PLAIN, CATALOGUE)
    path.write_text(text.replace(' lang="en"', "").replace("</main>", "<img></main>"), "utf-8")
    page.open(path)
    assert {item[0] for item in results(page)["violations"]} >= {"html-has-lang", "image-alt"}


def show(page: Page, run: Run, path: Path, scheme: str, width: int) -> None:
    """Load the report of a run as it looks in a colour scheme and at a width."""
    path.write_text(html.render(run, CATALOGUE), encoding="utf-8")
    look(page, path, scheme, width)


def look(page: Page, path: Path, scheme: str, width: int) -> None:
    """Load a page as it looks in a colour scheme and at a width."""
    features = [{"name": "prefers-color-scheme", "value": scheme}]
    page.call("Emulation.setEmulatedMedia", media="screen", features=features)
    page.call(
        "Emulation.setDeviceMetricsOverride",
        width=width,
        height=900,
        deviceScaleFactor=1,
        mobile=False,
    )
    page.open(path)
