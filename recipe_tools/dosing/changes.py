"""The smallest change that would make a plan possible: pure water, another salt, an acid.

Each is proven by planning with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from recipe_tools.chemistry.estimate import bests
from recipe_tools.config import ShelfItem
from recipe_tools.dosing.columns import PLACE_COST, RANK_COST
from recipe_tools.dosing.model import build
from recipe_tools.dosing.plans import Best, Task, best_plan
from recipe_tools.dosing.program import PLENTY_MG_L, Program
from recipe_tools.dosing.records import Stock
from recipe_tools.dosing.search import Solver
from recipe_tools.dosing.setting import SHARE_STEP, Setting, all_litres
from recipe_tools.dosing.shelf import stock
from recipe_tools.dosing.sparge import keeps_too_much, sparge_alkalinity

_WORTH_BUYING = (
    ShelfItem("gypsum"),
    ShelfItem("calcium_chloride_dihydrate"),
    ShelfItem("lactic_acid", strength_percent=80.0),
    ShelfItem("phosphoric_acid", strength_percent=10.0),
    ShelfItem("baking_soda"),
    ShelfItem("table_salt"),
    ShelfItem("slaked_lime"),
    ShelfItem("epsom_salt"),
    ShelfItem("magnesium_chloride_hexahydrate"),
)
_WATER_COST = 1e-4
"""Of a twentieth of pure water: decides only between as many things to buy."""


def smallest_changes(task: Task, replaced: Task | None) -> tuple[str, ...]:
    """Return changes that would each make a plan possible, in words, the handiest first.

    replaced: the task as it would be with the recipe's own doses planned anew, or None.
    """
    return tuple(_changes(task, replaced))


def _changes(task: Task, replaced: Task | None) -> Iterator[str]:
    if replaced is not None and _complete(replaced):
        yield "planned anew without the recipe's own additions (--replace) a plan exists"
    bought = _first_that_helps(task, (_to_buy(task), *_singles(task)))
    if bought:
        yield f"with {_listed(bought)} on the shelf a plan exists"
    thinner = replace(task, dilution=True)
    if not _thins(task):
        return
    if not task.dilution:
        found = _complete(thinner)
        if found is not None and found.share > 0:
            yield f"with {_percent(found.share)} of reverse-osmosis water a plan exists"
            return
    if bought:
        return
    bought = _first_that_helps(thinner, (_to_buy_with_water(thinner), *_singles(task)))
    found = _complete(replace(thinner, shelf=(*task.shelf, *bought))) if bought else None
    if found is not None:
        yield (
            f"with {_percent(found.share)} of reverse-osmosis water and {_listed(bought)} on the "
            "shelf a plan exists"
        )


def _complete(task: Task) -> Best | None:
    """Return the plan of a task that meets every range, None where there is none."""
    found = best_plan(task)
    return found if found is not None and found.met != "missed" else None


def _first_that_helps(task: Task, choices: Iterable[tuple[Stock, ...]]) -> tuple[Stock, ...]:
    """Return the first things with which a plan is found; empty where none helps."""
    for bought in choices:
        if bought and _complete(replace(task, shelf=(*task.shelf, *bought))) is not None:
            return bought
    return ()


def _singles(task: Task) -> tuple[tuple[Stock, ...], ...]:
    return tuple((item,) for item in _extras(task))


def _extras(task: Task) -> list[Stock]:
    """Return what could be bought, but for what stands on the shelf already."""
    present = {item.agent.family or item.agent.id for item in task.shelf}
    litres = all_litres(task.day)
    return [
        made
        for item in _WORTH_BUYING
        if (made := stock(item, litres)) is not None
        and (made.agent.family or made.agent.id) not in present
    ]


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %"


def _thins(task: Task) -> bool:
    source = task.day.source
    return source.alkalinity_meq_l.best > 0 or any(bests(source.ions_mg_l).values())


def _listed(stocks: Sequence[Stock]) -> str:
    names = [item.name[:1].lower() + item.name[1:] for item in stocks]
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} and {names[-1]}"


def _plain(task: Task, share: float | None) -> Setting:
    acids = any(item.agent.kind == "acid" for item in task.shelf)
    left = sparge_alkalinity(task.day, 0.0)
    return Setting(
        day=task.day,
        stocks=task.shelf,
        aims=task.aims,
        target_ph=task.target_ph,
        split=task.split,
        ph=task.ph,
        share=share,
        sparge_bound=not acids and keeps_too_much(left, task.aims.sparge_meq_l),
    )


def _to_buy(task: Task) -> tuple[Stock, ...]:
    """Return the fewest things to buy with which a plan exists; empty where none helps."""
    return _bought(task, share=None if task.dilution else 0.0)


def _to_buy_with_water(task: Task) -> tuple[Stock, ...]:
    return _bought(task, share=None)


def _bought(task: Task, share: float | None) -> tuple[Stock, ...]:
    extras = _extras(task)
    if not extras:
        return ()
    setting = _plain(replace(task, shelf=(*task.shelf, *extras)), share)
    program = build(setting)
    bought = {
        place: program.add(1.0, whole=True) for place in range(len(task.shelf), len(setting.stocks))
    }
    for place, column in bought.items():
        if place in program.used:
            program.require("bought", {column: 1.0, program.used[place]: -1.0}, low=0.0)
    _acid_for_the_sparge(program, setting, bought)
    cost = {
        column: 1.0 + RANK_COST * setting.stocks[place].rank + PLACE_COST * place
        for place, column in bought.items()
    }
    if program.share is not None:
        cost[program.share] = _WATER_COST
    answer = Solver(program, "accepted").best(cost)
    if answer is None:
        return ()
    return tuple(
        setting.stocks[place] for place, column in bought.items() if answer.values[column] > 0.5
    )


def _acid_for_the_sparge(program: Program, setting: Setting, bought: dict[int, int]) -> None:
    """Require an acid, or pure water enough, where the sparge water is too alkaline as it is."""
    day, limit = setting.day, setting.aims.sparge_meq_l
    alkalinity = sparge_alkalinity(day, 0.0)
    known = len(setting.stocks) - len(bought)
    if any(item.agent.kind == "acid" for item in setting.stocks[:known]):
        return
    if not keeps_too_much(alkalinity, limit):
        return
    row = {
        column: PLENTY_MG_L
        for place, column in bought.items()
        if setting.stocks[place].agent.kind == "acid"
    }
    if program.share is not None:
        row[program.share] = SHARE_STEP * day.source.alkalinity_meq_l.best
    program.require("acid for the sparge", row, low=alkalinity - limit)
