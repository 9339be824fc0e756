"""The smallest change that would make a plan possible: pure water, another salt, an acid."""

from __future__ import annotations

from collections.abc import Sequence

from recipe_tools.brewday import BrewDay
from recipe_tools.config import ShelfItem
from recipe_tools.dosing.limits import Aims
from recipe_tools.dosing.records import Request, Stock
from recipe_tools.dosing.shelf import stock

_WORTH_BUYING = (
    ShelfItem("gypsum"),
    ShelfItem("calcium_chloride_dihydrate"),
    ShelfItem("table_salt"),
    ShelfItem("epsom_salt"),
    ShelfItem("magnesium_chloride_hexahydrate"),
    ShelfItem("baking_soda"),
    ShelfItem("slaked_lime"),
    ShelfItem("lactic_acid", strength_percent=80.0),
    ShelfItem("phosphoric_acid", strength_percent=10.0),
)
_MET = 1e-4


def smallest_changes(
    day: BrewDay, shelf: Sequence[Stock], goal: Aims, request: Request, dilution: bool
) -> tuple[str, ...]:
    """Return changes that would each make a plan possible, the smallest of each kind."""
    from recipe_tools.dosing.propose import best_plan

    said = []
    present = {item.agent.family or item.agent.id for item in shelf}
    for item in _WORTH_BUYING:
        extra = stock(item)
        if extra is None or (extra.agent.family or extra.agent.id) in present:
            continue
        found = best_plan(day, (*shelf, extra), goal, request, dilution)
        if found is not None and found.missed <= _MET:
            said.append(f"with {extra.name[:1].lower()}{extra.name[1:]} on the shelf a plan exists")
            break
    if not dilution:
        found = best_plan(day, shelf, goal, request, dilution=True)
        if found is not None and found.missed <= _MET and found.dilution is not None:
            share = 100.0 * found.dilution.share
            said.append(f"with {share:.0f} % of reverse-osmosis water a plan exists")
    return tuple(said)
