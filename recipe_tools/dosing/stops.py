"""Which limit stops a plan short of its target, and what leads further: each tried by planning."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from recipe_tools.chemistry.acids import left_behind
from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.config import ShelfItem
from recipe_tools.dosing.mash_rows import taste_label
from recipe_tools.dosing.model import build
from recipe_tools.dosing.plans import Best, Task, best_plan, setting_of, with_sparge
from recipe_tools.dosing.program import Program
from recipe_tools.dosing.search import NEAR_PH, NO_CARE, Solver, least_missed
from recipe_tools.dosing.shelf import stock
from recipe_tools.dosing.tastes import acid_of, taste_limit

TOLERATED_PH = 0.006
"""The distance to the target is measured along the tangent."""
_FURTHER_PH = 0.01
_FARTHEST = (4.4, 6.4)
"""The buffers of malt were measured as far as this."""
_WINDOW = "mash pH"
_ONE_ACID = "one acid"
"""Said only where nothing else would bring the mash nearer: it is a choice, no limit."""
_SALTS = ("no more of a salt than is needed", "calcium for the pH", "a salt that is needed")
_LEADS_FURTHER = (
    ShelfItem("lactic_acid", strength_percent=80.0),
    ShelfItem("phosphoric_acid", strength_percent=10.0),
    ShelfItem("baking_soda"),
    ShelfItem("slaked_lime"),
)


def what_stops(task: Task, best: Best | None, ph: float) -> str:
    """Return in words what keeps a mash from its target.

    best: the plan, None where there is none at all; then the window itself is what is missed. ph:
    the nearest that was reached.
    """
    high = ph > task.target_ph
    if not any(item.is_acid if high else item.is_base for item in task.shelf):
        what = "acid is" if high else "base is"
        return f"no {what} on the shelf and salts are for ions: the mash stops"
    program = _program(task, best)
    if not any(_moves(task, place, high) for place, _ in program.doses):
        return f"the recipe's own {'base' if high else 'acid'} would only be undone: the mash stops"
    start = _off_ph(program, best, frozenset())
    labels = list(dict.fromkeys(row.label for row in program.rows if row.label not in _SALTS))
    spoken = {label: text for label in labels if (text := _words(task, label))}

    def further(group: Iterable[str]) -> float | None:
        off = _off_ph(program, best, frozenset(group))
        return off if off is not None and (start is None or off < start - _FURTHER_PH) else None

    alone = [
        (label == _ONE_ACID, off, label)
        for label in spoken
        if (off := further((label,))) is not None
    ]
    group = {min(alone)[2]} if alone else set(spoken)
    if further(group) is None:
        return "several limits together decide: the mash stops"
    for label in spoken if len(group) > 1 else ():
        if further(group - {label}) is not None:
            group.remove(label)
    return f"{' and '.join(spoken[label] for label in spoken if label in group)}: the mash stops"


def what_leads_further(task: Task, best: Best, high: bool) -> tuple[str, ...]:
    """Return what would bring a mash to its target and meet as much, in words.

    high: whether the mash lies above its target.
    """
    return tuple(_ways(task, best, high))


def _ways(task: Task, best: Best, high: bool) -> Iterator[str]:
    present = {acid_of(item.agent) for item in task.shelf}
    for item in _LEADS_FURTHER:
        made = stock(item)
        if made is None or acid_of(made.agent) in present or made.is_acid != high:
            continue
        if _arrives(best_plan(replace(task, shelf=(*task.shelf, made))), best):
            yield made.name[:1].lower() + made.name[1:]
    thinner = None if task.dilution else best_plan(replace(task, dilution=True))
    if thinner is not None and _arrives(thinner, best):
        yield f"{100.0 * thinner.share:.0f} % reverse-osmosis water"


def _arrives(found: Best | None, best: Best) -> bool:
    return (
        found is not None
        and found.off_ph <= NEAR_PH + TOLERATED_PH
        and (found.met != "missed" or best.met == "missed")
        and not best.better_than(found)
    )


def _moves(task: Task, place: int, high: bool) -> bool:
    item = task.shelf[place]
    return item.is_acid if high else item.is_base


def _program(task: Task, best: Best | None) -> Program:
    """Return the program of a plan; without one, that of the widest window."""
    if best is None:
        return build(setting_of(replace(task, ph=_FARTHEST, acids=1, beyond_model=True), 0.0))
    acid = next(
        (item for item in best.doses if item.stage == "sparge" and item.stock.is_acid), None
    )
    return build(with_sparge(best.task, best.share, acid))


def _off_ph(program: Program, best: Best | None, without: frozenset[str]) -> float | None:
    """Return how near the target a plan comes without the rows of some labels."""
    kept = replace(program, rows=[row for row in program.rows if row.label not in without])
    if best is not None and best.met == "missed":
        solver, _ = least_missed(kept)
        solver.keep(kept.missed, best.missed + 1e-4)
    else:
        solver = Solver(kept, "missed" if best is None else best.met)
    careful = solver.best(kept.care)
    if careful is None:
        return None
    solver.keep(kept.care, careful.cost + NO_CARE)
    answer = solver.best(program.off_ph)
    return None if answer is None else answer.cost


def _words(task: Task, label: str) -> str:
    """Return in words where the rows of a label stop; empty for those that are no limit."""
    goal = task.aims
    for item in task.shelf:
        acid = acid_of(item.agent)
        limit = taste_limit(acid, goal) if item.is_acid else None
        if limit is not None and label == taste_label(acid):
            return (
                f"{acid.replace('_', ' ')} stops at its taste limit "
                f"({limit:.0f} mg/L of {left_behind(acid)[0]} in the beer)"
            )
    ends = goal.wanted.get(label, (None, None))
    high = ends[1] if ends[1] is not None else goal.hard.get(label)
    if high is not None:
        return f"{label} is wanted at {high:.0f} mg/L at most"
    if label == "residual alkalinity" and goal.residual_meq_l is not None:
        most = goal.residual_meq_l * CACO3_MG_MEQ
        return f"residual alkalinity is wanted at {most:.0f} mg/L as CaCO3 or less"
    if label == _WINDOW:
        low, high = task.ph
        return f"planned so that it will most likely read between {low:.2f} and {high:.2f}"
    return _OTHERS.get(label, "").format(goal=goal)


_OTHERS = {
    "dissolved solids": "dissolved solids stop at {goal.solids_mg_l:.0f} mg/L",
    "chloride and sulfate": "chloride and sulfate stop at {goal.both_anions_mg_l:.0f} mg/L each",
    "sodium and sulfate": "sodium stops at its limit beside much sulfate",
    "sulfate to chloride": "the sulfate to chloride ratio stops at the end of its range",
    _ONE_ACID: "one acid alone goes no further, and a second is not needed for a plan",
    "least useful dose": "what is missing is less than the least dose worth weighing",
    "measured range of the model": "beyond this the prediction of the pH is an extrapolation",
}
