"""A dosing plan for people, on a terminal: what to have at hand, what to do, what comes of it."""

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
from recipe_tools.reports.kettle_words import COLUMNS, TITLE, footnotes, how_to, sides
from recipe_tools.reports.terminal import PLAIN, Ink, visible, wrapped

if TYPE_CHECKING:
    from recipe_tools.config.options import Units
    from recipe_tools.dosing import Proposal

_INDENT = "  "
_DEEPER = "    "
_SIDE = 34


def render(proposals: Sequence[Proposal], path: str, ink: Ink = PLAIN) -> str:
    """Return the plans of a file as lines of 80 columns, ending with a line feed."""
    lines = [ink(visible(path), "strong")]
    for proposal in proposals:
        lines += ["", *_plan(proposal, ink)]
    return "\n".join(lines) + "\n"


def _plan(proposal: Proposal, ink: Ink) -> Iterator[str]:
    yield from wrapped(visible(title(proposal)), first=_INDENT, rest=_DEEPER)
    role = "strong" if proposal.feasible else "warning"
    for place, line in enumerate(wrapped(verdict(proposal) + ".", first=_DEEPER, rest=_DEEPER)):
        yield ink(line, role) if place == 0 else line
    yield from _listed("reason", proposal.reasons)
    yield from _listed("change", proposal.changes)
    yield from _listed("to get", proposal.missing)
    table = kettle_table(proposal)
    units = proposal.options.units
    if proposal.planned is not None or proposal.dechlorination is not None or table is not None:
        yield from _to_weigh(proposal, ink)
        yield from _handling(proposal, table, ink)
        for step in brew_steps(proposal):
            yield ""
            yield _DEEPER + ink(TITLES[step.when], "strong")
            for line in step_lines(proposal, step):
                yield from _item(line)
    if table is not None:
        yield from _by_reading(table, units, ink)
    if proposal.planned is not None:
        yield ""
        yield _DEEPER + ink("What comes of it", "strong")
        yield from _table(proposal)
        yield from _item(aim(proposal))
    yield from _asides(proposal)


def _listed(label: str, texts: Sequence[str]) -> Iterator[str]:
    for text in texts:
        yield from wrapped(visible(text), first=f"{_DEEPER}{label:<8}", rest=_DEEPER + 8 * " ")


def _item(text: str, mark: str = "- ") -> list[str]:
    return wrapped(visible(text), first=_DEEPER + mark, rest=_DEEPER + "  ")


def _to_weigh(proposal: Proposal, ink: Ink) -> Iterator[str]:
    lines = shopping_list(proposal)
    if not lines:
        return
    yield ""
    yield _DEEPER + ink("To have at hand", "strong")
    say = amounts_in(proposal.options.units)
    for line in lines:
        parts = ", ".join(f"{say(part, line.unit)} {stage}" for stage, part in line.parts)
        beside = f" ({parts})" if len(line.parts) > 1 else f" ({line.parts[0][0]})"
        yield from _item(f"{say(line.amount, line.unit)} {line.name}{beside}")
    yield from _item(said) if (said := stock_solution(proposal)) else ()


def _handling(proposal: Proposal, table: KettleTable | None, ink: Ink) -> Iterator[str]:
    """Yield the cautions, before the first thing to do."""
    cautions = caution_lines(proposal, table)
    if not cautions:
        return
    yield ""
    yield _DEEPER + ink("Handling", "strong")
    for line in cautions:
        yield from _item(line, "! ")


def _by_reading(table: KettleTable, units: Units, ink: Ink) -> Iterator[str]:
    yield ""
    yield _DEEPER + ink(TITLE, "strong")
    yield from wrapped(how_to(table, units) + ".", first=_DEEPER, rest=_DEEPER)
    shown = sides(table, units)
    reads, now, then = COLUMNS
    wide = 14 if units == "us" else 7
    over = f"{reads:<6}{now:>{wide}}{then:>{wide}}"
    columns = [
        [
            *wrapped(visible(side.heading), first="", rest="", width=_SIDE)[:1],
            over,
            *(
                f"{row.reads:<6}" + (row.wish or f"{row.now:>{wide}}{row.then:>{wide}}")
                for row in side.rows
            ),
        ]
        for side in shown
    ]
    for left, right in zip_longest(*columns, fillvalue=""):
        yield f"{_DEEPER}{left:<{_SIDE}}    {right}".rstrip()
    for text in footnotes(table):
        yield from wrapped(visible(text), first=_DEEPER, rest=_DEEPER + "  ")


def _table(proposal: Proposal) -> Iterator[str]:
    yield f"{_DEEPER}{'':<24}{'before':>8}{'after':>8}   wanted"
    for row in level_rows(proposal):
        line = f"{_DEEPER}{row.name:<24}{row.before:>8}{row.after:>8}   {row.wanted}"
        yield line.rstrip()


def _asides(proposal: Proposal) -> Iterator[str]:
    texts = (*proposal.remarks, *proposal.supposed)
    if not texts:
        return
    yield ""
    for text in texts:
        yield from wrapped(visible(text), first=f"{_DEEPER}note    ", rest=_DEEPER + 8 * " ")
