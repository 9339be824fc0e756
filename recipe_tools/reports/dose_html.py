"""A dosing plan as one self-contained page: what to do, and the water before and after as pictures.

The page loads and runs nothing; the content security policy in its head admits the style sheet by
its hash.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_tools import __version__
from recipe_tools.dosing.brew_steps import brew_steps, shopping_list
from recipe_tools.measuring.kettle_table import KettleTable, kettle_table
from recipe_tools.reports.amounts import amounts_in
from recipe_tools.reports.dose_words import (
    TITLES,
    LevelRow,
    aim,
    caution_lines,
    level_rows,
    step_lines,
    stock_solution,
    title,
    verdict,
)
from recipe_tools.reports.kettle_words import COLUMNS, TITLE, Side, footnotes, how_to, sides
from recipe_tools.reports.page import environment, part, policy
from recipe_tools.reports.recipe_sheet import Sheet, sheet

if TYPE_CHECKING:
    from recipe_tools.config.options import Units
    from recipe_tools.dosing import Proposal


@dataclass(frozen=True, slots=True)
class TableView:
    """What to add by what the mash reads, as the page shows it."""

    title: str
    how_to: str
    columns: tuple[str, ...]
    sides: tuple[Side, ...]
    footnotes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlanView:
    """A plan as the page shows it. outcome: with the pictures of the brew day before and after it.

    steps: each with its lines, and whether a pH is read at that line.
    """

    anchor: str
    title: str
    verdict: str
    listed: tuple[tuple[str, str], ...]
    shopping: tuple[tuple[str, str, str], ...]
    solution: str
    steps: tuple[tuple[str, tuple[tuple[str, bool], ...]], ...]
    aim: str
    rows: tuple[LevelRow, ...]
    planned: bool
    outcome: Sheet
    table: TableView | None
    cautions: tuple[str, ...]
    asides: tuple[str, ...]


def render(proposals: Sequence[Proposal], path: str) -> str:
    """Return the page, to be written as UTF-8; ends with a line feed."""
    style = part("report.css")
    context = {
        "version": __version__,
        "style": style,
        "policy": policy(style),
        "path": path,
        "plans": [_view(item, f"p{place}") for place, item in enumerate(proposals)],
    }
    page: str = environment().get_template("dose.html").render(context)
    return page.rstrip("\n") + "\n"


def _view(proposal: Proposal, anchor: str) -> PlanView:
    listed = [("Why not", text) for text in proposal.reasons]
    listed += [("Would help", text) for text in proposal.changes]
    listed += [("To get", text) for text in proposal.missing]
    table = kettle_table(proposal)
    say = amounts_in(proposal.options.units)
    return PlanView(
        anchor=anchor,
        title=title(proposal),
        verdict=verdict(proposal),
        listed=tuple(listed),
        shopping=tuple(
            (
                say(line.amount, line.unit),
                line.name,
                ", ".join(f"{say(part, line.unit)} {stage}" for stage, part in line.parts),
            )
            for line in shopping_list(proposal)
        ),
        solution=stock_solution(proposal),
        steps=tuple(
            (
                TITLES[step.when],
                tuple(
                    (line, action.what == "measure")
                    for line, action in zip(step_lines(proposal, step), step.actions, strict=True)
                ),
            )
            for step in brew_steps(proposal)
        ),
        aim=aim(proposal),
        rows=tuple(level_rows(proposal)),
        planned=proposal.after is not None,
        outcome=_outcome(proposal, anchor),
        table=None if table is None else _by_reading(table, proposal.options.units),
        cautions=caution_lines(proposal, table),
        asides=(*proposal.remarks, *proposal.supposed),
    )


def _outcome(proposal: Proposal, anchor: str) -> Sheet:
    if proposal.after is None:
        return sheet(proposal.before, anchor, pictures=True)
    return sheet(proposal.after, anchor, pictures=True, before=proposal.before)


def _by_reading(table: KettleTable, units: Units) -> TableView:
    return TableView(
        TITLE, how_to(table, units), COLUMNS, sides(table, units), tuple(footnotes(table))
    )
