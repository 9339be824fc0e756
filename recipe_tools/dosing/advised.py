"""What a single finding asks for, in grams and millilitres: one agent of the shelf, one job.

By the same balances as a plan (`proposing`) and a measured mash (`correction`), but without
weighing one thing against another: nothing heavy is loaded for it. Where several findings ask for
something, a plan knows how it goes together.
"""

from __future__ import annotations

from typing import NamedTuple

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.config import Options
from recipe_tools.dosing.correction import corrections
from recipe_tools.dosing.limits import aims, target_of
from recipe_tools.dosing.records import Stock
from recipe_tools.dosing.setting import all_litres
from recipe_tools.dosing.shelf import stocks
from recipe_tools.dosing.sparge import TARGETS_PH, sparge_acid


class Advised(NamedTuple):
    """One dose. amount: grams or millilitres of the stock. ph: where it leads.

    stops: in words, what keeps it from its aim; empty where nothing does.
    """

    stock: Stock
    amount: float
    ph: float
    stops: str = ""


def for_mash(day: BrewDay, options: Options) -> Advised | None:
    """Return what brings the mash to the pH that a plan would aim at.

    None where the water is unknown, nothing on the shelf moves it that way, or no limit leaves
    room.
    """
    found = day.prediction
    if found is None or not day.source.known:
        return None
    target, _ = target_of(day, aims(day, options), None)
    read = Estimate(found.low, found.ph, found.high)
    for item in corrections(day, options, read, target, 0.0):
        if item.ph_after is not None:
            amount = sum(step.amount for step in item.steps)
            return Advised(item.stock, round(amount, 6), item.ph_after, item.why)
    return None


def for_sparge(day: BrewDay, options: Options) -> Advised | None:
    """Return the acid that brings the sparge water to its pH; None where none is needed or had."""
    acids = [item for item in stocks(options, all_litres(day)) if item.agent.kind == "acid"]
    for stock in sorted(acids, key=lambda item: (item.rank, item.name)):
        dose = sparge_acid(day, stock, 0.0)
        if dose is not None:
            return Advised(stock, round(dose.steps * stock.step, 6), TARGETS_PH[0])
    return None
