"""The report for people."""

from __future__ import annotations

import re

import pytest
from syrupy.assertion import SnapshotAssertion

from recipe_tools.reports import REPORTS, render, text
from recipe_tools.reports.terminal import Ink, visible
from tests.reports.sample_run import CATALOGUE, HOSTILE_TEXTS, hostile_run, plain_run


def test_layout(snapshot: SnapshotAssertion) -> None:
    assert text.render(plain_run(), CATALOGUE) == snapshot


def test_layout_with_everything_there_is_to_say(snapshot: SnapshotAssertion) -> None:
    view = text.View(verbose=True)
    assert text.render(plain_run(), CATALOGUE, view) == snapshot


def test_a_brewer_finds_what_decides() -> None:
    report = " ".join(text.render(plain_run(), CATALOGUE).split())
    for part in (
        "Aldermoor town water",
        "5.71; it will most likely read between 5.52 and 5.93",
        "alkalinity of the water +0.21",
        "least certain: pH of the malts in distilled water",
        "(likely, line 12, mash-ph/above-range)",
        "do: Do the right thing.",
    ):
        assert part in report


def test_lines_fit_80_columns() -> None:
    for view in (text.View(), text.View(verbose=True)):
        *lines, summary = text.render(plain_run(), CATALOGUE, view).splitlines()
        assert max(map(len, lines)) <= 80
        assert summary.endswith("notes)")


def test_totals_count_what_is_not_listed_and_leave_out_what_is_accepted() -> None:
    lines = text.render(plain_run(), CATALOGUE).splitlines()
    assert lines[-1] == (
        "2 files (1 not checked in full), 2 recipes: 26 things to do before brewing "
        "(2 errors, 24 warnings, 2 notes)"
    )
    assert "1 finding accepted earlier, not counted" in lines
    assert any("23 more findings of standard/wrong-type" in line for line in lines)


def test_colour_adds_nothing_but_colour() -> None:
    plain = text.render(plain_run(), CATALOGUE)
    coloured = text.render(plain_run(), CATALOGUE, text.View(Ink(colour=True)))
    assert coloured != plain
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


def test_nothing_hostile_reaches_the_terminal() -> None:
    view = text.View(verbose=True)
    report = text.render(hostile_run(), CATALOGUE, view)
    assert [letter for letter in set(report) if letter != "\n" and not letter.isprintable()] == []


@pytest.mark.parametrize("hostile", HOSTILE_TEXTS)
def test_visible_text_is_one_printable_line(hostile: str) -> None:
    assert visible(hostile).isprintable()


@pytest.mark.parametrize("plain", ["Märzen 12 °P", "CaSO₄·2H₂O", "日本", "a — b"])
def test_visible_leaves_what_can_be_seen(plain: str) -> None:
    assert visible(plain) == plain


@pytest.mark.parametrize("name", REPORTS)
def test_every_report_can_be_asked_for_by_name(name: str) -> None:
    assert render(name, plain_run(), CATALOGUE)
