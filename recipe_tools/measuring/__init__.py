"""One measured mash: does it agree, what would explain it, what goes in now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import sqrt
from typing import Literal, NamedTuple

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.mash_ph import Prediction
from recipe_tools.config import Options
from recipe_tools.config.options import Units
from recipe_tools.dosing.advice import stock_cautions
from recipe_tools.dosing.correction import Correction
from recipe_tools.dosing.limits import aims, target_of
from recipe_tools.dosing.records import Caution
from recipe_tools.measuring.explanations import Explanation, explanations
from recipe_tools.measuring.known_mash import Sample, known_mash
from recipe_tools.readings import Expected, KeptReading, cooled, meter_half_width
from recipe_tools.readings.records import NO_LOTS
from recipe_tools.recipe import Addition, Recipe

Agreement = Literal["agrees", "possible", "disagrees"]
DISAGREES_FROM = 2.0
"""Half-widths of the 95 % band; within one of them a reading agrees (derived_default)."""


class Reading(NamedTuple):
    """What the meter showed. added: what went into the mash before, beyond the recipe."""

    ph: float
    celsius: float | None = None
    minutes: float | None = None
    added: tuple[Addition, ...] = ()


class MeasuredMash(NamedTuple):
    """A reading beside its prediction, and what follows from it.

    at_25: the reading at 25 °C, with the width of meter and temperature. day: the brew day with
    what was added. half_widths: difference in half-widths of reading and prediction together.
    window: in which nothing has to be done. needed: whether the mash lies outside it. wished:
    whether a target was asked for inside the window. corrections: the first is the one proposed,
    the others are alternatives; empty where nothing is to be done. expected: what is kept with the
    reading. units: of the brewery.
    """

    reading: Reading
    at_25: Estimate
    day: BrewDay
    prediction: Prediction
    difference: float
    half_widths: float
    verdict: Agreement
    explanations: tuple[Explanation, ...]
    window: tuple[float, float]
    target_ph: float
    needed: bool
    wished: bool
    corrections: tuple[Correction, ...]
    expected: Expected
    units: Units

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """How to handle what is proposed."""
        return stock_cautions(item.stock for item in self.corrections)

    @property
    def comes_right(self) -> bool:
        """Tell whether the mash is inside the window or can be brought there."""
        low, high = self.window
        if not self.needed:
            return True
        return any(
            item.ph_after is not None and low <= item.ph_after <= high for item in self.corrections
        )


def measure(
    recipe: Recipe,
    options: Options,
    reading: Reading,
    target_ph: float | None = None,
    earlier: Sequence[KeptReading] = (),
    lots: Mapping[str, str] = NO_LOTS,
) -> MeasuredMash | None:
    """Return what a reading says; None for a recipe whose mash pH cannot be predicted.

    earlier: kept readings of the same mash; what was added between them measures the buffer. lots:
    malt -> lot, where it is known.
    """
    dosed = recipe._replace(additions=(*recipe.additions, *reading.added))
    options = replace(options, lots=lots)
    known = known_mash(dosed, options)
    if known is None:
        return None
    day, prediction = known.day, known.prediction
    at_25 = cooled(reading.ph, reading.celsius, options.meter_ph or meter_half_width())
    difference = at_25.best - prediction.ph
    half_widths = _half_widths(difference, at_25, prediction)
    goal = aims(day, options, leave_sour=target_ph is None)
    low, high = goal.window
    needed = not low <= round(at_25.best, 2) <= high
    aimed, _ = target_of(day, goal, target_ph)
    found: tuple[Correction, ...] = ()
    if needed or target_ph is not None:
        read = Sample(reading.ph, reading.celsius, at_25)
        found = known.corrections(options, read, aimed, earlier)
    return MeasuredMash(
        reading=reading,
        at_25=at_25,
        day=day,
        prediction=prediction,
        difference=difference,
        half_widths=half_widths,
        verdict=_verdict(half_widths),
        explanations=explanations(day, prediction, reading.celsius, at_25.best)
        if half_widths > 1.0
        else (),
        window=(low, high),
        target_ph=aimed,
        needed=needed,
        wished=target_ph is not None and not needed,
        corrections=found,
        expected=known.expected,
        units=options.units,
    )


def _half_widths(difference: float, at_25: Estimate, prediction: Prediction) -> float:
    side = prediction.high - prediction.ph if difference > 0 else prediction.ph - prediction.low
    width = sqrt(side**2 + (0.5 * (at_25.high - at_25.low)) ** 2)
    return abs(difference) / width


def _verdict(half_widths: float) -> Agreement:
    if half_widths <= 1.0:
        return "agrees"
    return "possible" if half_widths <= DISAGREES_FROM else "disagrees"
