"""The ranges a plan aims at and the limits it never passes: those by which a check judges it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.chemistry.mash_balance import LOWEST_PH
from recipe_tools.config import Options
from recipe_tools.reference import city_waters, ion_range

Range = tuple[float | None, float | None]

HALF_A_MILLIGRAM = 0.499
"""Over a limit by less is not over it: a check allows half the last digit of a water report."""
TRACE_SHARE = 1.0199
"""A trace counts as over its limit from 2 % above it."""
RATIO_SLACK = 0.0499
"""A ratio counts as outside from 0.05 beside its range."""
EDGE_SLACK_PH = 1e-4
"""Kept from where the check begins to speak of a near edge."""

_BOTH_SIDES = ("calcium", "chloride", "sulfate")
_ONLY_ABOVE = ("magnesium", "sodium")
_TRACES = ("nitrate", "nitrite", "iron", "manganese", "copper", "zinc")


@cache
def thresholds() -> Mapping[str, tuple[str, str, float]]:
    """Return the thresholds of the checks a plan is measured by: name -> (rule, option, default).

    The numbers of the table of brewing ranges are read from it; the others are those the rules
    declare, which a test compares.
    """
    found: dict[str, tuple[str, str, float]] = {
        "ph_low": ("mash-ph/below-range", "low", 5.2),
        "ph_high": ("mash-ph/above-range", "high", 5.6),
        "edge_low": ("mash-ph/near-edge", "low", 5.2),
        "edge_high": ("mash-ph/near-edge", "high", 5.6),
        "edge_within": ("mash-ph/near-edge", "within", 0.05),
        "stated_ph": ("mash-ph/stated-target-differs", "tolerance", 0.1),
        "lactate": ("mash-ph/lactate-taste", "lactate_above", 400.0),
        "acidulated_percent": ("mash-ph/acidulated-share-high", "share_above", 10.0),
        "sodium_beside": ("ions/sodium-with-sulfate", "sodium_above", _sodium_beside()[0]),
        "sulfate_beside": ("ions/sodium-with-sulfate", "sulfate_above", _sodium_beside()[1]),
        "solids": ("ions/total-minerals-high", "solids_above", 1000.0),
        "both_anions": ("ions/total-minerals-high", "both_above", 150.0),
        "style_percent": ("ions/outside-style", "tolerance", 5.0),
        "ratio_from": ("ions/ratio-against-style", "judged_from", 25.0),
        "ratio_sure_from": ("ions/ratio-against-style", "full_weight_from", 50.0),
        "ratio_below": ("ions/ratio-against-style", "both_below", 150.0),
        "residual_caco3": ("ions/residual-alkalinity-against-style", "tolerance", 9.0),
        "calcium_low": ("ions/calcium-low", "low", ion_range("calcium").low or 0.0),
        "calcium_soft": ("ions/calcium-low", "soft_low", _softest_calcium()),
        "potassium": ("ions/potassium-high", "warn_above", ion_range("potassium").high or 0.0),
        "sulfate_note": ("ions/sulfate-high", "note_above", ion_range("sulfate").note_above or 0.0),
        "sparge_caco3": ("sparge/alkalinity-high", "note_above", ion_range("alkalinity").high or 0),
    }
    for ion in ("calcium", "magnesium", "sodium", "chloride", "sulfate", *_TRACES):
        known = ion_range(ion)
        if known.warn_above is not None:
            found[f"{ion}_warn"] = (f"ions/{ion}-high", "warn_above", known.warn_above)
    chloride = ion_range("chloride").error_above or 0.0
    found["chloride_error"] = ("ions/chloride-high", "error_above", chloride)
    return MappingProxyType(found)


def _sodium_beside() -> tuple[float, float]:
    known = ion_range("sodium")
    return known.warn_above_with or 0.0, float(known.with_ion.partition(":")[2] or 0.0)


def _softest_calcium() -> float:
    return min(city.ions_mg_l["calcium"] for city in city_waters() if city.city == "Plzeň")


class Thresholds:
    """The thresholds with what a configuration puts in their place."""

    __slots__ = ("_rules",)

    def __init__(self, options: Options) -> None:
        self._rules = options.rules

    def __getitem__(self, name: str) -> float:
        """Return a threshold. Raises KeyError for an unknown name."""
        rule, option, default = thresholds()[name]
        settings = self._rules.get(rule) if self._rules else None
        value = None if settings is None else settings.options.get(option)
        return default if value is None else float(value)


@dataclass(frozen=True, slots=True)
class Aims:
    """What a plan is measured by, mg/L of all water together unless said otherwise.

    wanted: ranges to be met, by ion. accepted: the same with what a check lets pass. calcium_mg_l:
    least calcium of the mash water, whatever the style, or None. hard: ceilings never passed.
    traces: ceilings of what only pure water thins out. ratio: sulfate to chloride by mass, or None;
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

    Too little sodium or magnesium is no fault, so only their upper ends count. leave_sour: whether
    the mash of a soured beer may stay below the window.
    """
    known = Thresholds(options)
    judged, mashed = day.recipe.is_beer, day.is_mashed
    exempt = day.family.exempt if day.family is not None else frozenset[str]()
    targets = day.targets
    ranges = {} if targets is None else {i: r for i, r in targets.ranges.items() if i not in exempt}
    stated = day.source.ions_mg_l
    wanted = _wanted(ranges, known["calcium_low"], stated) if judged else {}
    share = known["style_percent"] / 100.0
    residual = targets.residual_alkalinity_meq_l if targets is not None and mashed else None
    both = "sulfate" in stated and "chloride" in stated
    ratio = targets.sulfate_to_chloride if targets is not None and judged else None
    low_ph = known["ph_low"]
    ph = day.prediction.ph if day.prediction is not None else low_ph
    left_sour = leave_sour and bool(day.soured_by) and ph < low_ph
    within = known["edge_within"] + EDGE_SLACK_PH
    return Aims(
        wanted=wanted,
        accepted={ion: _accepted(ends, share) for ion, ends in wanted.items()},
        calcium_mg_l=_least_calcium(known, ranges) - HALF_A_MILLIGRAM
        if judged and "calcium" in stated
        else None,
        hard=_hard(known, ranges, exempt),
        traces={
            ion: limit + HALF_A_MILLIGRAM if limit >= 10.0 else limit * TRACE_SHARE
            for ion in _TRACES
            for limit in (known[f"{ion}_warn"],)
        },
        ratio=ratio if both and "chloride" not in exempt else None,
        ratio_from_mg_l=max(known["ratio_from"], known["ratio_sure_from"]),
        residual_meq_l=None if residual is None else residual[1],
        residual_slack_meq_l=known["residual_caco3"] / CACO3_MG_MEQ,
        both_anions_mg_l=known["both_anions"],
        sodium_beside_sulfate=(
            None
            if "sodium" in exempt
            else (
                known["sodium_beside"] + HALF_A_MILLIGRAM,
                known["sulfate_beside"] + HALF_A_MILLIGRAM,
            )
        ),
        solids_mg_l=known["solids"],
        ph=(
            LOWEST_PH if left_sour else max(low_ph, known["edge_low"] + within),
            min(known["ph_high"], known["edge_high"] - within),
        ),
        window=(LOWEST_PH if left_sour else low_ph, known["ph_high"]),
        lactate_mg_l=None if day.soured_by else known["lactate"],
        acidulated_share=1.0 if day.soured_by else known["acidulated_percent"] / 100.0,
        sparge_meq_l=known["sparge_caco3"] / CACO3_MG_MEQ,
        left_sour=left_sour,
    )


def trace_limit(ceiling: float) -> float:
    """Return the limit of a trace from its ceiling, without what a check lets pass."""
    return ceiling - HALF_A_MILLIGRAM if ceiling >= 10.0 else ceiling / TRACE_SHARE


def _wanted(
    ranges: Mapping[str, Range], calcium_low: float, stated: Mapping[str, float]
) -> dict[str, Range]:
    """Return the ranges to be met; of an ion nobody states too little cannot be told."""
    wanted: dict[str, Range] = {ion: ranges[ion] for ion in _BOTH_SIDES if ion in ranges}
    for ion in _ONLY_ABOVE:
        if ion in ranges:
            wanted[ion] = (None, ranges[ion][1])
    low, high = wanted.get("calcium", (None, None))
    wanted["calcium"] = (calcium_low if low is None else low, high)
    known = {ion: ends if ion in stated else (None, ends[1]) for ion, ends in wanted.items()}
    return {ion: ends for ion, ends in known.items() if ends != (None, None)}


def _least_calcium(known: Thresholds, ranges: Mapping[str, Range]) -> float:
    """Return the calcium below which a check speaks; the softest styles are let off."""
    own, _ = ranges.get("calcium", (None, None))
    low = known["calcium_low"] if own is None else min(known["calcium_low"], own)
    if own is not None and own <= (ion_range("calcium").soft_low or 0.0):
        low = min(low, known["calcium_soft"])
    return low


def _accepted(ends: Range, share: float) -> Range:
    low, high = ends
    return (
        None if low is None else low * (1.0 - share) - HALF_A_MILLIGRAM,
        None if high is None else high * (1.0 + share) + HALF_A_MILLIGRAM,
    )


def _hard(
    known: Thresholds, ranges: Mapping[str, Range], exempt: frozenset[str]
) -> dict[str, float]:
    """Return the levels above which a check speaks, whatever the style."""

    def own(ion: str) -> float:
        return ranges.get(ion, (None, None))[1] or 0.0

    hard = {
        "calcium": known["calcium_warn"],
        "magnesium": known["magnesium_warn"],
        "sulfate": min(max(known["sulfate_note"], own("sulfate")), known["sulfate_warn"]),
        "potassium": known["potassium"],
    }
    if "sodium" not in exempt:
        hard["sodium"] = known["sodium_warn"]
    if "chloride" not in exempt:
        level = max(known["chloride_warn"], own("chloride"))
        hard["chloride"] = min(level, known["chloride_error"])
    return {ion: level + HALF_A_MILLIGRAM for ion, level in hard.items()}
