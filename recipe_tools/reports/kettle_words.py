"""The table to take to the kettle in words that all reports of a plan share."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_tools.reports.dose_words import amount, figure, spoken

if TYPE_CHECKING:
    from recipe_tools.dosing.records import Stock
    from recipe_tools.measuring.kettle_table import KettleTable, Row

TITLE = "What to add now, by what the mash reads"
COLUMNS = ("reads", "now", "then")
_NOTHING = "-"


@dataclass(frozen=True, slots=True)
class ShownRow:
    """A reading and what goes in, as shown. wish: in place of both amounts inside the window."""

    reads: str
    now: str
    then: str
    wish: str = ""


@dataclass(frozen=True, slots=True)
class Side:
    """The readings below or above the target; heading: the agent and its unit."""

    heading: str
    rows: tuple[ShownRow, ...]


def how_to(table: KettleTable) -> str:
    """Say in one or two sentences how the table is used."""
    amounts = " and ".join(amount(part, stock.unit) for stock, part in table.first)
    first = f", with the first {amounts} in it" if amounts else ""
    return (
        f"A sample cooled to room temperature, ten minutes after dough-in{first}. Stir in what "
        f"stands under now, wait two minutes, read again; only if it is still off "
        f"{table.target_ph:.2f}, then the rest"
    )


def sides(table: KettleTable) -> tuple[Side, Side]:
    """Return the readings up to the target and those above it."""
    return (
        Side(_heading(table.raising, "raises"), tuple(_shown(row) for row in table.low)),
        Side(_heading(table.lowering, "lowers"), tuple(_shown(row) for row in table.high)),
    )


def footnotes(table: KettleTable) -> Iterator[str]:
    """Yield what stops an amount short of the target."""
    found = (row.correction for row in (*table.low, *table.high))
    whys = (item.why for item in found if item is not None and not item.reaches)
    for why in dict.fromkeys(whys):
        yield f"* falls short of {table.target_ph:.2f}: {why}"


def _heading(stock: Stock | None, does: str) -> str:
    if stock is None:
        return f"nothing on the shelf {does} it"
    name = spoken(stock.name)
    return f"{name[:1].upper()}{name[1:]}, {stock.unit}"


def _shown(row: Row) -> ShownRow:
    reads = f"{row.read_ph:.2f}"
    found = row.correction
    steps = () if found is None else found.steps
    mark = "*" if found is not None and not found.reaches else ""
    if row.leave_it:
        whole = sum(step.amount for step in steps)
        return ShownRow(reads, "", "", f"leave it ({figure(whole)}{mark})" if whole else "leave it")
    now = f"{figure(steps[0].amount)}{mark}" if steps else f"{_NOTHING}{mark}"
    then = f"{figure(steps[1].amount)}{mark}" if len(steps) > 1 else _NOTHING
    return ShownRow(reads, now, then)
