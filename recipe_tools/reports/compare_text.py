"""Two states of recipes for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from recipe_tools.archive.recipe_comparison import RecipeComparison
from recipe_tools.reports.compare_words import rows, said, title, written_line
from recipe_tools.reports.terminal import PLAIN, Ink, visible, wrapped

_WIDEST = 26


def render(items: Sequence[RecipeComparison], paths: tuple[str, str], ink: Ink = PLAIN) -> str:
    """Return the report in lines of 80 columns. paths: of both files, as reports show them."""
    lines = [visible(paths[0]) if paths[0] == paths[1] else visible(" -> ".join(paths))]
    for item in items:
        lines += ["", *_recipe(item, ink)]
    return "\n".join(lines) + "\n"


def _recipe(item: RecipeComparison, ink: Ink) -> Iterator[str]:
    yield "  " + ink(visible(title(item)), "strong")
    table = rows(item)
    if table:
        width = min(max(len(row.before) for row in table), _WIDEST)
        yield f"    {'':<28} {'before':<{width}}  after"
    for row in table:
        mark = "*" if row.moved else " "
        yield from wrapped(
            f"{visible(row.before) or '-':<{width}}  {visible(row.after) or '-'}",
            first=f"  {mark} {row.what:<28} ",
            rest=" " * 33,
        )
    if item.written:
        yield ""
        yield "    written otherwise"
        for line in item.written:
            yield from wrapped(
                visible(written_line(line)).replace("→", "->"), first="      ", rest="        "
            )
    findings = list(said(item))
    if findings:
        yield ""
        yield "    findings"
        for found in findings:
            level = found.severity.replace("→", "->")
            text = f"{found.change}, {level}: {visible(found.message)} ({found.rule})"
            yield from wrapped(text, first="      ", rest="        ")
