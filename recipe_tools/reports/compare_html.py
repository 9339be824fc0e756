"""Two states of recipes as one self-contained page."""

from __future__ import annotations

from collections.abc import Sequence

from recipe_tools import __version__
from recipe_tools.archive.recipe_comparison import RecipeComparison
from recipe_tools.reports.compare_words import Row, Said, rows, said, title, written_line
from recipe_tools.reports.page import environment, part, policy
from recipe_tools.reports.pictures import PhRow, ph_rows_picture


def render(items: Sequence[RecipeComparison], paths: tuple[str, str]) -> str:
    """Return the page, to be written as UTF-8; ends with a line feed."""
    style = part("report.css")
    context = {
        "version": __version__,
        "style": style,
        "policy": policy(style),
        "paths": list(dict.fromkeys(paths)),
        "recipes": [_recipe(place, item) for place, item in enumerate(items)],
    }
    page: str = environment().get_template("compare.html").render(context)
    return page.rstrip("\n") + "\n"


def _recipe(
    place: int, item: RecipeComparison
) -> tuple[str, str, list[Row], list[str], list[Said]]:
    """Return title, picture, table, what was written otherwise, and findings of a recipe."""
    shown = [
        PhRow(word, state.ph["low"], state.ph["predicted"], state.ph["high"])
        for word, state in zip(("before", "after"), item.change.states, strict=True)
        if state is not None and state.ph is not None
    ]
    picture = ph_rows_picture(f"ph{place}", "The mash pH before and after", shown) if shown else ""
    lines = [written_line(line) for line in item.written]
    return title(item), picture, rows(item), lines, list(said(item))
