"""A measured mash as Markdown: what was read, what goes in now, boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from recipe_tools.reports.escaping import markdown_inline
from recipe_tools.reports.reading_words import (
    NOT_CERTAIN,
    agreement_line,
    asides,
    explanation_line,
    handling_lines,
    heading,
    portion_line,
    reading_line,
    verdict_line,
)

if TYPE_CHECKING:
    from recipe_tools.measuring import MeasuredMash


def render(measured: MeasuredMash, path: str) -> str:
    """Return the sheet, ending with a line feed."""
    del path
    return "\n".join(_lines(measured)) + "\n"


def _lines(measured: MeasuredMash) -> Iterator[str]:
    yield f"# Measured mash: {markdown_inline(heading(measured))}"
    yield ""
    yield f"**{markdown_inline(verdict_line(measured))}**"
    yield ""
    yield f"- {markdown_inline(reading_line(measured))}"
    yield f"- {markdown_inline(agreement_line(measured))}"
    yield ""
    for place, correction in enumerate(measured.corrections):
        if not correction.steps:
            continue
        yield "## Now" if place == 0 else "## Or instead"
        yield ""
        for number, portion in enumerate(correction.steps):
            text = portion_line(measured, correction, portion, later=number > 0)
            yield f"- [ ] {markdown_inline(text)}"
            yield "  - pH read: ______ at ______ °C"
        yield ""
    if measured.explanations:
        yield "## What would explain it"
        yield ""
        for item in measured.explanations:
            yield f"- {markdown_inline(explanation_line(item))}"
        yield ""
        yield NOT_CERTAIN
        yield ""
    yield from _bullets("Handling", handling_lines(measured))
    yield from _bullets("Notes", asides(measured))


def _bullets(title: str, texts: tuple[str, ...]) -> Iterator[str]:
    if texts:
        yield f"## {title}"
        yield ""
        for text in texts:
            yield f"- {markdown_inline(text)}"
        yield ""
