"""A brew day in a few lines: whose water, how much of it, what pH, and what decides it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import sqrt
from typing import TYPE_CHECKING

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
_LABEL = 11
_INDENT = " " * 4
_MARGIN = " " * (4 + _LABEL)
_SMALLEST_SHIFT = 0.005
_SMALLEST_DRIVER = 0.015
_DRIVERS_SHOWN = 2
_WORTH_KNOWING = 0.75


def day_lines(day: BrewDay, *, verbose: bool = False) -> Iterator[str]:
    """Yield the lines about water, mash pH and, where asked for, everything that was supposed."""
    yield from _water(day)
    yield from _mash(day, verbose=verbose)
    if not day.assumptions:
        return
    if verbose:
        for place, item in enumerate(day.assumptions):
            yield from _entry("supposed" if place == 0 else "", visible(item.text))
    else:
        count = len(day.assumptions)
        things = "1 thing" if count == 1 else f"{count} things"
        yield from _entry("supposed", f"{things} the file does not say (--verbose lists them)")


def _entry(label: str, text: str) -> list[str]:
    return wrapped(text, first=f"{_INDENT}{label:<{_LABEL}}", rest=_MARGIN)


def _water(day: BrewDay) -> Iterator[str]:
    source = day.source
    if not source.known and day.total is None and day.mash is None and not day.grist:
        yield from _entry("water", "none to judge: no mash and no brewing water")
        return
    if not source.known:
        yield from _entry("water", "unknown: nothing says what is in it")
        litres = [
            f"{item.stage if item.stage != 'total' else 'in all'} {item.volume_l.best:.1f} L"
            for item in (day.mash, day.sparge, day.total)
            if item is not None
        ]
        if litres:
            yield from _entry("", ", ".join(litres))
        return
    name = visible(source.name) or "without a name"
    yield from _entry("water", f"{name}, {_ORIGINS.get(source.origin, source.origin)}")
    yield from _table(source, [item for item in (day.mash, day.sparge, day.total) if item])


def _table(source: SourceWater, liquors: list[Liquor]) -> Iterator[str]:
    """Yield the ions by stage in mg/L, with their salts; a question mark where nobody knows."""
    ions = [
        ion
        for ion in _COLUMNS
        if ion in source.ions_mg_l or any(ion in liquor.ions_mg_l for liquor in liquors)
    ]
    heads = "".join(f"{_COLUMNS[ion]:>6}" for ion in ions)
    yield f"{_INDENT}{'mg/L':<{_LABEL}}{'litres':>7}{heads}{'residual alk.':>15}"
    cells = "".join(_cell(_best(source.ions_mg_l.get(ion))) for ion in ions)
    yield f"{_INDENT}{'source':<{_LABEL}}{'':>7}{cells}"
    for liquor in liquors:
        label = "all water" if liquor.stage == "total" else liquor.stage
        cells = "".join(_cell(_best(liquor.ions_mg_l.get(ion))) for ion in ions)
        residual = liquor.residual_alkalinity_meq_l
        tail = "" if residual is None else f"{round(residual.best, 1) + 0.0:>9.1f} mEq/L"
        yield f"{_INDENT}{label:<{_LABEL}}{liquor.volume_l.best:>7.1f}{cells}{tail}"


def _best(estimate: Estimate | None) -> float | None:
    return None if estimate is None else estimate.best


def _cell(value: float | None) -> str:
    return f"{'?':>6}" if value is None else f"{value + 0.0:>6.0f}"


def _mash(day: BrewDay, *, verbose: bool) -> Iterator[str]:
    prediction = day.prediction
    if prediction is None:
        if day.not_predictable:
            missing = ", ".join(visible(text) for text in day.not_predictable)
            yield from _entry("mash pH", f"cannot be predicted: {missing}")
        return
    thickness = ""
    if day.water_to_grist_l_kg is not None:
        thickness = f", {day.grist_kg:.2f} kg at {day.water_to_grist_l_kg:.1f} L/kg"
    yield from _entry(
        "mash pH",
        f"{prediction.ph:.2f}, 95 % band {prediction.low:.2f} to {prediction.high:.2f} "
        f"(cooled sample){thickness}",
    )
    if plain := prediction.without_readings:
        yield from _entry("", f"{readings_words(prediction)}; without them {plain.best:.2f}")
    yield from _entry("", _why(prediction))
    yield from _entry("", _doubt(prediction, verbose=verbose))
    for warning in prediction.warnings:
        yield from _entry("", f"outside what was measured: {visible(warning)}")


def readings_words(prediction: Prediction) -> str:
    """Say how many readings a prediction was learnt from."""
    count = prediction.readings_used
    return "from one reading of yours" if count == 1 else f"from {count} of your readings"


def _why(prediction: Prediction) -> str:
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
    return ", ".join([f"why: the grist alone {prediction.contributions_ph['malt']:.2f}", *parts])


def _doubt(prediction: Prediction, *, verbose: bool) -> str:
    """Name what makes the band wide, and how wide it would be without the first of it."""
    least = _SMALLEST_DRIVER if verbose else _SMALLEST_SHIFT
    drivers = [item for item in prediction.drivers if item.half_width >= least]
    shown = drivers if verbose else drivers[:_DRIVERS_SHOWN]
    parts = [f"{visible(item.label)} +-{item.half_width:.2f}" for item in shown]
    whole = 0.5 * (prediction.high - prediction.low)
    if shown and shown[0].id != "model" and shown[0].half_width < whole:
        rest = sqrt(whole**2 - shown[0].half_width ** 2)
        if rest <= _WORTH_KNOWING * whole:
            parts[0] += f" (the band without it: +-{rest:.2f})"
    return "least certain: " + "; ".join(parts)
