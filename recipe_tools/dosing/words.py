"""Reasons, limits and remarks of a proposal in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from recipe_tools.brewday import BrewDay
from recipe_tools.brewday.chlorine import chlorine_left
from recipe_tools.brewday.treated import TreatedWater
from recipe_tools.config.options import Treatment
from recipe_tools.dosing.limits import Aims
from recipe_tools.dosing.records import Dechlorination, Unmet
from recipe_tools.dosing.verdict import MASH_PH, RATIO, RESIDUAL

_SHOWN_MG_L = 0.5
_SETTLED = frozenset({"calcium", "magnesium", "sodium", "chloride", "sulfate", RATIO, RESIDUAL})
"""Ranges that a configuration may widen."""
_TOLD = frozenset(
    {"alkalinity-not-stated", "water-ph-not-stated", "sparge-unknown", "nothing-mashed"}
)
_BEYOND_MODEL = "the prediction of the mash pH is an extrapolation"


def nothing_to_plan(day: BrewDay) -> str:
    """Return why no plan can be made at all; empty where one can."""
    if not day.source.known and day.listed_water:
        name = day.listed_water[0].name
        return (
            f"the brewing water is '{name}' and nothing says what is in it: copy the analysis from "
            "its label into a water report and name it with --water"
        )
    if not day.source.known:
        return "the source water is not known: name a water report with --water"
    if day.total is None and day.mash is None:
        return "the recipe states no volume of water"
    if day.is_mashed and day.not_predictable:
        return f"the mash pH cannot be predicted: {', '.join(day.not_predictable)}"
    return ""


def unmet_text(item: Unmet) -> str:
    """Return what a plan leaves outside, with the range."""
    digits = 2 if item.unit == "pH" else 1 if item.quantity == RATIO or item.value < 10 else 0
    unit = "" if item.unit == "pH" else f" {item.unit}"
    return f"{item.quantity} would be {item.value:.{digits}f}{unit}; wanted: {wanted_text(item)}"


def wanted_text(item: Unmet) -> str:
    """Return a range in words."""
    low = None if item.low is None else _figure(item.low)
    high = None if item.high is None else _figure(item.high)
    if low is not None and high is not None:
        return f"{low} to {high}"
    return f"at most {high}" if high is not None else f"at least {low}"


def _figure(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 100.0 else f"{value:.3g}"


def limit_text(item: Unmet, day: BrewDay) -> str:
    """Return why a hard constraint cannot be kept, with the nearest value in reach."""
    if item.quantity == MASH_PH:
        return (
            f"the mash cannot be brought into its window with what is on the shelf: pH "
            f"{item.value:.2f} is the nearest (wanted: {wanted_text(item)})"
        )
    text = f"{item.quantity} beyond the safe limit: {item.value:.0f}, {wanted_text(item)} mg/L"
    source = day.source.mg_l(item.quantity)
    if item.high is not None and source > item.high:
        text += f"; the source water alone brings {source:.0f}"
    return text


def stopped_text(stop: str, ph: float, target_ph: float, ways: tuple[str, ...]) -> str:
    """Return what keeps a mash from its target, and what would get it there."""
    text = f"{stop} at pH {ph:.2f}, its target is {target_ph:.2f}"
    return f"{text}; {' or '.join(ways)} gets you there" if ways else text


def short_text(after: BrewDay, misses: bool) -> str:
    """Return what a plan that meets every range leaves to be minded; empty where nothing.

    misses: whether its mash is off its target.
    """
    if after.prediction is None:
        return ""
    if misses:
        return f"its mash stops at pH {after.prediction.ph:.2f}"
    return _BEYOND_MODEL if after.prediction.warnings else ""


def no_way_text(*, proven: bool) -> str:
    """Return that nothing helps. proven: by a search of everything that can be bought."""
    return (
        f"no way out {'exists' if proven else 'was found'}: neither another salt, acid or base, "
        "nor pure water, nor boiling or lime beforehand makes a plan that meets everything"
    )


def not_worth_text(ph: float, target_ph: float) -> str:
    """Return why a mash that could come nearer its target is left alone."""
    return (
        f"the mash stops at pH {ph:.2f}, its target is {target_ph:.2f}: too little to dose for, "
        "and nothing else would be mended"
    )


def wider_text(item: Unmet) -> str:
    """Return how much wider a range would have to be for the plan to be complete.

    Empty where that is not for a brewer to settle, such as a trace of metal.
    """
    if item.unit == "pH" or item.quantity not in _SETTLED:
        return ""
    digits = 1 if item.quantity == RATIO or item.value < 10 else 0
    if item.high is not None and item.value > item.high:
        return (
            f"with {item.quantity} allowed up to {item.value:.{digits}f} {item.unit} instead of "
            f"{_figure(item.high)} this plan is complete"
        )
    return (
        f"with {item.quantity} allowed down to {item.value:.{digits}f} {item.unit} instead of "
        f"{_figure(item.low or 0.0)} this plan is complete"
    )


def remarks(
    before: BrewDay, day: BrewDay, after: BrewDay | None, goal: Aims, left: tuple[str, ...]
) -> Iterator[str]:
    """Yield what else a brewer should know about a plan."""
    if day.targets is None and after is not None and after.mash_input is not None:
        yield "no ranges are known for this style: only safe limits and calcium are planned for"
    if left:
        yield f"on the shelf but never dosed by a plan: {', '.join(left)}"
    for item in before.assumptions:
        if item.id in _TOLD or (item.id.startswith("addition-") and item in day.assumptions):
            yield item.text
    for dose in day.doses:
        if dose.agent is None:
            yield f"'{dose.addition.name}' is not recognised and not counted"
    if after is not None:
        yield from _just_outside(after, goal)
    if goal.left_sour:
        yield (
            f"the beer is soured ('{day.soured_by}'), which is not modelled: its mash pH is "
            "neither planned nor judged"
        )
    if after is None or after.prediction is None or goal.left_sour:
        return
    if plain := after.prediction.without_readings:
        used = after.prediction.readings_used
        readings = "one reading" if used == 1 else f"{used} readings"
        yield (
            f"the mash pH is expected from {readings} of yours: {after.prediction.ph:.2f}, without "
            f"them {plain.best:.2f}"
        )
    for warning in after.prediction.warnings:
        yield f"{_BEYOND_MODEL}: {warning}"
    low, high = goal.window
    found = after.prediction
    if found.high - found.low > high - low:
        yield (
            f"the mash will most likely read between {found.low:.2f} and {found.high:.2f}, more "
            f"than the width of the window: measure, and keep acid and soda at hand"
        )
    elif found.low < low or found.high > high:
        yield (
            f"the mash will most likely read between {found.low:.2f} and {found.high:.2f}, which "
            f"reaches beyond the window of {low:g} to {high:g}: measure early"
        )


def _just_outside(after: BrewDay, goal: Aims) -> Iterator[str]:
    """Yield which ions lie outside their range by no more than a check lets pass."""
    liquor = after.liquor
    for ion, (low, high) in goal.wanted.items():
        level = liquor.ions_mg_l.get(ion) if liquor is not None else None
        least, most = goal.accepted[ion]
        if level is None:
            continue
        above = high is not None and most is not None and high < level.best <= most
        below = low is not None and least is not None and least <= level.best < low
        if (above and level.best - (high or 0.0) > _SHOWN_MG_L) or (
            below and (low or 0.0) - level.best > _SHOWN_MG_L
        ):
            yield (
                f"{ion} of {level.best:.0f} mg/L lies {'above' if above else 'below'} its range by "
                "no more than a check lets pass"
            )


def chlorine_text(day: BrewDay, sulfite: Dechlorination | None) -> str:
    """Return what is to be said where chlorine stays in the water; empty where none does."""
    chlorine = chlorine_left(day)
    if chlorine <= 0 or sulfite is not None:
        return ""
    what = "chloramine" if day.source.chloramine else "chlorine"
    return (
        f"the source water holds {chlorine:.1f} mg/L of {what} and no sulfite is on the shelf: "
        "get sodium or potassium metabisulfite"
        + ("; ascorbic acid does not remove it reliably" if day.source.chloramine else "")
    )


TREATMENTS_SAID: Mapping[Treatment, str] = {
    "boiled": "boil the water beforehand and pour it off the chalk",
    "lime": (
        "treat the water beforehand with slaked lime (it burns eyes and skin: goggles, gloves, a "
        "test kit) and pour it off the chalk"
    ),
}


def treated_text(words: str, before_meq_l: float, left: TreatedWater, how: Treatment) -> str:
    """Return what a treatment beforehand does, for " a plan exists" to follow."""
    return (
        f'{words} ([water] treatment = "{how}" in the configuration): the alkalinity falls from '
        f"{before_meq_l:.1f} to about {left.alkalinity_meq_l.best:.1f} mEq/L and"
    )
