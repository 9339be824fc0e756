"""Mash pH from a balance of protons, with the band in which it must be expected.

Per kilogram of grist, at the pH p at which the protons given equal the protons taken:

    sum g B f (p - D)  +  R (Ca/3.5 + Mg/7)  +  acids  -  bases  -  R W(p)  =  0

g share of a malt, B its buffer, f crush factor, D its pH in distilled water at this thickness:
D = D_i + k log10(R / R_i), R water to grist. W is what the alkalinity of the water takes up, with
all carbonate kept in solution. Constants of the carbonate system at 25 °C, where pH is read.

Sources: the balance after deLange A. J., MBAA Technical Quarterly 52(1) (2015); 3.5 and 7 after
Kolbach (1953); buffers, k and the crush factor from the measurements of Troester K. (2009), The
effect of brewing water and grist composition on the pH of the mash. The text shown by
``recipe-tools explain model`` says how well it does and what it does not know.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import exp, log10, sqrt
from typing import NamedTuple

from recipe_tools.chemistry.acids import charge_and_slope
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.ions import CALCIUM_PER_PROTON, MAGNESIUM_PER_PROTON
from recipe_tools.chemistry.mash_balance import (
    CALCIUM_LINEAR_MEQ_L,
    CALCIUM_MAGNESIUM_EFFECT,
    CARBON_DIOXIDE_LOST,
    DILUTION_PH_PER_DECADE,
    HIGHEST_PH,
    KW_25C_MMOL,
    LN10,
    LOWEST_PH,
    MODEL_ERROR_PH,
    Balance,
    balance_of,
    carbonate_charge,
    dissolved,
    solve,
)
from recipe_tools.chemistry.mash_input import AcidCharge, MaltShare, MashInput
from recipe_tools.chemistry.suspended_bases import chalk_range

_NO_BUFFER_MEQ_KG_PH = 1e-6
"""Less than any grain has by seven orders of magnitude; a share of the pH by it has no meaning."""

__all__ = [
    "AcidCharge",
    "Driver",
    "MaltShare",
    "MashInput",
    "Prediction",
    "ph_only",
    "predict",
]


class Driver(NamedTuple):
    """What makes the band as wide as it is.

    half_width: in pH, if this input alone were open. sensitivity: shift of the pH for one standard
    deviation of the input, signed; the ends of a band lie 1.96 of them from its middle.
    """

    id: str
    label: str
    half_width: float
    sensitivity: float = 0.0


class Prediction(NamedTuple):
    """A predicted mash pH, read in a cooled sample, with its 95 % band.

    contributions_meq_kg: protons given (+) or taken (-) per kg of grist at this pH by ``malt``,
    ``carbonate``, ``calcium_magnesium``, ``acid`` and ``base``; they add up to zero. The malt is
    counted from its own pH in distilled water at this thickness.
    contributions_ph: the same keys; ``malt`` is that pH of the grist, the others are shifts from
    it; together they add up to ph. Where readings were learnt from, both have ``readings`` too.
    drivers: largest first. warnings: what lies outside the model's range. readings_used: how many
    readings of the brewer it is learnt from; without_readings: what it would be without.
    """

    ph: float
    low: float
    high: float
    at_celsius: float
    contributions_meq_kg: Mapping[str, float]
    contributions_ph: Mapping[str, float]
    drivers: tuple[Driver, ...]
    warnings: tuple[str, ...]
    readings_used: int = 0
    without_readings: Estimate | None = None


def ph_only(mash: MashInput) -> float:
    """Return the predicted mash pH alone. Raises ValueError if there is no water."""
    return solve(balance_of(mash))[0]


def predict(mash: MashInput) -> Prediction:
    """Return the predicted mash pH with its band, its breakdown and what is worth knowing better.

    The band is a 95 % band by linear propagation: every open input moves the balance at the best
    pH, ends separately; independent inputs add as root of the sum of squares, malts of one group
    linearly. Raises ValueError if water_to_grist_l_kg is not above 0.
    """
    balance = balance_of(mash)
    ph, slope = solve(balance)
    down, up, drivers = _band(mash, balance, ph, slope)
    given, shifts = _contributions(balance, ph)
    return Prediction(
        ph=ph,
        low=ph - down,
        high=ph + up,
        at_celsius=25.0,
        contributions_meq_kg=given,
        contributions_ph=shifts,
        drivers=drivers,
        warnings=_warnings(mash, ph),
    )


def _contributions(balance: Balance, ph: float) -> tuple[Mapping[str, float], Mapping[str, float]]:
    """Return protons per kg by source at ph, and the same as shifts of the pH."""
    h = exp(-LN10 * ph)
    charge = carbonate_charge(h)[0]
    carbonate = -(
        balance.carbonate * (balance.water_charge - charge)
        + balance.water_strong
        - balance.ratio * (KW_25C_MMOL / h - 1000.0 * h)
    )
    base = (
        -balance.hydroxide
        - balance.bicarbonate * (1.0 - charge)
        - balance.chalk * (1.0 - charge - 1.0 / CALCIUM_PER_PROTON)
    )
    acid = 0.0
    for amount, constants, strong in balance.acids:
        acid += amount * (charge_and_slope(h, constants)[0] + strong)
    given = {
        "malt": balance.buffer * ph + balance.malt_at_zero,
        "carbonate": carbonate,
        "calcium_magnesium": balance.calcium_magnesium,
        "acid": acid,
        "base": base,
    }
    if balance.learnt:
        given["readings"] = balance.learnt
    buffer = balance.buffer
    buffers = buffer > _NO_BUFFER_MEQ_KG_PH
    shifts = {key: -value / buffer if buffers else 0.0 for key, value in given.items()}
    shifts["malt"] = -balance.malt_at_zero / buffer if buffers else ph
    return given, shifts


class _Spread:
    """Collects how far each open input moves the pH down and up."""

    __slots__ = ("down", "drivers", "slope", "up")

    def __init__(self, slope: float) -> None:
        self.slope = slope
        self.down = self.up = 0.0
        self.drivers: list[Driver] = []

    def add(self, driver_id: str, label: str, at_low: float, at_high: float) -> None:
        """Take in the change of the balance (mEq/kg) with an input at its low and its high end."""
        if at_low == 0.0 and at_high == 0.0:
            return
        first, second = -at_low / self.slope, -at_high / self.slope
        up = max(first, second, 0.0)
        down = -min(first, second, 0.0)
        self.up += up * up
        self.down += down * down
        sensitivity = (second - first) / (2.0 * 1.96)
        self.drivers.append(Driver(driver_id, label, 0.5 * (up + down), sensitivity))


def _band(
    mash: MashInput, balance: Balance, ph: float, slope: float
) -> tuple[float, float, tuple[Driver, ...]]:
    """Return the half-widths below and above ph and what they come from."""
    spread = _Spread(slope)
    _malt_spread(mash, balance, ph, spread)
    _water_spread(mash, balance, ph, spread)
    _dose_spread(mash, balance, ph, spread)
    error = MODEL_ERROR_PH * slope
    spread.add("model", "the model itself, the meter and the time of the sample", -error, error)
    spread.drivers.sort(key=_by_width)
    return sqrt(spread.down), sqrt(spread.up), tuple(spread.drivers)


def _by_width(driver: Driver) -> tuple[float, str]:
    return -driver.half_width, driver.id


def _malt_spread(mash: MashInput, balance: Balance, ph: float, spread: _Spread) -> None:
    k_low, k, k_high = DILUTION_PH_PER_DECADE
    crush_low, crush, crush_high = mash.crush_factor
    malt_ph: dict[str, tuple[str, float, float]] = {}
    buffers: dict[str, tuple[str, float, float]] = {}
    dilution = crushed = 0.0
    for place, (malt, decades) in enumerate(zip(mash.malts, balance.dilutions, strict=True)):
        share = malt.share
        low, best, high = malt.di_ph
        weak, buffer, strong = malt.buffer_meq_kg_ph
        distance = ph - best - k * decades
        factor = share if malt.lot_known else share * crush
        dilution -= factor * buffer * decades
        if not malt.lot_known:
            crushed += share * buffer * distance
        group = malt.group or f"{malt.label}#{place}"
        if low != high:
            label, below, above = malt_ph.get(group, (malt.label, 0.0, 0.0))
            charge = factor * buffer
            malt_ph[group] = (label, below + charge * (best - low), above + charge * (best - high))
        if weak != strong:
            label, below, above = buffers.get(group, (malt.label, 0.0, 0.0))
            charge = factor * distance
            buffers[group] = (
                label,
                below + charge * (weak - buffer),
                above + charge * (strong - buffer),
            )
    for group, (label, below, above) in malt_ph.items():
        spread.add(f"malt_ph:{group}", f"pH of {label} in distilled water", below, above)
    for group, (label, below, above) in buffers.items():
        spread.add(f"malt_buffer:{group}", f"buffer of {label}", below, above)
    spread.add(
        "dilution",
        "how far thinning alone moves the pH",
        dilution * (k_low - k),
        dilution * (k_high - k),
    )
    spread.add("crush", "the crush", crushed * (crush_low - crush), crushed * (crush_high - crush))


def _water_spread(mash: MashInput, balance: Balance, ph: float, spread: _Spread) -> None:
    ratio = balance.ratio
    h = exp(-LN10 * ph)
    charge = carbonate_charge(h)[0]
    best = balance.carbonate * (balance.water_charge - charge) + balance.water_strong

    def taken(alkalinity: float, water_ph: float) -> float:
        carbon, water_charge, strong = dissolved(alkalinity, water_ph, mash.end_point_ph)
        return ratio * (carbon * (water_charge - charge) + strong) - best

    alkalinity, water_ph = mash.alkalinity_meq_l, mash.water_ph
    if alkalinity.low != alkalinity.high:
        spread.add(
            "alkalinity",
            "alkalinity of the water",
            -taken(alkalinity.low, water_ph.best),
            -taken(alkalinity.high, water_ph.best),
        )
    if water_ph.low != water_ph.high:
        spread.add(
            "water_ph",
            "pH of the water",
            -taken(alkalinity.best, water_ph.low),
            -taken(alkalinity.best, water_ph.high),
        )
    lost = (balance.carbonate + balance.bicarbonate + balance.chalk) * charge
    spread.add(
        "carbon_dioxide",
        "carbon dioxide leaving the mash",
        -lost * CARBON_DIOXIDE_LOST.low,
        -lost * CARBON_DIOXIDE_LOST.high,
    )
    chalk_lost = mash.chalk_lost_meq_l
    if chalk_lost > 0.0:
        # Two charges of alkalinity leave with one carbonate, and as much calcium.
        left = ratio * chalk_lost * (1.0 - 0.5 * charge - 1.0 / CALCIUM_PER_PROTON)
        spread.add("heating", "chalk lost as the strike water heats", left, 0.0)
    low, _, high = mash.water_to_grist_l_kg
    if low != high:
        per_litre = (
            (
                balance.calcium_magnesium
                + balance.chalk / CALCIUM_PER_PROTON
                - best
                - (balance.bicarbonate + balance.chalk) * (1.0 - charge)
            )
            / ratio
            + KW_25C_MMOL / h
            - 1000.0 * h
        )
        thinning = -balance.buffer * DILUTION_PH_PER_DECADE.best
        spread.add(
            "thickness",
            "water to grist",
            per_litre * (low - ratio) + thinning * log10(low / ratio),
            per_litre * (high - ratio) + thinning * log10(high / ratio),
        )


def _dose_spread(mash: MashInput, balance: Balance, ph: float, spread: _Spread) -> None:
    ratio = balance.ratio
    h = exp(-LN10 * ph)
    charge = carbonate_charge(h)[0]
    for ion, name, per_proton in (
        (mash.calcium_meq_l, "calcium", CALCIUM_PER_PROTON),
        (mash.magnesium_meq_l, "magnesium", MAGNESIUM_PER_PROTON),
    ):
        spread.add(
            name,
            f"{name} of the water",
            ratio * (ion.low - ion.best) / per_proton,
            ratio * (ion.high - ion.best) / per_proton,
        )
    effect = CALCIUM_MAGNESIUM_EFFECT
    spread.add(
        "calcium_magnesium",
        "how strongly calcium and magnesium act",
        balance.calcium_magnesium * (effect.low - effect.best),
        balance.calcium_magnesium * (effect.high - effect.best),
    )
    above = mash.calcium_meq_l.best - CALCIUM_LINEAR_MEQ_L
    if above > 0.0:
        spread.add(
            "calcium_above_linear",
            "what calcium above 100 mg/L still does",
            -ratio * above / CALCIUM_PER_PROTON,
            0.0,
        )
    for place, acid in enumerate(mash.acids):
        low, best, high = acid.mmol_kg
        if low == high:
            continue
        _, constants, strong = balance.acids[place]
        protons = charge_and_slope(h, constants)[0] + strong
        spread.add(
            f"acid:{acid.label}",
            f"amount and strength of {acid.label}",
            protons * (low - best),
            protons * (high - best),
        )
    low, best, high = mash.bicarbonate_mmol_l
    spread.add(
        "bicarbonate",
        "bicarbonate added",
        -ratio * (low - best) * (1.0 - charge),
        -ratio * (high - best) * (1.0 - charge),
    )
    low, best, high = mash.hydroxide_meq_kg
    spread.add("hydroxide", "lime or lye added", best - low, best - high)
    if mash.chalk_meq_l.high > 0.0:
        low, best, high = chalk_range(mash.chalk_meq_l)
        taken = ratio * (1.0 - charge - 1.0 / CALCIUM_PER_PROTON)
        spread.add(
            "chalk",
            "how much of the suspended chalk reacts",
            -taken * (low - best),
            -taken * (high - best),
        )


def _warnings(mash: MashInput, ph: float) -> tuple[str, ...]:
    """Return what lies outside the range the model was measured in."""
    found: list[str] = []
    ratio = mash.water_to_grist_l_kg.best
    if not 2.0 <= ratio <= 5.0:
        found.append(f"{ratio:.1f} L/kg: mashes of 2 to 5 L/kg were measured")
    calcium = mash.calcium_meq_l.best * 20.039
    if calcium > 150.0:
        found.append(f"{calcium:.0f} mg/L calcium: above 100 mg/L its effect flattens")
    if mash.magnesium_meq_l.best > 8.0:
        found.append(
            f"{mash.magnesium_meq_l.best * 12.1525:.0f} mg/L magnesium: not measured that high"
        )
    alkalinity = mash.alkalinity_meq_l.best + mash.bicarbonate_mmol_l.best + mash.chalk_meq_l.best
    if alkalinity > 5.5:
        found.append(f"{alkalinity:.1f} mEq/L alkalinity: mashes up to 5.5 mEq/L were measured")
    if mash.alkalinity_meq_l.best < 0.0:
        found.append("water with free acid: its alkalinity is negative")
    if mash.chalk_meq_l.best > 0.0:
        found.append("suspended chalk reacts only in part, about half of it in small amounts")
    if ph <= LOWEST_PH + 1e-6 or ph >= HIGHEST_PH - 1e-6:
        found.append("no balance between pH 2.5 and 9: the amounts cannot be right")
    elif not 4.4 <= ph <= 6.4:
        found.append(f"pH {ph:.1f}: the buffers of malt were measured between 4.4 and 6.4")
    if not any(
        malt.buffer_meq_kg_ph.best * malt.share > _NO_BUFFER_MEQ_KG_PH for malt in mash.malts
    ):
        found.append("nothing in the grist buffers")
    return tuple(found)
