"""A table to take to the kettle: for each reading of the mash, what to add now.

It says what `measure` would say at each of these readings of the planned mash, once the first
portions of its acid are in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from recipe_tools.dosing.advice import stock_cautions
from recipe_tools.dosing.applied import at_the_reading
from recipe_tools.dosing.correction import Correction
from recipe_tools.dosing.records import Caution, Proposal, Stock
from recipe_tools.measuring.known_mash import Sample, known_mash
from recipe_tools.readings import cooled, meter_half_width

LOWEST_HUNDREDTHS, HIGHEST_HUNDREDTHS, STEP_HUNDREDTHS = 490, 600, 5


class Row(NamedTuple):
    """One reading. leave_it: it lies in the window, what is said beside it is a wish.

    correction: None at the target, and where nothing on the shelf moves the mash that way.
    """

    read_ph: float
    leave_it: bool
    correction: Correction | None


class KettleTable(NamedTuple):
    """What to add at each reading.

    raising, lowering: the one agent of the shelf for readings below and above the target. low,
    high: the rows at and below the target, and those above it. first: what of the acid is in the
    mash by then.
    """

    target_ph: float
    raising: Stock | None
    lowering: Stock | None
    low: tuple[Row, ...]
    high: tuple[Row, ...]
    first: tuple[tuple[Stock, float], ...]

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """How to handle what the table speaks of."""
        return stock_cautions(item for item in (self.raising, self.lowering) if item is not None)


def kettle_table(proposal: Proposal) -> KettleTable | None:
    """Return the table for a plan, or for the recipe as it is where there is no plan.

    None where no mash pH is aimed at or none can be predicted.
    """
    options = proposal.options
    known = None
    if proposal.before.is_mashed and proposal.target_from != "soured":
        known = known_mash(at_the_reading(proposal), options)
    if known is None:
        return None
    meter = options.meter_ph or meter_half_width()
    target = proposal.target_ph
    found: dict[float, tuple[Correction, ...]] = {}
    for hundredths in range(LOWEST_HUNDREDTHS, HIGHEST_HUNDREDTHS + 1, STEP_HUNDREDTHS):
        ph = hundredths / 100.0
        sample = Sample(ph, None, cooled(ph, None, meter))
        found[ph] = known.corrections(options, sample, target)
    below = {ph: items for ph, items in found.items() if ph <= target}
    above = {ph: items for ph, items in found.items() if ph > target}
    planned = {item.stock.name for item in proposal.doses if item.stage == "mash"}
    raising, low = _side(below, proposal, planned)
    lowering, high = _side(above, proposal, planned)
    first = tuple((part.stock, part.first) for part in proposal.portions if part.rest > 0.0)
    return KettleTable(target, raising, lowering, low, high, first)


def _side(
    found: Mapping[float, Sequence[Correction]], proposal: Proposal, planned: set[str]
) -> tuple[Stock | None, tuple[Row, ...]]:
    """Return one agent for all readings of a side, and its rows.

    It is the one that comes to the target most often; among such the one of the plan, then the
    usual one.
    """
    stopped: dict[str, int] = {}
    stock_of: dict[str, Stock] = {}
    for item in (item for items in found.values() for item in items):
        stock_of[item.stock.name] = item.stock
        stopped[item.stock.name] = stopped.get(item.stock.name, 0) + (not item.reaches)
    best = min(
        stock_of,
        key=lambda name: (stopped[name], name not in planned, stock_of[name].rank, name),
        default="",
    )
    low, high = proposal.window
    rows = tuple(
        Row(ph, low <= ph <= high, next((i for i in items if i.stock.name == best), None))
        for ph, items in found.items()
    )
    return stock_of.get(best), rows
