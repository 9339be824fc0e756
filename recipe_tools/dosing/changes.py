"""The smallest change that would make a plan possible: pure water, another salt, an acid, boiling.

Each is proven by planning with it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from recipe_tools.brewday.treated import treated
from recipe_tools.chemistry.estimate import bests
from recipe_tools.config import ShelfItem
from recipe_tools.config.options import Treatment
from recipe_tools.dosing.columns import PLACE_COST, RANK_COST
from recipe_tools.dosing.model import build
from recipe_tools.dosing.plans import Task
from recipe_tools.dosing.program import PLENTY_MG_L, Program
from recipe_tools.dosing.records import Stock
from recipe_tools.dosing.search import NEAR_PH, Solver
from recipe_tools.dosing.setting import SHARE_STEP, Setting, all_litres
from recipe_tools.dosing.shelf import stock
from recipe_tools.dosing.sparge import keeps_too_much, sparge_alkalinity
from recipe_tools.dosing.words import TREATMENTS_SAID, treated_text

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
WORTH_TREATING_MEQ_L = 0.5
"""Alkalinity that boiling or lime has to take out to be spoken of (derived_default)."""
_WATER_COST = 1e-4
"""Of a twentieth of pure water: decides only between as many things to buy."""


@dataclass(frozen=True, slots=True)
class Change:
    """What may be changed to make a plan possible.

    bought: for the shelf. water: pure water is at hand. replace: the recipe's own doses are planned
    anew. treatment: of the water, beforehand.
    """

    bought: tuple[ShelfItem, ...] = ()
    water: bool = False
    replace: bool = False
    treatment: Treatment | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """A plan that meets every range, worked out with a change.

    share: of pure water. short: in words, what a brewer would still mind; empty where nothing.
    """

    share: float
    short: str


Attempt = Callable[[Change], Outcome | None]
"""Plans with a change, as if the brewer had made it; None where that gives no plan."""


def smallest_changes(task: Task, replaced: Task | None, attempt: Attempt) -> tuple[str, ...]:
    """Return changes that each make a plan possible, in words, the handiest first.

    Where any leads to the target as well, only those. The recipe's own doses planned anew with
    something else beside it comes last. replaced: the task as it would be then, or None.
    """
    found = [*_treatments(task, attempt), *_changes(task, attempt)]
    if replaced is not None:
        if anew := attempt(Change(replace=True)):
            found.insert(0, (f"planned anew {_OWN_LEFT_OUT}", anew))
        if not any(_is_whole(item) for _, item in found):
            found += [
                (f"planned anew {_OWN_LEFT_OUT} and {words}", item)
                for words, item in _changes(replaced, attempt, anew=True)
            ]
    whole = [pair for pair in found if _is_whole(pair[1])]
    return tuple(
        f"{words} a plan exists{f' ({item.short})' if item.short else ''}"
        for words, item in whole or found
    )


def none_exists(*tasks: Task) -> bool:
    """Tell whether it is proven that nothing bought and no pure water makes a plan.

    Looked at without what only makes it harder: any acids together, beyond the measured range.
    """
    return all(
        _bought(
            replace(task, dilution=True, acids=len(_WORTH_BUYING), beyond_model=True),
            _extras(task),
            near=False,
        )
        is None
        for task in tasks
    )


_OWN_LEFT_OUT = "without the recipe's own additions (--replace)"


def _is_whole(outcome: Outcome | None) -> bool:
    return outcome is not None and not outcome.short


def _treatments(task: Task, attempt: Attempt) -> Iterator[tuple[str, Outcome]]:
    """Yield boiling and lime beforehand, where they take out enough."""
    source = task.day.source
    for how, words in TREATMENTS_SAID.items() if source.treated is None else ():
        left = treated(how, source.ions_mg_l, source.alkalinity_meq_l, source.ph.best)
        if left.alkalinity_taken_meq_l < WORTH_TREATING_MEQ_L:
            continue
        if found := attempt(Change(treatment=how)):
            yield treated_text(words, source.alkalinity_meq_l.best, left, how), found


def _changes(task: Task, attempt: Attempt, *, anew: bool = False) -> Iterator[tuple[str, Outcome]]:
    bought = _first_that_helps(task, attempt, Change(replace=anew))
    if bought is not None:
        yield f"with {_listed(bought[0])} on the shelf", bought[1]
    if not _thins(task) or task.dilution:
        return
    found = attempt(Change(water=True, replace=anew))
    if found is not None and found.share > 0:
        yield f"with {_percent(found.share)} of reverse-osmosis water", found
    if _is_whole(found) or (bought is not None and _is_whole(bought[1])):
        return
    thinner = replace(task, dilution=True)
    bought = _first_that_helps(thinner, attempt, Change(water=True, replace=anew))
    if bought is not None and (_is_whole(bought[1]) or found is None):
        yield (
            f"with {_percent(bought[1].share)} of reverse-osmosis water and {_listed(bought[0])} "
            "on the shelf",
            bought[1],
        )


def _first_that_helps(
    task: Task, attempt: Attempt, change: Change
) -> tuple[tuple[Stock, ...], Outcome] | None:
    """Return the first things to buy with which a plan comes to its target, else makes one."""
    extras = _extras(task)
    near = _bought(task, extras, near=True)
    first: tuple[tuple[Stock, ...], Outcome] | None = None
    tried = set()
    for places in (near, _bought(task, extras, near=False), *((n,) for n in range(len(extras)))):
        if not places or places in tried:
            continue
        tried.add(places)
        items = tuple(extras[place] for place in places)
        found = attempt(replace(change, bought=tuple(item for item, _ in items)))
        if found is None:
            continue
        first = first or (tuple(made for _, made in items), found)
        if _is_whole(found) or not near:
            return tuple(made for _, made in items), found
    return first


def _extras(task: Task) -> list[tuple[ShelfItem, Stock]]:
    """Return what could be bought, but for what stands on the shelf already."""
    present = {item.agent.family or item.agent.id for item in task.shelf}
    litres = all_litres(task.day)
    return [
        (item, made)
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
        acids=task.acids,
        beyond_model=task.beyond_model,
        sparge_bound=not acids and keeps_too_much(left, task.aims.sparge_meq_l),
    )


def _bought(
    task: Task, extras: Sequence[tuple[ShelfItem, Stock]], *, near: bool
) -> tuple[int, ...] | None:
    """Return the places of the fewest things to buy with which a plan exists, None where none does.

    near: a plan that comes to its target.
    """
    shelf = (*task.shelf, *(made for _, made in extras))
    setting = _plain(replace(task, shelf=shelf), share=None if task.dilution else 0.0)
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
    within = (program.off_ph, NEAR_PH) if near else None
    answer = Solver(program, "accepted").best(cost, within)
    if answer is None:
        return None
    return tuple(
        place - len(task.shelf) for place, column in bought.items() if answer.values[column] > 0.5
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
