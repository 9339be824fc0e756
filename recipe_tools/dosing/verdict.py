"""What a brew day leaves outside its ranges, judged as a check judges it, on the best values."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from recipe_tools.brewday import BrewDay
from recipe_tools.brewday.records import LEAST_CHLORIDE_MG_L
from recipe_tools.chemistry.estimate import bests
from recipe_tools.chemistry.ions import CACO3_MG_MEQ, dissolved_solids_mg_l
from recipe_tools.dosing.limits import HALF_A_MILLIGRAM, RATIO_SLACK, Aims, let_pass
from recipe_tools.dosing.records import Unmet
from recipe_tools.dosing.setting import all_litres
from recipe_tools.dosing.sparge import keeps_too_much
from recipe_tools.judgement.alkalinity import residual_meq_l
from recipe_tools.judgement.ions import brought_mg
from recipe_tools.judgement.mash import MARGIN_PH

_MG_L = "mg/L"
_NOISE = 1e-3
RESIDUAL = "residual alkalinity"
SPARGE = "sparge alkalinity"
SOLIDS = "dissolved solids"
RATIO = "sulfate to chloride"
MASH_PH = "mash pH"
STATED_PH = "stated mash pH"


def unmet(day: BrewDay, goal: Aims, stated: tuple[float, float] | None = None) -> tuple[Unmet, ...]:
    """Return what a brew day leaves outside; empty where a check would have nothing to say.

    stated: range about the mash pH the recipe states, or None.
    """
    return (*_ions(day, goal), *_mash(day, goal, stated), *_sparge(day, goal))


def _ions(day: BrewDay, goal: Aims) -> Iterator[Unmet]:
    liquor = day.liquor
    if liquor is None:
        return
    levels = bests(liquor.ions_mg_l)
    if "potassium" not in levels:
        levels["potassium"] = brought_mg(day, "potassium").best / all_litres(day)
    for ion, limit in goal.hard.items():
        level = levels.get(ion)
        if level is not None and level > let_pass(limit) + _NOISE:
            yield Unmet(ion, level, None, limit, _MG_L, hard=True)
    for ion, (low, high) in goal.accepted.items():
        level = levels.get(ion)
        if level is None:
            continue
        if (low is not None and level < low - _NOISE) or (
            high is not None and level > high + _NOISE
        ):
            yield Unmet(ion, level, *goal.wanted[ion], _MG_L)
    yield from _calcium(day, goal, levels.get("calcium"))
    yield from _together(day, goal, levels)
    yield from _ratio(goal, levels.get("sulfate"), levels.get("chloride"))
    for ion, limit in goal.traces.items():
        source = day.source.mg_l(ion)
        level = source + brought_mg(day, ion).best / all_litres(day)
        if level > let_pass(limit) * (1.0 + _NOISE):
            yield Unmet(ion, level, None, limit, _MG_L)


def _calcium(day: BrewDay, goal: Aims, whole: float | None) -> Iterator[Unmet]:
    mashed = day.mash.ions_mg_l.get("calcium") if day.mash is not None else None
    least = goal.calcium_mg_l
    if least is None or whole is None:
        return
    richer = max(whole, mashed.best if mashed is not None else 0.0)
    low, _ = goal.accepted.get("calcium", (None, None))
    spoken = richer < least - HALF_A_MILLIGRAM - _NOISE
    if spoken and (low is None or whole >= low - _NOISE):
        yield Unmet("calcium", richer, least, None, _MG_L)


def _together(day: BrewDay, goal: Aims, levels: dict[str, float]) -> Iterator[Unmet]:
    liquor = day.liquor
    chloride, sulfate = levels.get("chloride", 0.0), levels.get("sulfate", 0.0)
    both = goal.both_anions_mg_l
    if min(chloride, sulfate) > both + _NOISE:
        yield Unmet("chloride and sulfate", min(chloride, sulfate), None, both, _MG_L, hard=True)
    beside, sodium = goal.sodium_beside_sulfate, levels.get("sodium", 0.0)
    if (
        beside is not None
        and sodium > let_pass(beside[0]) + _NOISE
        and sulfate > let_pass(beside[1]) + _NOISE
    ):
        yield Unmet("sodium and sulfate", sodium, None, beside[0], _MG_L, hard=True)
    if liquor is None or liquor.alkalinity_meq_l is None:
        return
    stated = bests(liquor.ions_mg_l)
    solids = dissolved_solids_mg_l(stated, liquor.alkalinity_meq_l.best)
    if solids > goal.solids_mg_l + 1.0:
        yield Unmet(SOLIDS, solids, None, goal.solids_mg_l, _MG_L, hard=True)


def _ratio(goal: Aims, sulfate: float | None, chloride: float | None) -> Iterator[Unmet]:
    if goal.ratio is None or sulfate is None or chloride is None:
        return
    if chloride < LEAST_CHLORIDE_MG_L or max(sulfate, chloride) < goal.ratio_from_mg_l:
        return
    ratio = sulfate / chloride
    low, high = goal.ratio
    slack = RATIO_SLACK + _NOISE
    if (low is not None and ratio < low - slack) or (high is not None and ratio > high + slack):
        yield Unmet(RATIO, ratio, low, high, "by mass")


def _mash(day: BrewDay, goal: Aims, stated: tuple[float, float] | None) -> Iterator[Unmet]:
    ceiling, left = goal.residual_meq_l, residual_meq_l(day)
    over = goal.residual_slack_meq_l + _NOISE
    if ceiling is not None and left is not None and left.best > ceiling + over:
        as_caco3 = left.best * CACO3_MG_MEQ
        yield Unmet(RESIDUAL, as_caco3, None, ceiling * CACO3_MG_MEQ, "mg/L as CaCO3")
    prediction = day.prediction
    if prediction is None:
        return
    low, high = goal.ph
    if not low - _NOISE <= prediction.ph <= high + _NOISE:
        yield Unmet(MASH_PH, prediction.ph, low, high, "pH", hard=True)
    if stated is not None and not stated[0] - MARGIN_PH <= prediction.ph <= stated[1] + MARGIN_PH:
        yield Unmet(STATED_PH, prediction.ph, *stated, "pH")


def _sparge(day: BrewDay, goal: Aims) -> Iterator[Unmet]:
    sparge = day.sparge
    if sparge is None or sparge.alkalinity_meq_l is None or sparge.after_acid is None:
        return
    left = sparge.after_acid.alkalinity_meq_l
    if keeps_too_much(left, goal.sparge_meq_l):
        limit = goal.sparge_meq_l * CACO3_MG_MEQ
        yield Unmet(SPARGE, left * CACO3_MG_MEQ, None, limit, "mg/L as CaCO3")


def missed(items: Iterable[Unmet]) -> float:
    """Return by how much ranges are missed in all, each as a share of the bound it misses."""
    total = 0.0
    for item in items:
        above = item.high is not None and item.value > item.high
        bound = (item.high if above else item.low) or 0.0
        total += abs(item.value - bound) / max(1.0, abs(bound))
    return total


def robust(day: BrewDay, goal: Aims) -> bool:
    """Tell whether the whole band of the mash pH lies inside the window."""
    found = day.prediction
    return found is None or (found.low >= goal.window[0] and found.high <= goal.window[1])
