"""The balance of protons of a mash, and the pH at which it closes (equation in `mash_ph`)."""

from __future__ import annotations

import math
from math import exp, log10
from typing import NamedTuple

from recipe_tools.chemistry.acids import acid_constants, charge_and_slope
from recipe_tools.chemistry.carbonate import apparent_constants
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.ions import CALCIUM_PER_PROTON, MAGNESIUM_PER_PROTON
from recipe_tools.chemistry.mash_input import MashInput
from recipe_tools.chemistry.suspended_bases import chalk_effect

LN10 = math.log(10.0)

_AT_25C = apparent_constants(25.0)
K1_25C, K2_25C = _AT_25C.k1, _AT_25C.k2
KW_25C_MMOL = _AT_25C.hydroxide
"""Ion product of water at 25 °C as (mmol/L) x (mol/L), so that divided by [H+] it gives mmol/L."""

DILUTION_PH_PER_DECADE = Estimate(0.20, 0.30, 0.40)
"""k. 0.25 (pilsner) and 0.35 (Munich) fitted to 24 mashes of Troester (2009); 0.22 from Kolbach and
Esser (1958) for wort. The ends are a derived default around those three."""
CALCIUM_MAGNESIUM_EFFECT = Estimate(0.8, 1.0, 1.25)
"""Factor on Ca/3.5 + Mg/7: measured slopes give 3.4 and 7.6 to 9 equivalents per proton; ends are a
derived default."""
CALCIUM_LINEAR_MEQ_L = 100.0 / 20.039
"""Above 100 mg/L the series of Taylor (quoted in Briggs et al. 2004) flattens."""
CARBON_DIOXIDE_LOST = Estimate(0.0, 0.0, 0.3)
"""Share of dissolved CO2 that may leave the mash. Closed fits the NaOH titration; end derived."""
MODEL_ERROR_PH = 0.06
"""95 % half-width of what the equation itself misses: 0.032 (twice the leave-one-ratio-out error of
24 published mashes) and 0.05 for meter, sampling and mash time. Derived default."""
LOWEST_PH, HIGHEST_PH = 2.5, 9.0


class Balance(NamedTuple):
    """The balance with everything that does not depend on pH already summed, per kg of grist."""

    ratio: float
    dilutions: tuple[float, ...]
    buffer: float
    malt_at_zero: float
    calcium_magnesium: float
    hydroxide: float
    carbonate: float
    bicarbonate: float
    chalk: float
    water_charge: float
    water_strong: float
    acids: tuple[tuple[float, tuple[float, ...], int], ...]
    learnt: float = 0.0


def balance_of(mash: MashInput) -> Balance:
    ratio = mash.water_to_grist_l_kg.best
    if not ratio > 0.0:
        raise ValueError("water_to_grist_l_kg must be above 0")
    k = DILUTION_PH_PER_DECADE.best
    crush = mash.crush_factor.best
    dilutions = []
    buffer = malt_at_zero = 0.0
    for malt in mash.malts:
        decades = log10(ratio / malt.di_water_l_kg)
        dilutions.append(decades)
        strength = malt.share * malt.buffer_meq_kg_ph.best
        if not malt.lot_known:
            strength *= crush
        buffer += strength
        malt_at_zero -= strength * (malt.di_ph.best + k * decades)
    carbon, charge, strong = dissolved(
        mash.alkalinity_meq_l.best, mash.water_ph.best, mash.end_point_ph
    )
    chalk = ratio * chalk_effect(mash.chalk_meq_l.best)
    calcium_magnesium = (
        CALCIUM_MAGNESIUM_EFFECT.best
        * ratio
        * (
            mash.calcium_meq_l.best / CALCIUM_PER_PROTON
            + mash.magnesium_meq_l.best / MAGNESIUM_PER_PROTON
        )
    )
    return Balance(
        ratio,
        tuple(dilutions),
        buffer,
        malt_at_zero,
        calcium_magnesium,
        mash.hydroxide_meq_kg.best,
        ratio * carbon,
        ratio * mash.bicarbonate_mmol_l.best,
        chalk,
        charge,
        ratio * strong,
        tuple((a.mmol_kg.best, acid_constants(a.pkas), a.strong_protons) for a in mash.acids),
        mash.learnt_meq_kg,
    )


def carbonate_charge(h: float) -> tuple[float, float]:
    """Return the mean charge per mole of carbonate at [H+] = h, and its rise per pH unit."""
    one = K1_25C / h
    two = one * K2_25C / h
    total = 1.0 + one + two
    charge = (one + 2.0 * two) / total
    return charge, LN10 * ((one + 4.0 * two) / total - charge * charge)


def dissolved(alkalinity: float, ph: float, end_point_ph: float) -> tuple[float, float, float]:
    """Return C_T (mmol/L), its charge per mole and [OH-] - [H+] (mmol/L) of the water."""
    h = exp(-LN10 * ph)
    end = exp(-LN10 * end_point_ph)
    strong = KW_25C_MMOL / h - 1000.0 * h
    charge = carbonate_charge(h)[0]
    span = charge - carbonate_charge(end)[0]
    if span < 1e-3:
        return 0.0, charge, strong
    strong_end = KW_25C_MMOL / end - 1000.0 * end
    return max(0.0, (alkalinity - strong + strong_end) / span), charge, strong


def solve(balance: Balance) -> tuple[float, float]:
    """Return the pH of balance and the slope there (mEq/kg per pH): Newton inside a bracket."""
    low, high = LOWEST_PH, HIGHEST_PH
    ph = 5.5
    if balance.buffer > 0.0:
        ph = min(6.5, max(4.5, -balance.malt_at_zero / balance.buffer))
    for _ in range(80):
        value, slope = protons(balance, ph)
        if value > 0.0:
            high = ph
        else:
            low = ph
        step = value / slope if slope > 0.0 else 0.0
        following = ph - step
        if not low <= following <= high:
            following = 0.5 * (low + high)
        if abs(following - ph) < 1e-9:
            return following, slope
        ph = following
    return ph, slope


def protons(balance: Balance, ph: float) -> tuple[float, float]:
    """Return protons given minus protons taken at a pH (mEq/kg) and the slope of that."""
    h = exp(-LN10 * ph)
    charge, charge_slope = carbonate_charge(h)
    carbonate = balance.carbonate + balance.bicarbonate + balance.chalk
    acid, alkali = 1000.0 * balance.ratio * h, KW_25C_MMOL * balance.ratio / h
    value = (
        balance.buffer * ph
        + balance.malt_at_zero
        + balance.calcium_magnesium
        + balance.chalk / CALCIUM_PER_PROTON
        - balance.hydroxide
        - balance.carbonate * balance.water_charge
        - balance.bicarbonate
        - balance.chalk
        - balance.water_strong
        + carbonate * charge
        + balance.learnt
        + alkali
        - acid
    )
    slope = balance.buffer + carbonate * charge_slope + LN10 * (alkali + acid)
    for amount, constants, strong in balance.acids:
        given, rise = charge_and_slope(h, constants)
        value += amount * (given + strong)
        slope += amount * rise
    return value, slope
