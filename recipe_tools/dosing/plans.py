"""The best plan for a brew day: with as little pure water as possible, sparge acid first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from recipe_tools.brewday import BrewDay
from recipe_tools.dosing.columns import acids_in_use, is_speck
from recipe_tools.dosing.limits import Aims
from recipe_tools.dosing.model import build
from recipe_tools.dosing.program import Program
from recipe_tools.dosing.records import ProposedDose, Split, Stock
from recipe_tools.dosing.search import (
    NEAR_PH,
    Found,
    Met,
    least_broken,
    least_missing_share,
    search_complete,
    search_nearest,
    smallest_share,
)
from recipe_tools.dosing.setting import SHARE_STEP, SHARE_STEPS, Setting
from recipe_tools.dosing.sparge import (
    TARGETS_PH,
    keeps_too_much,
    sparge_acid,
    sparge_left,
)

_NEAR_ENOUGH = 1e-4
_WORTH_ANOTHER_PH = 0.01
"""For which less acid, or another, goes into the sparge (derived_default)."""


_ALLOWED = ((1, False), (2, False), (1, True), (2, True))
"""How many acids, and whether beyond the measured range of the model, in the order of trying."""


@dataclass(frozen=True, slots=True)
class Task:
    """What is to be planned: the brew day without the doses sought, and what may be used.

    acids, beyond_model: see `Setting`.
    """

    day: BrewDay
    shelf: Sequence[Stock]
    aims: Aims
    target_ph: float
    split: Split
    ph: tuple[float, float]
    dilution: bool
    acids: int = 1
    beyond_model: bool = False


@dataclass(frozen=True, slots=True)
class Best:
    """A plan that has been found. share: of pure water in what is not pure yet.

    task: with what had to be allowed for it. off_ph: how far the mash is off its target.
    """

    doses: tuple[ProposedDose, ...]
    share: float
    met: Met
    missed: float
    task: Task
    off_ph: float = 0.0

    @property
    def is_near(self) -> bool:
        """True where the mash comes to its target."""
        return self.off_ph <= NEAR_PH + _NEAR_ENOUGH

    def better_than(self, other: Best | None) -> bool:
        """Tell whether this plan meets the ranges better than another."""
        if other is None:
            return True
        if (self.met == "missed") != (other.met == "missed"):
            return self.met != "missed"
        return self.met == "missed" and self.missed < other.missed - _NEAR_ENOUGH


def best_plan(task: Task, *, complete: bool = False) -> Best | None:
    """Return the plan with the smallest share of pure water that meets all ranges.

    Of these one that brings the mash to its target, where pure water can. First with one acid and
    within what the model of the mash pH was measured on, then without either of the two. Where none
    meets them all: the one that misses them least. None where no plan is safe.
    complete: only a plan that meets every range counts.
    """
    best: Best | None = None
    for acids, beyond_model in _ALLOWED:
        if acids > 1 and sum(stock.is_acid for stock in task.shelf) < acids:
            continue
        found = _best_within(replace(task, acids=acids, beyond_model=beyond_model), complete)
        if found is not None and found.met != "missed":
            return found
        best = best or found
    return best


def _best_within(task: Task, complete: bool) -> Best | None:
    best = plan_at(task, 0.0, complete=complete)
    if not task.dilution:
        return best
    program = share_program(task)
    if best is None or best.met == "missed":
        thinned = next(_complete(task, smallest_share(program)), None)
        if thinned is None and complete:
            return None
        if thinned is None:
            steps = least_missing_share(program)
            thinned = plan_at(task, SHARE_STEP * steps) if steps else None
            return thinned if thinned is not None and thinned.better_than(best) else best
        best = thinned
    if best.is_near:
        return best
    thinner = _complete(task, smallest_share(program, best.met, near=True))
    return next((found for found in thinner if found.is_near), best)


def _complete(task: Task, steps: int | None) -> Iterator[Best]:
    """Yield the plans that meet every range, from so many steps of pure water on."""
    for step in range(SHARE_STEPS + 1 if steps is None else max(1, steps), SHARE_STEPS + 1):
        found = plan_at(task, SHARE_STEP * step, complete=True)
        if found is not None:
            yield found


def nearest_unsafe(task: Task) -> Best | None:
    """Return the plan that breaks the hard constraints least, to say what stands in the way."""
    setting = setting_of(replace(task, acids=len(task.shelf), beyond_model=True), 0.0)
    program = build(setting if not task.dilution else replace(setting, share=None))
    values = least_broken(program)
    if values is None:
        return None
    share = 0.0 if program.share is None else SHARE_STEP * round(values[program.share])
    return Best(_doses(program, setting, values), share, "missed", 0.0, task)


def share_program(task: Task) -> Program:
    """Return the program that finds the share of pure water; sparge acid is left out of it."""
    bound = not any(stock.agent.kind == "acid" for stock in task.shelf)
    return build(replace(setting_of(task, 0.0), share=None, sparge_bound=bound))


def setting_of(task: Task, share: float) -> Setting:
    """Return the setting of a task with a share of pure water."""
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
    )


def with_sparge(task: Task, share: float, acid: ProposedDose | None) -> Setting:
    """Return the setting of a task with the acid of the sparge settled."""
    bound = keeps_too_much(sparge_left(task.day, share, acid), task.aims.sparge_meq_l)
    return replace(setting_of(task, share), sparge_acid=acid, sparge_bound=bound)


def plan_at(task: Task, share: float, *, complete: bool = False) -> Best | None:
    """Return the best plan with a fixed share of pure water, None where none is safe.

    complete: only a plan that meets every range counts.
    """
    tried: list[tuple[Program, Setting]] = []
    best: tuple[Found, Best] | None = None
    for acid in _sparge_acids(task, share):
        setting = with_sparge(task, share, acid)
        program = build(setting)
        found = search_complete(program)
        tried.append((program, setting))
        if found is None:
            continue
        if best is None or found.off_ph < best[0].off_ph - _WORTH_ANOTHER_PH:
            best = found, _best(task, program, setting, found, share)
        if best[1].is_near:
            break
    if best is not None:
        return best[1]
    for program, setting in () if complete else tried:
        found = search_nearest(program)
        if found is not None:
            return _best(task, program, setting, found, share)
    return None


def _best(task: Task, program: Program, setting: Setting, found: Found, share: float) -> Best:
    return Best(
        _doses(program, setting, found.values), share, found.met, found.missed, task, found.off_ph
    )


def _sparge_acids(task: Task, share: float) -> Iterator[ProposedDose | None]:
    """Yield what may go into the sparge: the most acid first, nothing at last."""
    known = acids_in_use(setting_of(task, share))
    acids = sorted(
        (
            stock
            for stock in task.shelf
            if stock.agent.kind == "acid" and (stock.name in known or len(known) < task.acids)
        ),
        key=lambda stock: stock.rank,
    )
    needed = False
    too_much = keeps_too_much(sparge_left(task.day, share, None), task.aims.sparge_meq_l)
    for to_ph in TARGETS_PH:
        for stock in acids:
            dose = sparge_acid(task.day, stock, share, to_ph)
            if dose is None:
                continue
            if too_much or not is_speck(task.day, dose):
                needed = True
                yield dose
        if not needed:
            break
    yield None


def _doses(program: Program, setting: Setting, values: Sequence[float]) -> tuple[ProposedDose, ...]:
    doses = [
        ProposedDose(setting.stocks[place], stage, round(value))
        for (place, stage), column in program.doses.items()
        if (value := values[column]) > 0.5
    ]
    if setting.sparge_acid is not None:
        doses.append(setting.sparge_acid)
    return tuple(doses)
