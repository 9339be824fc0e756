"""Carbonic acid in water: constants, speciation, alkalinity, pH after acid or base.

Symbols: h activity of hydrogen ions, 10**-pH; K1, K2, Kw, KH constants of carbonic acid (CO2 and
H2CO3 taken together), water and Henry's law; C_T total dissolved carbonate; q mean negative charge
per mole of carbonate. Everything is closed to the air unless said otherwise. Concentrations are in
mmol/L and mEq/L; a litre of water counts as a kilogram. Ion pairs are left out, which matters in
hard water (3 % of the carbonate) and above pH 8.5: `saturation` regards them.

Constants: Plummer L. N., Busenberg E. (1982), Geochimica et Cosmochimica Acta 46:1011-1040,
0 to 90 °C. Activity coefficients: Davies C. W. (1962), Ion Association, up to about 0.1 mol/L.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import log10, sqrt
from typing import NamedTuple

from recipe_tools.chemistry.acids import acid_constants, charge_and_slope

END_POINT_PH = 4.3
"""To which alkalinity is titrated where nobody says otherwise (acid capacity to pH 4.3)."""


class CarbonateConstants(NamedTuple):
    """Negative decimal logarithms of the constants at one temperature, ionic strength zero."""

    pk1: float
    pk2: float
    pkw: float
    pk_calcite: float


@lru_cache(maxsize=256)
def constants(celsius: float = 25.0) -> CarbonateConstants:
    """Return the constants of Plummer and Busenberg (1982), valid from 0 to 90 °C.

    Raises ValueError outside -5 to 110 °C, where the equations mean nothing.
    """
    if not -5.0 <= celsius <= 110.0:
        raise ValueError(f"carbonate constants hold from 0 to 90 °C, not at {celsius:g}")
    t = celsius + 273.15
    logt = log10(t)
    log_k1 = -356.3094 - 0.06091964 * t + 21834.37 / t + 126.8339 * logt - 1684915.0 / t**2
    log_k2 = -107.8871 - 0.03252849 * t + 5151.79 / t + 38.92561 * logt - 563713.9 / t**2
    log_kw = -283.971 - 0.05069842 * t + 13323.0 / t + 102.24447 * logt - 1119669.0 / t**2
    log_calcite = -171.9065 - 0.077993 * t + 2839.319 / t + 71.595 * logt
    return CarbonateConstants(-log_k1, -log_k2, -log_kw, -log_calcite)


def log_activity_coefficient(charge: int, ionic_strength: float, celsius: float = 25.0) -> float:
    """Return log10 of the activity coefficient of an ion (Davies; 0.3 as its constant).

    ionic_strength: mol/L, up to about 0.1.
    """
    if ionic_strength <= 0.0 or charge == 0:
        return 0.0
    root = sqrt(ionic_strength)
    return (
        -debye_hueckel(celsius)[0] * charge * charge * (root / (1.0 + root) - 0.3 * ionic_strength)
    )


@lru_cache(maxsize=256)
def debye_hueckel(celsius: float) -> tuple[float, float]:
    """Return A and B (per angstrom) of the Debye-Hueckel law: 0.5115 and 0.3291 at 25 °C.

    Dielectric constant of water after Malmberg and Maryott (1956), 0 to 100 °C.
    """
    dielectric = 87.740 - 0.40008 * celsius + 9.398e-4 * celsius**2 - 1.410e-6 * celsius**3
    product: float = dielectric * (celsius + 273.15)
    return 1.82483e6 / (product * sqrt(product)), 50.2916 / sqrt(product)


class ApparentConstants(NamedTuple):
    """Constants that turn concentrations and an activity of hydrogen ions into each other.

    k1, k2: h x concentrations. hydrogen: [H+] in mmol/L per unit of h; hydroxide: [OH-] in mmol/L
    times h.
    """

    k1: float
    k2: float
    hydrogen: float
    hydroxide: float


@lru_cache(maxsize=256)
def apparent_constants(celsius: float = 25.0, ionic_strength: float = 0.0) -> ApparentConstants:
    """Return the constants for concentrations at an ionic strength (mol/L) and temperature."""
    exact = constants(celsius)
    one = log_activity_coefficient(1, ionic_strength, celsius)
    two = log_activity_coefficient(2, ionic_strength, celsius)
    return ApparentConstants(
        10.0 ** (-exact.pk1 - one + 0.1 * ionic_strength),
        10.0 ** (-exact.pk2 + one - two),
        1000.0 * 10.0**-one,
        1000.0 * 10.0 ** (-exact.pkw - one),
    )


class Carbonate(NamedTuple):
    """Carbonate species in mmol/L at one pH; total is their sum."""

    total: float
    carbon_dioxide: float
    bicarbonate: float
    carbonate: float


def charge_per_mole(ph: float, celsius: float = 25.0, ionic_strength: float = 0.0) -> float:
    """Return q, the mean negative charge per mole of carbonate: CO2 0, HCO3- 1, CO3-- 2."""
    apparent = apparent_constants(celsius, ionic_strength)
    return charge_and_slope(10.0**-ph, (apparent.k1, apparent.k2))[0]


def speciate(
    total_mmol_l: float, ph: float, celsius: float = 25.0, ionic_strength: float = 0.0
) -> Carbonate:
    """Return CO2, bicarbonate and carbonate of a total at a pH. Ion pairs are not regarded."""
    apparent = apparent_constants(celsius, ionic_strength)
    one = apparent.k1 / 10.0**-ph
    two = one * apparent.k2 / 10.0**-ph
    share = total_mmol_l / (1.0 + one + two)
    return Carbonate(total_mmol_l, share, share * one, share * two)


def strong_charge(ph: float, celsius: float = 25.0, ionic_strength: float = 0.0) -> float:
    """Return [OH-] - [H+] in mmol/L."""
    apparent = apparent_constants(celsius, ionic_strength)
    h: float = 10.0**-ph
    return apparent.hydroxide / h - apparent.hydrogen * h


def alkalinity_meq_l(
    total_mmol_l: float,
    ph: float,
    *,
    end_point_ph: float | None = END_POINT_PH,
    celsius: float = 25.0,
    ionic_strength: float = 0.0,
) -> float:
    """Return the alkalinity of total carbonate at a pH, as a titration to the end point finds it.

    end_point_ph: 4.3 (K_S4.3), 4.5 (routine in North America) or another; None gives the exact
    alkalinity of the equations, [HCO3-] + 2 [CO3--] + [OH-] - [H+].
    """
    exact = total_mmol_l * charge_per_mole(ph, celsius, ionic_strength) + strong_charge(
        ph, celsius, ionic_strength
    )
    if end_point_ph is None:
        return exact
    at_end = total_mmol_l * charge_per_mole(end_point_ph, celsius, ionic_strength) + strong_charge(
        end_point_ph, celsius, ionic_strength
    )
    return exact - at_end


def total_carbonate_mmol_l(
    alkalinity_meq_l: float,
    ph: float,
    *,
    end_point_ph: float | None = END_POINT_PH,
    celsius: float = 25.0,
    ionic_strength: float = 0.0,
) -> float:
    """Return C_T of water whose alkalinity was titrated to the end point, mmol/L; never below 0.

    Water at or below its end point has no alkalinity by definition: the result is 0 then.
    """
    span = charge_per_mole(ph, celsius, ionic_strength)
    strong = strong_charge(ph, celsius, ionic_strength)
    if end_point_ph is not None:
        span -= charge_per_mole(end_point_ph, celsius, ionic_strength)
        strong -= strong_charge(end_point_ph, celsius, ionic_strength)
    if span < 1e-4:
        return 0.0
    return max(0.0, (alkalinity_meq_l - strong) / span)


def acid_to_ph(
    alkalinity_meq_l: float,
    from_ph: float,
    to_ph: float,
    *,
    end_point_ph: float = END_POINT_PH,
    celsius: float = 25.0,
    ionic_strength: float = 0.0,
) -> float:
    """Return the protons (mEq/L) that bring water from one pH to another; negative means base.

    No CO2 leaves. An acid gives fewer protons than its molarity: see `acids.protons_per_mole`.
    """
    total = total_carbonate_mmol_l(
        alkalinity_meq_l,
        from_ph,
        end_point_ph=end_point_ph,
        celsius=celsius,
        ionic_strength=ionic_strength,
    )
    return alkalinity_meq_l_between(total, from_ph, to_ph, celsius, ionic_strength)


def alkalinity_meq_l_between(
    total_mmol_l: float,
    from_ph: float,
    to_ph: float,
    celsius: float = 25.0,
    ionic_strength: float = 0.0,
) -> float:
    """Return the protons (mEq/L) that a total of carbonate and water take up between two pH."""
    return (
        total_mmol_l
        * (
            charge_per_mole(from_ph, celsius, ionic_strength)
            - charge_per_mole(to_ph, celsius, ionic_strength)
        )
        + strong_charge(from_ph, celsius, ionic_strength)
        - strong_charge(to_ph, celsius, ionic_strength)
    )


class AfterAcids(NamedTuple):
    """Water with acid in it.

    alkalinity_meq_l: what a titration to the end point would read; the anion of a weak acid
    (lactate) takes up protons there too and is part of it. Negative where the acid has gone past
    the end point.
    """

    ph: float
    alkalinity_meq_l: float


Acid = tuple[float, tuple[float, ...], int]
"""mmol/L, pKa values, protons per mole that always leave."""


def ph_after_acids(
    alkalinity_meq_l: float,
    ph: float,
    acids: Sequence[Acid] = (),
    *,
    base_meq_l: float = 0.0,
    end_point_ph: float = END_POINT_PH,
    celsius: float = 25.0,
    ionic_strength: float = 0.0,
) -> AfterAcids:
    """Return pH and alkalinity of water with acids and strong base in it, nothing leaving it.

    base_meq_l: hydroxide (lye, dissolved lime). The pKa values of the acids are taken as they are;
    ionic_strength (mol/L) corrects carbonate and water only.
    """
    total = total_carbonate_mmol_l(
        alkalinity_meq_l,
        ph,
        end_point_ph=end_point_ph,
        celsius=celsius,
        ionic_strength=ionic_strength,
    )
    apparent = apparent_constants(celsius, ionic_strength)
    before = (
        total * charge_per_mole(ph, celsius, ionic_strength)
        + strong_charge(ph, celsius, ionic_strength)
        + base_meq_l
    )
    end = 10.0**-end_point_ph
    released = sum(
        amount * (strong + charge_and_slope(end, acid_constants(pkas))[0])
        for amount, pkas, strong in acids
    )
    return AfterAcids(
        _ph_of(before, total, acids, apparent), alkalinity_meq_l + base_meq_l - released
    )


def ph_of(
    alkalinity_meq_l: float, total_mmol_l: float, celsius: float = 25.0, ionic_strength: float = 0.0
) -> float:
    """Return the pH of water of an exact alkalinity (may be negative) and total carbonate."""
    return _ph_of(alkalinity_meq_l, total_mmol_l, (), apparent_constants(celsius, ionic_strength))


def _ph_of(
    charge_meq_l: float, total: float, acids: Sequence[Acid], apparent: ApparentConstants
) -> float:
    """Return the pH at which carbonate, water and acids carry the charge of the strong ions."""
    pairs = (apparent.k1, apparent.k2)
    prepared = [(c, acid_constants(pkas), strong) for c, pkas, strong in acids]
    low, high = -1.0, 15.0
    ph = 7.0
    for _ in range(200):
        h: float = 10.0**-ph
        q, slope = charge_and_slope(h, pairs)
        alkali, acid = apparent.hydroxide / h, apparent.hydrogen * h
        value = total * q + alkali - acid - charge_meq_l
        slope = total * slope + 2.302585092994046 * (alkali + acid)
        for amount, ks, strong in prepared:
            released, rise = charge_and_slope(h, ks)
            value += amount * (released + strong)
            slope += amount * rise
        if value > 0.0:
            high = ph
        else:
            low = ph
        following = ph - value / slope
        if not low <= following <= high:
            following = 0.5 * (low + high)
        if abs(following - ph) < 1e-10:
            return following
        ph = following
    return ph
