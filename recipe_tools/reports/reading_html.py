"""A measured mash as one self-contained page: where it is, where it should be, what goes in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from recipe_tools import __version__
from recipe_tools.reports.page import environment, part, policy
from recipe_tools.reports.pictures import PhRow, ph_rows_picture
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
    """Return the page, to be written as UTF-8; ends with a line feed."""
    style = part("report.css")
    context = {
        "version": __version__,
        "style": style,
        "policy": policy(style),
        "path": path,
        "title": heading(measured),
        "verdict": verdict_line(measured),
        "said": (reading_line(measured), agreement_line(measured)),
        "picture": ph_rows_picture("reading", "The mash pH on one scale", _rows(measured)),
        "corrections": [
            (
                "Now" if place == 0 else "Or instead",
                [
                    portion_line(measured, item, portion, later=number > 0)
                    for number, portion in enumerate(item.steps)
                ],
            )
            for place, item in enumerate(measured.corrections)
            if item.steps
        ],
        "explanations": [explanation_line(item) for item in measured.explanations],
        "not_certain": NOT_CERTAIN,
        "cautions": handling_lines(measured),
        "asides": asides(measured),
    }
    page: str = environment().get_template("reading.html").render(context)
    return page.rstrip("\n") + "\n"


def _rows(measured: MeasuredMash) -> list[PhRow]:
    prediction, at_25 = measured.prediction, measured.at_25
    rows = [
        PhRow("predicted", prediction.low, prediction.ph, prediction.high),
        PhRow("read", at_25.low, at_25.best, at_25.high),
    ]
    if measured.corrections:
        for portion in measured.corrections[0].steps:
            label = "after the first part" if portion.first else "after all of it"
            after = portion.ph_after
            rows.append(PhRow(label, after.low, after.best, after.high))
    return rows
