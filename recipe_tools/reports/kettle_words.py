"""The table to take to the kettle in words that all reports of a plan share."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_tools.reports.amounts import amount, figure, spoken, us_figure, us_unit

if TYPE_CHECKING:
    from recipe_tools.config.options import Units
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


def how_to(table: KettleTable, units: Units) -> str:
    """Say in one or two sentences how the table is used."""
    amounts = " and ".join(amount(part, stock.unit, units) for stock, part in table.first)
    first = f", with the first {amounts} in it" if amounts else ""
    return (
        f"A sample cooled to room temperature, ten minutes after dough-in{first}. Stir in what "
        f"stands under now, wait two minutes, read again; only if it is still off "
        f"{table.target_ph:.2f}, then the rest"
    )


def sides(table: KettleTable, units: Units) -> tuple[Side, Side]:
    """Return the readings up to the target and those above it."""
    return (
        _side(table.raising, "raises", table.low, units),
        _side(table.lowering, "lowers", table.high, units),
    )


def footnotes(table: KettleTable) -> Iterator[str]:
    """Yield what stops an amount short of the target."""
    found = (row.correction for row in (*table.low, *table.high))
    whys = (item.why for item in found if item is not None and not item.reaches)
    for why in dict.fromkeys(whys):
        yield f"* falls short of {table.target_ph:.2f}: {why}"


def _side(stock: Stock | None, does: str, rows: Sequence[Row], units: Units) -> Side:
    if stock is None:
        return Side(f"nothing on the shelf {does} it", tuple(_shown(row, "") for row in rows))
    beside = us_unit(stock.unit) if units == "us" else ""
    name = spoken(stock.name)
    heading = f"{name[:1].upper()}{name[1:]}, {stock.unit}" + (f" ({beside})" if beside else "")
    return Side(heading, tuple(_shown(row, stock.unit if beside else "") for row in rows))


def _shown(row: Row, beside: str) -> ShownRow:
    """Return a row; beside: unit that is shown in its US unit too, or empty."""
    reads = f"{row.read_ph:.2f}"
    found = row.correction
    parts = () if found is None else tuple(step.amount for step in found.steps)
    mark = "*" if found is not None and not found.reaches else ""

    def cell(value: float) -> str:
        other = f" ({us_figure(value, beside)})" if beside else ""
        return f"{figure(value)}{mark}{other}"

    if row.leave_it:
        whole = cell(sum(parts)).replace(" (", ", ").rstrip(")")
        wish = f"leave it ({whole})" if parts else "leave it"
        return ShownRow(reads, "", "", wish)
    now = cell(parts[0]) if parts else f"{_NOTHING}{mark}"
    return ShownRow(reads, now, cell(parts[1]) if len(parts) > 1 else _NOTHING)
