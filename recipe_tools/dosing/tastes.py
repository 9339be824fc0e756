"""How much of each acid a beer may hold before it is tasted."""

from __future__ import annotations

from functools import cache

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.acids import left_behind
from recipe_tools.dosing.limits import Aims
from recipe_tools.dosing.records import ProposedDose, Stock
from recipe_tools.dosing.setting import all_litres
from recipe_tools.judgement.mash import lactate_mg
from recipe_tools.reference import Agent, table

LACTIC = "lactic_acid"


@cache
def _limits() -> dict[str, float]:
    return {row["agent_family"]: float(row["limit_mg_l"]) for row in table("acid_tastes")}


def acid_of(agent: Agent) -> str:
    """Return the family of the acid an agent is; acidulated malt brings lactic acid."""
    return LACTIC if agent.kind == "malt" else agent.family or agent.id


def taste_limit(acid: str, goal: Aims) -> float | None:
    """Return mg of what an acid leaves that a litre of beer may hold; None where none is known.

    A sour beer has none.
    """
    if goal.lactate_mg_l is None:
        return None
    return goal.lactate_mg_l if acid == LACTIC else _limits().get(acid)


def tasted_mg(stock: Stock) -> float:
    """Return milligrams of what an acid leaves, in a step of a stock."""
    return stock.acid_mmol * left_behind(acid_of(stock.agent))[1]


def beer_litres(day: BrewDay) -> float:
    """Return the litres of beer; all water where the recipe does not say."""
    return day.recipe.batch_l or all_litres(day)


def present_mg(day: BrewDay, acid: str, sparge: ProposedDose | None = None) -> float:
    """Return milligrams the recipe itself leaves of an acid, and an acid settled for the sparge."""
    if acid == LACTIC:
        settled = lactate_mg(day)
    else:
        settled = sum(
            item.acid_mmol.best * left_behind(acid)[1]
            for item in day.doses
            if item.agent is not None and acid_of(item.agent) == acid and item.stage != "package"
        )
    if sparge is not None and acid_of(sparge.stock.agent) == acid:
        settled += sparge.steps * tasted_mg(sparge.stock)
    return settled
