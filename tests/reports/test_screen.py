"""What a brewer sees by default: short, most of it to act on, and nothing that matters folded.

The screen is held against the JSON report of the same run, which never folds, on invented files in
the habits of three exporters and on the failing example of every rule.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

import pytest

from recipe_tools.checking import check_bytes
from recipe_tools.checking.checklist import catalogue
from recipe_tools.config.load import options_from_table
from recipe_tools.reports import render, text
from recipe_tools.results import Run
from recipe_tools.rules.examples import example_file
from tests.reports.exported import exported
from tests.reports.screen import LEAST_SHARE, MOST_LINES, figures, is_summary, screen, screens


def files() -> Iterator[tuple[str, Run]]:
    """Yield runs over one file each: the exported ones and the failing examples of the rules."""
    for name, content in exported():
        yield name, Run((check_bytes(content, name),))
    for rule in catalogue().values():
        name, content = example_file(rule.fails)
        options = options_from_table(rule.fails.config)
        yield f"{rule.id} {name}", Run((check_bytes(content, name, options),))


@pytest.fixture(scope="module")
def runs() -> list[tuple[str, Run]]:
    """Return them all once."""
    return list(files())


def squeezed(report: str) -> str:
    """Return a report without its line breaks and margins."""
    return " ".join(report.split())


def test_a_report_is_short_and_most_of_it_is_acted_on() -> None:
    found = list(screens())
    assert len(found) >= 60
    lines, share, others_last = figures(found)
    assert lines <= MOST_LINES
    assert share >= LEAST_SHARE
    assert others_last == 0


def test_the_figures_count_what_they_say() -> None:
    report = "\n".join(
        (
            "a.xml: A - B",
            "  Fix 1 thing before brewing",
            "",
            "  mash pH    5.7",
            "             window",
            "",
            "  warning    This (line 3, a/b)",
            "             do: That",
            "",
            "  folded     3 remarks",
            "",
            "1 file, 1 recipe: 1 thing to do before brewing (0 errors, 1 warning, 0 notes)",
        )
    )
    assert screen("a", report).acted_on == 5


def test_what_is_wrong_with_the_beer_never_folds(runs: list[tuple[str, Run]]) -> None:
    folded = []
    for name, run in runs:
        shown = squeezed(text.render(run, catalogue()))
        for item in json.loads(render("json", run, catalogue()))["findings"]:
            remark = item["rule"].startswith(("file/", "standard/")) and item["severity"] == "note"
            said = squeezed(item["message"]) in shown and item["rule"] in shown
            if not (said or remark or item["rule"].startswith("safety/")):
                folded.append((name, item["rule"], item["message"]))
    assert folded == []


def test_what_folds_is_counted_and_unfolds(runs: list[tuple[str, Run]]) -> None:
    for _, run in runs:
        findings = json.loads(render("json", run, catalogue()))["findings"]
        remarks = [
            item
            for item in findings
            if item["rule"].startswith(("file/", "standard/")) and item["severity"] == "note"
        ]
        brief = squeezed(text.render(run, catalogue()))
        if not run.recipe_count:
            # Without a beer the remarks are all there is to say.
            assert all(squeezed(item["message"]) in brief for item in remarks)
            continue
        found = re.search(r"(\d+) remarks? on how the file is written", brief)
        assert (int(found[1]) if found else 0) == len(remarks)
        whole = squeezed(text.render(run, catalogue(), text.View(verbose=True)))
        assert all(squeezed(item["message"]) in whole for item in remarks)


def test_the_last_line_says_how_much_is_to_do(runs: list[tuple[str, Run]]) -> None:
    for _, run in runs:
        summary = json.loads(render("json", run, catalogue()))["summary"]
        last = text.render(run, catalogue()).splitlines()[-1]
        assert is_summary(last)
        count = summary["findings"]["error"] + summary["findings"]["warning"]
        wanted = "nothing to do" if count == 0 else f"{count} thing"
        assert f": {wanted}" in last


def test_the_screen_speaks_plainly(runs: list[tuple[str, Run]]) -> None:
    for name, run in runs:
        shown = text.render(run, catalogue())
        assert "derived_default" not in shown, name
        assert "% band" not in shown, name
        assert not re.search(r"\b(EUH|[HP])\d{3}\b", shown), name
        assert "residual alk" not in shown
