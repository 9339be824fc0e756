"""The ranges a plan aims at and the limits it never passes: those by which a check judges it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.chemistry.mash_balance import LOWEST_PH
from recipe_tools.config import Options
from recipe_tools.dosing.records import TargetFrom
from recipe_tools.judgement import OPEN, Range
from recipe_tools.judgement.alkalinity import RESIDUAL, SPARGE
from recipe_tools.judgement.ions import (
    BY_STYLE,
    CALCIUM_LOW,
    ION_LIMITS,
    MARGIN_MG_L,
    OUTSIDE_STYLE,
    RATIO,
    RATIO_MARGIN,
    SODIUM_WITH_SULFATE,
    TOTAL_MINERALS,
    exempt,
    least_calcium,
    margin_of,
    ratio_range,
    style_range,
    widened,
)
from recipe_tools.judgement.mash import (
    ABOVE_RANGE,
    ACIDULATED_SHARE,
    BELOW_RANGE,
    LACTATE,
    NEAR_EDGE,
    stated_ph,
)
from recipe_tools.recipe import IONS

_WITHIN = 0.998
"""Part of the margin of a check that a plan uses: rounding must not take it over."""
DEFAULT_PH = 5.4
HALF_A_MILLIGRAM = _WITHIN * MARGIN_MG_L
RATIO_SLACK = _WITHIN * RATIO_MARGIN
EDGE_SLACK_PH = 1e-4
"""Kept from where the check begins to speak of a near edge."""


@dataclass(frozen=True, slots=True)
class Aims:
    """What a plan is measured by, mg/L of all water together unless said otherwise.

    wanted: ranges to be met, by ion. accepted: the same with what a check lets pass. calcium_mg_l:
    least calcium of the mash water, whatever the style, or None. hard: limits never passed.
    traces: limits of what only pure water thins out. ratio: sulfate to chloride by mass, or None;
    judged where one of the two reaches ratio_from_mg_l. residual_meq_l: ceiling for the mash water
    after its acid, or None, with what a check lets pass. ph: window without its edges. window: the
    whole of it. lactate_mg_l: per litre of beer, None where a sour beer is meant. sparge_meq_l:
    alkalinity the sparge water may keep. left_sour: the mash of a soured beer lies below the window
    on purpose; its pH is neither planned nor judged.
    """

    wanted: Mapping[str, Range]
    accepted: Mapping[str, Range]
    calcium_mg_l: float | None
    hard: Mapping[str, float]
    traces: Mapping[str, float]
    ratio: Range | None
    ratio_from_mg_l: float
    residual_meq_l: float | None
    residual_slack_meq_l: float
    both_anions_mg_l: float
    sodium_beside_sulfate: tuple[float, float] | None
    solids_mg_l: float
    ph: tuple[float, float]
    window: tuple[float, float]
    lactate_mg_l: float | None
    acidulated_share: float
    sparge_meq_l: float
    left_sour: bool = False


def aims(day: BrewDay, options: Options, *, leave_sour: bool = True) -> Aims:
    """Return what a plan for a brew day aims at: its own or its family's ranges, and safe limits.

    leave_sour: whether the mash of a soured beer may stay below the window.
    """
    judged, stated, targets = day.recipe.is_beer, day.source.ions_mg_l, day.targets
    calcium = CALCIUM_LOW.in_force(options)
    wanted = _wanted(day, calcium["low"]) if judged else {}
    tolerance = OUTSIDE_STYLE.in_force(options)["tolerance"]
    ceilings = _ceilings(day, options)
    residual = targets.residual_alkalinity_meq_l if targets is not None and day.is_mashed else None
    ratio, beside = RATIO.in_force(options), SODIUM_WITH_SULFATE.in_force(options)
    together = TOTAL_MINERALS.in_force(options)
    low_ph, high_ph = BELOW_RANGE.in_force(options)["low"], ABOVE_RANGE.in_force(options)["high"]
    ph = day.prediction.ph if day.prediction is not None else low_ph
    left_sour = leave_sour and bool(day.soured_by) and ph < low_ph
    edge = NEAR_EDGE.in_force(options)
    within = edge["within"] + EDGE_SLACK_PH
    return Aims(
        wanted=wanted,
        accepted={ion: _accepted(widened(ends, tolerance)) for ion, ends in wanted.items()},
        calcium_mg_l=least_calcium(day, calcium) if judged and "calcium" in stated else None,
        hard={ion: limit for ion, limit in ceilings.items() if ion in IONS},
        traces={ion: limit for ion, limit in ceilings.items() if ion not in IONS},
        ratio=ratio_range(day),
        ratio_from_mg_l=max(ratio["judged_from"], ratio["full_weight_from"]),
        residual_meq_l=None if residual is None else residual[1],
        residual_slack_meq_l=RESIDUAL.in_force(options)["tolerance"] / CACO3_MG_MEQ,
        both_anions_mg_l=together["both_above"],
        sodium_beside_sulfate=(
            None if exempt(day, "sodium") else (beside["sodium_above"], beside["sulfate_above"])
        ),
        solids_mg_l=together["solids_above"],
        ph=(
            LOWEST_PH if left_sour else max(low_ph, edge["low"] + within),
            min(high_ph, edge["high"] - within),
        ),
        window=(LOWEST_PH if left_sour else low_ph, high_ph),
        lactate_mg_l=None if day.soured_by else LACTATE.in_force(options)["lactate_above"],
        acidulated_share=(
            1.0 if day.soured_by else ACIDULATED_SHARE.in_force(options)["share_above"] / 100.0
        ),
        sparge_meq_l=SPARGE.in_force(options)["note_above"] / CACO3_MG_MEQ,
        left_sour=left_sour,
    )


def _wanted(day: BrewDay, least_calcium_mg_l: float) -> dict[str, Range]:
    """Return the ranges to be met; of an ion nobody states too little cannot be told."""
    wanted = {ion: style_range(day, ion) for ion in BY_STYLE}
    low, high = wanted["calcium"]
    wanted["calcium"] = (least_calcium_mg_l if low is None else low, high)
    stated = day.source.ions_mg_l
    known = {ion: ends if ion in stated else (None, ends[1]) for ion, ends in wanted.items()}
    return {ion: ends for ion, ends in known.items() if ends != OPEN}


def _accepted(ends: Range) -> Range:
    low, high = ends
    return (
        None if low is None else low - HALF_A_MILLIGRAM,
        None if high is None else high + HALF_A_MILLIGRAM,
    )


def _ceilings(day: BrewDay, options: Options) -> dict[str, float]:
    """Return the levels above which a check speaks, whatever the style."""
    steps = {
        ion: row.in_force(day, row.thresholds.in_force(options)) for ion, row in ION_LIMITS.items()
    }
    return {ion: min(limit for _, limit in found) for ion, found in steps.items() if found}


def let_pass(limit: float) -> float:
    """Return the level in mg/L up to which a check speaks of no excess over a limit."""
    return limit + _WITHIN * margin_of(limit)


def target_of(day: BrewDay, goal: Aims, asked_ph: float | None) -> tuple[float, TargetFrom]:
    """Return the pH to aim at: as asked, as the recipe states it within the window, else 5.4.

    The mash of a soured beer that lies below the window stays where it is.
    """
    if asked_ph is not None:
        return asked_ph, "asked"
    if goal.left_sour and day.prediction is not None:
        return day.prediction.ph, "soured"
    low, high = goal.ph
    stated = [item.ph for item in stated_ph(day.recipe) if low <= item.ph <= high]
    if stated:
        return 0.5 * (min(stated) + max(stated)), "recipe"
    return DEFAULT_PH, "default"
