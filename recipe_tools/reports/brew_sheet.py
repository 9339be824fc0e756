"""A dosing plan as a sheet of Markdown to print and tick off on brew day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING

from recipe_tools.dosing.brew_steps import brew_steps, shopping_list
from recipe_tools.measuring.kettle_table import KettleTable, kettle_table
from recipe_tools.reports.amounts import amounts_in
from recipe_tools.reports.dose_words import (
    TITLES,
    aim,
    caution_lines,
    level_rows,
    step_lines,
    stock_solution,
    title,
    verdict,
)
from recipe_tools.reports.escaping import markdown_inline
from recipe_tools.reports.kettle_words import COLUMNS, TITLE, ShownRow, footnotes, how_to, sides

if TYPE_CHECKING:
    from recipe_tools.config.options import Units
    from recipe_tools.dosing import Proposal
    from recipe_tools.dosing.brew_steps import BrewStep


def render(proposals: Sequence[Proposal], path: str) -> str:
    """Return the sheets of a file, ending with a line feed."""
    del path
    return "\n".join(line for proposal in proposals for line in _sheet(proposal)) + "\n"


def _sheet(proposal: Proposal) -> Iterator[str]:
    yield f"# Water sheet: {markdown_inline(title(proposal))}"
    yield ""
    yield f"{verdict(proposal)}."
    yield ""
    for label, texts in (
        ("Reason", proposal.reasons),
        ("Would help", proposal.changes),
        ("To get", proposal.missing),
    ):
        for text in texts:
            yield f"- {label}: {markdown_inline(text)}"
    if proposal.reasons or proposal.changes or proposal.missing:
        yield ""
    yield from _weighing(proposal)
    table = kettle_table(proposal)
    yield from _bullets("Handling", caution_lines(proposal, table))
    for step in brew_steps(proposal):
        yield from _moment(proposal, step)
    if table is not None:
        yield from _by_reading(table, proposal.options.units)
    if proposal.planned is not None:
        yield from _outcome(proposal)
    yield from _bullets("Notes", (*proposal.remarks, *proposal.supposed))


def _weighing(proposal: Proposal) -> Iterator[str]:
    lines = shopping_list(proposal)
    if not lines:
        return
    say = amounts_in(proposal.options.units)
    yield "## To have at hand"
    yield ""
    for line in lines:
        parts = ", ".join(f"{stage} {say(part, line.unit)}" for stage, part in line.parts)
        yield f"- [ ] **{say(line.amount, line.unit)}** {markdown_inline(line.name)} ({parts})"
    if said := stock_solution(proposal):
        yield f"- {markdown_inline(said)}"
    yield ""


def _moment(proposal: Proposal, step: BrewStep) -> Iterator[str]:
    yield f"## {TITLES[step.when]}"
    yield ""
    for line in step_lines(proposal, step):
        yield f"- [ ] {markdown_inline(line)}"
        if line.startswith("Measure"):
            yield "  - pH read: ______ at ______ °C"
    yield ""


def _by_reading(table: KettleTable, units: Units) -> Iterator[str]:
    shown = sides(table, units)
    reads, now, then = COLUMNS
    yield f"## {TITLE}"
    yield ""
    yield f"{markdown_inline(how_to(table, units))}."
    yield ""
    heads = (f"{reads} | {markdown_inline(side.heading)}: {now} | {then}" for side in shown)
    yield f"| {' | '.join(heads)} |"
    yield "|--:|--:|--:|--:|--:|--:|"
    for pair in zip_longest(*(side.rows for side in shown), fillvalue=ShownRow("", "", "")):
        cells = (
            f"{row.reads} | {_amount(row.wish or row.now)} | {_amount(row.then)}" for row in pair
        )
        yield f"| {' | '.join(cells)} |"
    yield ""
    for text in footnotes(table):
        yield f"{markdown_inline(text)}."
        yield ""


def _amount(text: str) -> str:
    """Return an amount of the table as it stands; its mark is no emphasis."""
    return text.replace("*", r"\*")


def _outcome(proposal: Proposal) -> Iterator[str]:
    yield "## What comes of it"
    yield ""
    yield f"{markdown_inline(aim(proposal))}."
    yield ""
    yield "| | before | after | wanted |"
    yield "|---|--:|--:|---|"
    for row in level_rows(proposal):
        yield f"| {row.name} | {row.before} | {row.after} | {row.wanted} |"
    yield ""


def _bullets(heading: str, texts: Sequence[str]) -> Iterator[str]:
    if not texts:
        return
    yield f"## {heading}"
    yield ""
    for text in texts:
        yield f"- {markdown_inline(text)}"
    yield ""
