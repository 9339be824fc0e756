"""The reports on an archive: what people see, and that nothing in them can do harm."""

from __future__ import annotations

import io
import os
import pty
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from lxml import html

from recipe_tools.archive.distributions import Distribution, Histogram
from recipe_tools.reports import archive_html
from recipe_tools.reports.archive_pictures import histogram
from tests.archive.conftest import FAULTY, PLAIN, renamed, write
from tests.benchmarks import generated_archive
from tests.cli.conftest import Run

ROOT = Path(__file__).resolve().parents[2]
HOSTILE = "</script><img src=x onerror=alert(1)>\u202e\x1b[31m"


@pytest.fixture
def archive(here: Path) -> Path:
    generated_archive.write(here / "club", 60, seed=3)
    write(here / "club", {"faulty.json": FAULTY, "hostile.json": renamed(HOSTILE, author=HOSTILE)})
    return here / "club"


def page(run: Run, *arguments: str) -> html.HtmlElement:
    return html.fromstring(run("audit", "club", "--format", "html", *arguments).text)


def test_every_link_leads_to_a_place_of_the_page(run: Run, archive: Path) -> None:
    tree = page(run)
    ids = tree.xpath("//@id")
    assert len(ids) == len(set(ids))
    links = tree.xpath("//a/@href")
    assert len(links) >= 7
    assert {link.removeprefix("#") for link in links} <= set(ids)
    assert all(link.startswith("#") for link in links)


def test_each_beer_has_a_row_the_worst_first(run: Run, archive: Path) -> None:
    tree = page(run)
    rows = tree.xpath("//table[@id='recipe-table']/tbody/tr")
    assert len(rows) == run("audit", "club", "--format", "json").json["summary"]["beers"]
    bad = [[int(cell.text) for cell in row.xpath("./td[@class='num']")[1:]] for row in rows]
    assert bad == sorted(bad, reverse=True)


def test_a_very_large_archive_lists_the_worst_and_says_so(
    run: Run, archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(archive_html, "LISTED_UP_TO", 10)
    tree = page(run)
    beers = run("audit", "club", "--format", "json").json["summary"]["beers"]
    assert len(tree.xpath("//table[@id='recipe-table']/tbody/tr")) == 10
    assert f"{beers - 10} more are in the JSON and CSV reports" in tree.text_content()
    assert {link.removeprefix("#") for link in tree.xpath("//a/@href")} <= set(tree.xpath("//@id"))


def test_text_from_recipes_stays_text(run: Run, archive: Path) -> None:
    tree = page(run)
    assert tree.xpath("//img | //@onerror | //*[@style]") == []
    assert len(tree.xpath("//script")) == 1
    policy = tree.xpath("//meta[@http-equiv='Content-Security-Policy']/@content")[0]
    assert policy.startswith("default-src 'none'")
    raw = run("audit", "club", "--format", "html").text
    assert "\u202e" not in raw
    assert "\x1b" not in raw


def test_pictures_say_what_they_show(run: Run, archive: Path) -> None:
    tree = page(run)
    pictures = tree.xpath("//figure/svg")
    assert len(pictures) >= 2
    for picture in pictures:
        names = picture.get("aria-labelledby").split()
        told = [picture.xpath(f".//*[@id='{name}']")[0].text for name in names]
        assert picture.get("role") == "img"
        assert all(told)
    counts = [int(text) for text in pictures[0].xpath("./text[not(contains(., '.'))]/text()")]
    (spread,) = (
        item
        for item in run("audit", "club", "--format", "json").json["distributions"]
        if item["quantity"] == "mash_ph"
    )
    assert sum(counts) == spread["count"] + spread["exempt"] + spread["water_unknown"]


def test_bars_are_as_high_as_their_counts() -> None:
    spread = Distribution(
        "calcium",
        13,
        (10.0, 20.0, 30.0),
        Histogram(0.0, 10.0, (2, 8, 0, 1), 0, 2),
        1,
        2,
        3,
        25.0,
        3,
    )
    tree = html.fromstring(histogram("x", "Calcium", spread))
    heights = [float(bar.get("height")) for bar in tree.xpath(".//rect")]
    assert [round(height / max(heights) * 8) for height in heights] == [2, 8, 1, 2]


def test_lines_of_the_text_report_fit_a_terminal(run: Run, archive: Path) -> None:
    text = run("audit", "club").text
    assert max(map(len, text.splitlines())) <= 80
    assert "\u202e" not in text
    assert "\x1b" not in text
    whole = run("audit", "club", "--verbose").text
    assert len(whole) > len(text)


def test_the_text_report_begins_with_what_matters(run: Run, here: Path) -> None:
    write(here / "club", {"a.json": PLAIN, "b.json": FAULTY, "c.xml": b"<RECIPES>"})
    lines = run("audit", "club").text.splitlines()
    assert lines[0].startswith("3 files, 2 recipes: ")
    assert lines[1] == "1 recipe to look at (50 %)"
    assert lines[2] == "1 file not checked in full"
    assert any("club/b.json" in line for line in lines)
    assert any(line.startswith("  club/c.xml:1: ") for line in lines)


@pytest.mark.parametrize(
    ("files", "arguments", "code"),
    [
        ({"a.json": PLAIN}, (), 0),
        ({"a.json": FAULTY}, (), 1),
        ({"a.json": FAULTY}, ("--fail-on", "never"), 0),
        ({"a.json": FAULTY, "b.xml": b"<RECIPES>"}, (), 3),
        ({"a.json": FAULTY}, ("--jobs", "0"), 2),
        ({"a.json": FAULTY}, ("--format", "sarif"), 2),
    ],
)
def test_exit_codes_are_those_of_check(
    run: Run, here: Path, files: dict[str, bytes], arguments: tuple[str, ...], code: int
) -> None:
    write(here / "club", files)
    assert run("audit", "club", *arguments).code == code


def test_a_baseline_holds_from_whatever_folder_the_audit_starts(
    run: Run, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(here / "club", {"ales/a.json": FAULTY, "b.json": PLAIN})
    run("baseline", "write", "club", "--accept")
    file = here / "recipe-tools-baseline.json"
    accepted = run("audit", "club", "--baseline", str(file), "--format", "json").json["summary"]
    assert accepted["findings"]["error"] == 0 < accepted["accepted"]
    monkeypatch.chdir(here / "club" / "ales")
    for paths in ((".",), ("a.json",), ("..",)):
        again = run("audit", *paths, "--baseline", str(file), "--format", "json").json
        assert again["summary"]["findings"]["error"] == 0, paths
        assert again["summary"]["accepted"] == accepted["accepted"]


def test_several_reports_come_from_one_run(run: Run, archive: Path, here: Path) -> None:
    outputs = [f"--output={name}=r.{name}" for name in ("json", "csv", "html", "text")]
    run("audit", "club", *outputs)
    for name in ("json", "csv", "html", "text"):
        expected = run("audit", "club", "--format", name).out
        assert (here / f"r.{name}").read_bytes() == expected
    done = run("audit", "club", "--output", "json=nowhere/r.json")
    assert done.code == 3
    assert "could not be written" in done.err


@contextmanager
def terminal() -> Iterator[tuple[int, int]]:
    """Give both ends of a terminal."""
    ours, theirs = pty.openpty()
    try:
        yield ours, theirs
    finally:
        os.close(ours)


def test_progress_is_shown_on_a_terminal_only(archive: Path, here: Path, run: Run) -> None:
    assert run("audit", "club").err == ""
    with terminal() as (ours, theirs):
        process = subprocess.Popen(
            [sys.executable, "-m", "recipe_tools", "audit", "club", "--jobs", "1"],
            cwd=here,
            env={**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm"},
            stdout=subprocess.PIPE,
            stderr=theirs,
        )
        os.close(theirs)
        out, _ = process.communicate(timeout=60)
        shown = io.BytesIO()
        while True:
            try:
                piece = os.read(ours, 4096)
            except OSError:
                break
            if not piece:
                break
            shown.write(piece)
    progress = shown.getvalue().decode()
    assert re.search(r"Auditing +[\d.]+ files/s", progress)
    assert "62/62" in progress
    assert b"files/s" not in out
