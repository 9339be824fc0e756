"""What would explain a reading: one input at a time, and the slips that people make."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.ions import EQUIVALENT_MASS_MG_MEQ
from recipe_tools.chemistry.mash_input import MashInput
from recipe_tools.chemistry.mash_ph import Prediction, ph_only
from recipe_tools.chemistry.temperature import SAMPLE_CELSIUS
from recipe_tools.reference import default_of

MOST = 5
FARTHEST_HALF_WIDTHS = 6.0
"""An input that would have to be further off than that explains nothing (derived_default)."""
_SLIP_HALF_WIDTHS = 1.5
"""A slip counts as likely as an input one and a half half-widths off (derived_default)."""
_NEAR_PH = 0.1
_HOTTEST = 70.0


class Explanation(NamedTuple):
    """One thing that alone would bring prediction and reading together.

    assumed, needed: its value as taken and as it would have to be, in unit; None where it has none.
    half_widths: how far that is off, in its own half-widths; the smallest is the likeliest.
    """

    id: str
    label: str
    assumed: float | None
    needed: float | None
    unit: str
    half_widths: float


def explanations(
    day: BrewDay, prediction: Prediction, celsius: float | None, at_25: float
) -> tuple[Explanation, ...]:
    """Return what would explain a reading, the smallest first, at most five; none is certain."""
    mash = day.mash_input
    if mash is None:
        return ()
    shift = at_25 - prediction.ph
    found = [
        *_of_inputs(mash, prediction, shift),
        *_of_slips(mash, at_25),
        *_of_sample(celsius, shift),
    ]
    near = [item for item in found if item.half_widths <= FARTHEST_HALF_WIDTHS]
    return tuple(sorted(near, key=lambda item: (item.half_widths, item.id))[:MOST])


def _of_inputs(mash: MashInput, prediction: Prediction, shift: float) -> Iterator[Explanation]:
    """Yield open inputs with the value that each alone would need; linear in each."""
    for driver in prediction.drivers:
        if driver.half_width <= 0.0 or driver.id in ("model", "day"):
            continue
        widths = shift / driver.half_width
        direction = 1.0 if driver.sensitivity >= 0.0 else -1.0
        value, unit = _value(mash, driver.id)
        needed = None
        if value is not None:
            half = 0.5 * (value.high - value.low)
            needed = value.best + direction * widths * half
            if needed < 0.0:
                continue
        assumed = None if value is None else value.best
        yield Explanation(driver.id, driver.label, assumed, needed, unit, abs(widths))


def _value(mash: MashInput, driver: str) -> tuple[Estimate | None, str]:
    """Return an input in the unit a brewer knows it by."""
    kind, _, group = driver.partition(":")
    for place, malt in enumerate(mash.malts):
        if (malt.group or f"{malt.label}#{place}") == group:
            if kind == "malt_ph":
                return malt.di_ph, "pH"
            if kind == "malt_buffer":
                return malt.buffer_meq_kg_ph, "mEq/(kg pH)"
    plain: dict[str, tuple[Estimate, str]] = {
        "alkalinity": (mash.alkalinity_meq_l, "mEq/L"),
        "water_ph": (mash.water_ph, "pH"),
        "thickness": (mash.water_to_grist_l_kg, "L/kg"),
        "calcium": (mash.calcium_meq_l.times(EQUIVALENT_MASS_MG_MEQ["calcium"]), "mg/L"),
        "magnesium": (mash.magnesium_meq_l.times(EQUIVALENT_MASS_MG_MEQ["magnesium"]), "mg/L"),
    }
    return plain.get(driver, (None, ""))


def _of_slips(mash: MashInput, at_25: float) -> Iterator[Explanation]:
    """Yield slips that would put the mash where it reads: left out or put in twice."""

    def near(changed: MashInput) -> bool:
        return abs(ph_only(changed._replace(learnt_meq_kg=mash.learnt_meq_kg)) - at_25) <= _NEAR_PH

    for place, acid in enumerate(mash.acids):
        others = (*mash.acids[:place], *mash.acids[place + 1 :])
        twice = acid._replace(mmol_kg=acid.mmol_kg.times(2.0))
        if near(mash._replace(acids=others)):
            yield _slip(f"left_out:{acid.label}", f"{acid.label} left out")
        elif near(mash._replace(acids=(*others, twice))):
            yield _slip(f"doubled:{acid.label}", f"{acid.label} put in twice")
    if mash.bicarbonate_mmol_l.best > 0.0:
        soda = mash.bicarbonate_mmol_l
        if near(mash._replace(bicarbonate_mmol_l=exactly(0.0))):
            yield _slip("left_out:soda", "the soda left out")
        elif near(mash._replace(bicarbonate_mmol_l=soda.times(2.0))):
            yield _slip("doubled:soda", "the soda put in twice")


def _slip(name: str, label: str) -> Explanation:
    return Explanation(name, label, None, None, "", _SLIP_HALF_WIDTHS)


def _of_sample(celsius: float | None, shift: float) -> Iterator[Explanation]:
    """Yield the temperature the sample would have, and the error the meter would have."""
    _, best, _ = default_of("sample_ph_per_celsius")
    taken = SAMPLE_CELSIUS if celsius is None else celsius
    needed = taken + shift / best
    if shift < 0.0 and celsius is None and needed <= _HOTTEST:
        widths = _SLIP_HALF_WIDTHS
        yield Explanation("sample", "the sample not cooled", taken, needed, "°C", widths)
    meter = default_of("meter_error")[2]
    yield Explanation("meter", "the meter off", 0.0, shift, "pH", abs(shift) / meter)
