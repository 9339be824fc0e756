"""The mash pH as this brewer's own readings let it be expected."""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256

from recipe_tools.brewday.records import SourceWater
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.mash_input import MashInput
from recipe_tools.chemistry.mash_ph import Driver, Prediction, predict
from recipe_tools.chemistry.measured_mash import anchored
from recipe_tools.readings import Readings
from recipe_tools.readings.learning import (
    DAY_SD,
    HALF_WIDTH_SD,
    LOT_MARK,
    OFFSET,
    OFFSET_SD,
    parted,
)

_OF_WATER = ("alkalinity", "water_ph")
_REPORTED = ("report", "configuration")
_DIGITS = 5
_LEAST_PH = 0.002
"""An input that moves the pH by less teaches nothing that a meter could show."""


def with_readings(
    mash: MashInput,
    prediction: Prediction,
    source: SourceWater,
    readings: Readings,
    lots: Mapping[str, str],
) -> tuple[MashInput, Prediction]:
    """Return mash and prediction with what was learnt.

    The shift is told to the mash as protons that nothing else accounts for, so that doses worked
    out from it come from where this brewer's meter will read. The band is that of such a reading.
    """
    learnt = readings.learnt
    sensitivities = named_sensitivities(mash, prediction, source, lots)
    ph, half = learnt.expect(prediction.ph, sensitivities)
    taught = anchored(mash, ph)
    shared, _ = parted(sensitivities)
    drivers = [Driver("day", "the day and the sample", HALF_WIDTH_SD * DAY_SD, DAY_SD)]
    offset = learnt.belief.input(OFFSET)[1] * OFFSET_SD
    drivers.append(Driver(OFFSET, "your meter and habits", HALF_WIDTH_SD * offset, offset))
    for driver, name in zip(
        prediction.drivers, _names(mash, prediction, source, lots), strict=True
    ):
        if driver.id == "model":
            continue
        left = learnt.belief.input(name)[1] if name in shared else 1.0
        drivers.append(driver._replace(half_width=left * driver.half_width))
    again = predict(taught)
    return taught, again._replace(
        low=ph - half,
        high=ph + half,
        drivers=tuple(sorted(drivers, key=lambda item: (-item.half_width, item.id))),
        readings_used=learnt.used,
        without_readings=Estimate(prediction.low, prediction.ph, prediction.high),
    )


def named_sensitivities(
    mash: MashInput, prediction: Prediction, source: SourceWater, lots: Mapping[str, str]
) -> dict[str, float]:
    """Return the signed sensitivities of a prediction by driver, as they are kept and learnt from.

    What a water report leaves open is the same for all mashes with that report; its drivers carry
    a name of the report. Those of a malt whose lot is named (lots: malt -> lot) carry the lot.
    """
    names = _names(mash, prediction, source, lots)
    return {
        name: round(driver.sensitivity, _DIGITS)
        for name, driver in zip(names, prediction.drivers, strict=True)
        if abs(driver.sensitivity) >= _LEAST_PH
    }


def _names(
    mash: MashInput, prediction: Prediction, source: SourceWater, lots: Mapping[str, str]
) -> list[str]:
    behind: dict[str, str] = {}
    if source.origin in _REPORTED:
        levels = [f"{ion} {level.best:.1f}" for ion, level in sorted(source.ions_mg_l.items())]
        levels += [f"{source.alkalinity_meq_l.best:.2f} mEq/L", f"pH {source.ph.best:.1f}"]
        figures = "; ".join(levels)
        behind = dict.fromkeys(_OF_WATER, sha256(figures.encode()).hexdigest()[:8])
    behind |= _lots_of_classes(mash, lots)
    return [
        f"{driver.id}{LOT_MARK}{behind[key]}"
        if (key := driver.id.partition(":")[2] or driver.id) in behind
        else driver.id
        for driver in prediction.drivers
    ]


def _lots_of_classes(mash: MashInput, lots: Mapping[str, str]) -> dict[str, str]:
    """Return the lot of each class of which all malts are of one lot."""
    found: dict[str, set[str]] = {}
    for malt in mash.malts if lots else ():
        found.setdefault(malt.group, set()).add(lots.get(malt.label, ""))
    return {
        group: next(iter(names))
        for group, names in found.items()
        if len(names) == 1 and "" not in names
    }
