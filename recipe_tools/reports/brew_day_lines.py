"""A brew day in a few lines: what mash pH, what decides it; whose water and how much of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import sqrt
from typing import TYPE_CHECKING

from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.judgement.mash import MARGIN_PH, WINDOW_PH
from recipe_tools.reports.terminal import visible, wrapped

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay, Liquor, SourceWater
    from recipe_tools.chemistry.estimate import Estimate
    from recipe_tools.chemistry.mash_ph import Prediction

_COLUMNS: Mapping[str, str] = {
    "calcium": "Ca",
    "magnesium": "Mg",
    "sodium": "Na",
    "potassium": "K",
    "chloride": "Cl",
    "sulfate": "SO4",
    "bicarbonate": "HCO3",
}
_ORIGINS = {
    "file": "as the recipe states it",
    "report": "from the water report",
    "configuration": "from the configuration",
    "pure": "counted as pure water",
}
_CONTRIBUTIONS = {
    "carbonate": "alkalinity of the water",
    "calcium_magnesium": "calcium and magnesium",
    "acid": "acid",
    "base": "lime or soda",
    "readings": "what your readings say",
}
LABEL = 11
INDENT = " " * 2
_MARGIN = INDENT + " " * LABEL
_SMALLEST_SHIFT = 0.005
_SMALLEST_DRIVER = 0.015
_WORTH_KNOWING = 0.75


def entry(label: str, text: str) -> list[str]:
    """Return a labelled paragraph as lines."""
    return wrapped(text, first=f"{INDENT}{label:<{LABEL}}", rest=_MARGIN)


def water_lines(day: BrewDay, *, verbose: bool = False) -> Iterator[str]:
    """Yield the lines about the water: whose it is, and the table of its ions."""
    source = day.source
    if not source.known and day.total is None and day.mash is None and not day.grist:
        yield from entry("water", "none to judge: no mash and no brewing water")
        return
    liquors = [item for item in (day.mash, day.sparge, day.total) if item]
    if not source.known:
        litres = ", ".join(f"{_stage(item)} {item.volume_l.best:.1f} L" for item in liquors)
        yield from entry("water", "unknown: nothing says what is in it")
        if litres:
            yield from entry("", litres)
        return
    name = visible(source.name) or "without a name"
    yield from entry("water", f"{name}, {_ORIGINS.get(source.origin, source.origin)}")
    yield from _table(source, liquors)
    yield from entry("", "alk. and residual: alkalinity as CaCO3, with all salts, before acid")
    if verbose:
        yield from entry("", f"in mEq/L: {', '.join(_milliequivalents(source, liquors))}")


def _table(source: SourceWater, liquors: list[Liquor]) -> Iterator[str]:
    """Yield the ions by stage in mg/L, with their salts; a question mark where nobody knows."""
    ions = [
        ion
        for ion in _COLUMNS
        if ion in source.ions_mg_l or any(ion in liquor.ions_mg_l for liquor in liquors)
    ]
    heads = "".join(f"{_COLUMNS[ion]:>6}" for ion in ions)
    yield f"{INDENT}{'mg/L':<{LABEL}}{'litres':>7}{heads}{'alk.':>6}{'residual':>10}"
    cells = "".join(_cell(_best(source.ions_mg_l.get(ion))) for ion in ions)
    yield f"{INDENT}{'source':<{LABEL}}{'':>7}{cells}{_as_caco3(source.alkalinity_meq_l):>6}"
    for liquor in liquors:
        cells = "".join(_cell(_best(liquor.ions_mg_l.get(ion))) for ion in ions)
        alkalinity = _as_caco3(liquor.alkalinity_meq_l)
        residual = _as_caco3(liquor.residual_alkalinity_meq_l)
        yield (
            f"{INDENT}{_stage(liquor):<{LABEL}}{liquor.volume_l.best:>7.1f}{cells}"
            f"{alkalinity:>6}{residual:>10}"
        ).rstrip()


def _stage(liquor: Liquor) -> str:
    return "all water" if liquor.stage == "total" else liquor.stage


def _as_caco3(alkalinity: Estimate | None) -> str:
    return "" if alkalinity is None else f"{round(alkalinity.best * CACO3_MG_MEQ) + 0}"


def _milliequivalents(source: SourceWater, liquors: list[Liquor]) -> Iterator[str]:
    yield f"source {source.alkalinity_meq_l.best:.2f}"
    for item in liquors:
        if item.alkalinity_meq_l is not None and item.residual_alkalinity_meq_l is not None:
            residual = round(item.residual_alkalinity_meq_l.best, 2) + 0.0
            yield f"{_stage(item)} {item.alkalinity_meq_l.best:.2f} (residual {residual:.2f})"


def _best(estimate: Estimate | None) -> float | None:
    return None if estimate is None else estimate.best


def _cell(value: float | None) -> str:
    return f"{'?':>6}" if value is None else f"{value + 0.0:>6.0f}"


def mash_lines(
    day: BrewDay, window: tuple[float, float] = WINDOW_PH, *, verbose: bool = False
) -> Iterator[str]:
    """Yield the lines about the mash pH: its band, the window, and what decides it."""
    prediction = day.prediction
    if prediction is None:
        if day.not_predictable:
            missing = ", ".join(visible(text) for text in day.not_predictable)
            yield from entry("mash pH", f"cannot be predicted: {missing}")
        return
    yield from entry("mash pH", likely_words(prediction))
    edges = f"{window[0]:g} to {window[1]:g}"
    yield from entry("", f"window {edges} (cooled sample): {standing(day, window)}")
    if plain := prediction.without_readings:
        yield from entry("", f"{readings_words(prediction)}; without them {plain.best:.2f}")
    yield from entry("", f"what decides it: {why(day, prediction)}")
    if doubt := _doubt(prediction, verbose=verbose):
        yield from entry("", f"least certain: {doubt}")
    for warning in prediction.warnings:
        yield from entry("", f"outside what was measured: {visible(warning)}")


def likely_words(prediction: Prediction) -> str:
    """Say a predicted pH and its 95 % band as what it is."""
    low, high = f"{prediction.low:.2f}", f"{prediction.high:.2f}"
    return f"{prediction.ph:.2f}; it will most likely read between {low} and {high}"


def standing(day: BrewDay, window: tuple[float, float]) -> str:
    """Say how the predicted pH stands to the window, and whether it may be otherwise."""
    found, low, high = day.prediction, window[0] - MARGIN_PH, window[1] + MARGIN_PH
    if found is None:
        return "not predicted"
    if found.ph > high:
        return "too high" if found.low > high else "probably too high"
    if found.ph < low and day.soured_by:
        return "below it, as the mash of a soured beer may be"
    if found.ph < low:
        return "too low" if found.high < low else "probably too low"
    beyond = [
        side for side, out in (("below", found.low < low), ("above", found.high > high)) if out
    ]
    return f"inside, may read {' or '.join(beyond)}" if beyond else "inside"


def readings_words(prediction: Prediction) -> str:
    """Say how many readings a prediction was learnt from."""
    count = prediction.readings_used
    return "from one reading of yours" if count == 1 else f"from {count} of your readings"


def why(day: BrewDay, prediction: Prediction) -> str:
    """Say how the pH comes about: the grist in pure water, then what shifts it, largest first."""
    shifts = sorted(
        (
            (name, prediction.contributions_ph.get(name, 0.0))
            for name in _CONTRIBUTIONS
            if abs(prediction.contributions_ph.get(name, 0.0)) >= _SMALLEST_SHIFT
        ),
        key=lambda pair: (-abs(pair[1]), pair[0]),
    )
    parts = [f"{_CONTRIBUTIONS[name]} {shift:+.2f}" for name, shift in shifts]
    grist = f"the grist alone {prediction.contributions_ph['malt']:.2f}"
    if day.water_to_grist_l_kg is not None:
        grist += f" ({day.grist_kg:.2f} kg at {day.water_to_grist_l_kg:.1f} L/kg)"
    return ", ".join([grist, *parts])


def _doubt(prediction: Prediction, *, verbose: bool) -> str:
    """Name what makes the band wide; verbose: by how much, and how wide it were without."""
    least = _SMALLEST_DRIVER if verbose else _SMALLEST_SHIFT
    drivers = [item for item in prediction.drivers if item.half_width >= least]
    if not verbose:
        return visible(drivers[0].label) if drivers else ""
    parts = [f"{visible(item.label)} +-{item.half_width:.2f}" for item in drivers]
    whole = 0.5 * (prediction.high - prediction.low)
    if drivers and drivers[0].id != "model" and drivers[0].half_width < whole:
        rest = sqrt(whole**2 - drivers[0].half_width ** 2)
        if rest <= _WORTH_KNOWING * whole:
            parts[0] += f" (without it +-{rest:.2f} in all)"
    return "; ".join(parts)
