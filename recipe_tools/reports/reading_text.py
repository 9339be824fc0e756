"""A measured mash for people, on a terminal: does it agree, what goes in now."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

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
from recipe_tools.reports.terminal import PLAIN, Ink, visible, wrapped

if TYPE_CHECKING:
    from recipe_tools.dosing.correction import Correction
    from recipe_tools.measuring import MeasuredMash

_INDENT = "  "
_DEEPER = "    "


def render(measured: MeasuredMash, path: str, ink: Ink = PLAIN) -> str:
    """Return the answer as lines of 80 columns, ending with a line feed."""
    lines = [ink(visible(path), "strong"), *_lines(measured, ink)]
    return "\n".join(lines) + "\n"


def _lines(measured: MeasuredMash, ink: Ink) -> Iterator[str]:
    yield from wrapped(visible(heading(measured)), first=_INDENT, rest=_DEEPER)
    role = "strong" if measured.comes_right else "warning"
    for line in wrapped(visible(verdict_line(measured)), first=_DEEPER, rest=_DEEPER):
        yield ink(line, role)
    for text in (reading_line(measured), agreement_line(measured)):
        yield from wrapped(visible(text), first=_DEEPER, rest=_DEEPER)
    for place, correction in enumerate(measured.corrections):
        if correction.steps:
            yield ""
            yield _DEEPER + ink("Now" if place == 0 else "Or instead", "strong")
            yield from _portions(measured, correction)
    if measured.explanations:
        yield ""
        yield _DEEPER + ink("What would explain it", "strong")
        for item in measured.explanations:
            yield from _item(explanation_line(item))
        yield from wrapped(NOT_CERTAIN, first=_DEEPER, rest=_DEEPER)
    if cautions := handling_lines(measured):
        yield ""
        yield _DEEPER + ink("Handling", "strong")
        for text in cautions:
            yield from _item(text, "! ")
    if notes := asides(measured):
        yield ""
        for text in notes:
            yield from wrapped(visible(text), first=f"{_DEEPER}note    ", rest=_DEEPER + 8 * " ")


def _portions(measured: MeasuredMash, correction: Correction) -> Iterator[str]:
    for place, portion in enumerate(correction.steps):
        yield from _item(
            portion_line(measured, correction, portion, later=place > 0), f"{place + 1} "
        )


def _item(text: str, mark: str = "- ") -> list[str]:
    return wrapped(visible(text), first=_DEEPER + mark, rest=_DEEPER + "  ")
