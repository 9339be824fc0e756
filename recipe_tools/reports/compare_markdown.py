"""Two states of recipes as Markdown: for a comment on a change, and for a file of its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from recipe_tools.archive.recipe_comparison import RecipeComparison
from recipe_tools.reports.compare_words import rows, said, title, written_line
from recipe_tools.reports.escaping import markdown_code, markdown_inline

_LONGEST = 600


def render(items: Sequence[RecipeComparison], paths: tuple[str, str]) -> str:
    """Return the document, ending with a line feed. paths: of both files, as reports show them."""
    files = " and ".join(markdown_code(path) for path in dict.fromkeys(paths))
    return f"## Before and after: {files}\n\n" + "\n".join(map(recipe_part, items))


def recipe_part(item: RecipeComparison) -> str:
    """Return the part on one recipe: verdict, what moved, what was written, findings."""
    return "\n".join(_lines(item)) + "\n"


def _lines(item: RecipeComparison) -> Iterator[str]:
    yield f"### {_inline(title(item))}"
    yield ""
    moved = [row for row in rows(item) if row.moved]
    if moved:
        yield "| | before | after |"
        yield "|---|---|---|"
        for row in moved:
            before, after = (_inline(side) or "–" for side in (row.before, row.after))
            yield f"| {_inline(row.what)} | {before} | {after} |"
        yield ""
    for line in item.written:
        yield f"- {_inline(written_line(line))}"
    for found in said(item):
        severity = found.severity if found.severity == "note" else f"**{found.severity}**"
        yield f"- {found.change}, {severity}: {_inline(found.message)} {markdown_code(found.rule)}"


def _inline(text: str) -> str:
    return markdown_inline(text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…")
