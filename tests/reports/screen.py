"""How long the default report of one recipe is, and how much of it a brewer acts on.

`python -m tests.reports.screen` prints the figures for invented recipes in the habits of three
exporters (`tests.reports.exported`); with ``--show NAME`` it prints one of the screens.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from statistics import median
from typing import NamedTuple

from recipe_tools.checking import check_bytes
from recipe_tools.checking.checklist import catalogue
from recipe_tools.config import Options
from recipe_tools.reports import text
from recipe_tools.results import Run
from tests.reports.exported import exported

MOST_LINES = 34
"""Of the median report."""
LEAST_SHARE = 0.5
"""Of all lines: verdict, mash pH, what to do, water."""
_ACTED_ON = frozenset({"verdict", "mash pH", "error", "warning", "note", "water", "mg/L"})
_LABELS = ("mash pH", "error", "warning", "note", "water", "mg/L", "folded", "The file", "Recipe ")


class Screen(NamedTuple):
    """The default report of a file. acted_on: lines of verdict, pH, things to do and water."""

    name: str
    lines: tuple[str, ...]
    acted_on: int


def screens() -> Iterator[Screen]:
    """Yield the screen of each invented file, checked by itself without any configuration."""
    for name, content in exported():
        run = Run((check_bytes(content, name, Options()),))
        yield screen(name, text.render(run, catalogue()))


def screen(name: str, report: str) -> Screen:
    """Return the report of one file with the lines that are acted on counted."""
    lines = tuple(report.splitlines())
    parts = list(_parts(lines))
    return Screen(name, lines, sum(part in _ACTED_ON for part in parts))


def _parts(lines: tuple[str, ...]) -> Iterator[str]:
    """Yield for each line what it belongs to; blank lines and the summary belong to nothing."""
    part = "title"
    for place, line in enumerate(lines):
        label = next((name for name in _LABELS if line.startswith(f"  {name}")), None)
        if not line:
            part = "" if part != "title" else part
            yield ""
            continue
        if label is not None:
            part = label
        elif part == "title" and place and line.startswith("  ") and not line.startswith("    "):
            part = "verdict"
        elif not line.startswith(" "):
            part = "title" if place == 0 else "summary"
        yield part


def is_summary(line: str) -> bool:
    """Tell whether a line says how many files and recipes there were and how much is to do."""
    return bool(re.fullmatch(r"1 file.*: .* to do.* \(.* errors?, .* warnings?, .* notes?\)", line))


def figures(found: list[Screen]) -> tuple[float, float, int]:
    """Return the median of the lines, the share that is acted on, and reports ending otherwise."""
    lines = sum(len(item.lines) for item in found)
    others = sum(not is_summary(item.lines[-1]) for item in found)
    return median(len(item.lines) for item in found), sum(i.acted_on for i in found) / lines, others


if __name__ == "__main__":
    made = list(screens())
    if sys.argv[1:2] == ["--show"]:
        print("\n".join(next(item.lines for item in made if item.name == sys.argv[2])))
        raise SystemExit
    lines_of_median, share, others_last = figures(made)
    print(f"{len(made)} recipes of three exporters")
    print(f"median lines of the default report: {lines_of_median:g} (at most {MOST_LINES})")
    print(f"verdict, pH, to do or water: {100 * share:.0f} % (at least {100 * LEAST_SHARE:.0f} %)")
    print(f"reports whose last line is not the summary: {others_last}")
