"""Will it dissolve, and what pH follows: ion pairs, free ions, saturation with calcite and gypsum.

Mass-action constants at 25 °C: Nordstrom D. K., Plummer L. N., Langmuir D., Busenberg E., May H.
M., Jones B. F., Parkhurst D. L. (1990), Revised chemical equilibrium data for major water-mineral
reactions and their limitations, ACS Symposium Series 416; with their enthalpies (van 't Hoff) for
other temperatures, 0 to 60 °C. Carbonate system and calcite: Plummer and Busenberg (1982).
Activity
coefficients: Truesdell-Jones parameters of the same compilation, up to about 0.5 mol/L for these
ions.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from math import log10, sqrt
from typing import NamedTuple

from recipe_tools.chemistry.carbonate import (
    apparent_constants,
    constants,
    debye_hueckel,
    log_activity_coefficient,
    total_carbonate_mmol_l,
)
from recipe_tools.chemistry.ions import MOLAR_MASS_G_MOL

_R_LN10 = 0.0019872 * 2.302585092994046
_SIZE: Mapping[str, tuple[int, float, float]] = {
    "calcium": (2, 5.0, 0.165),
    "magnesium": (2, 5.5, 0.20),
    "sodium": (1, 4.0, 0.075),
    "potassium": (1, 3.5, 0.015),
    "chloride": (-1, 3.5, 0.015),
    "sulfate": (-2, 5.0, -0.04),
    "bicarbonate": (-1, 5.4, 0.0),
    "carbonate": (-2, 5.4, 0.0),
    "hydrogen": (1, 9.0, 0.0),
    "hydroxide": (-1, 3.5, 0.0),
    "nitrate": (-1, 3.0, 0.0),
    "pair": (1, 5.4, 0.0),
}
"""Charge and the two parameters of the activity coefficient."""


class _Pair(NamedTuple):
    cation: str
    anion: str
    log_k: float
    enthalpy_kcal: float
    terms: tuple[float, float, float, float] | None = None


_PAIRS = (
    # terms: log K = a + b T + c/T + d log T, of Plummer and Busenberg (1982) for calcium
    _Pair("calcium", "sulfate", 2.30, 1.650),
    _Pair("calcium", "bicarbonate", 1.106, 2.69, (1209.120, 0.31294, -34765.05, -478.782)),
    _Pair("calcium", "carbonate", 3.224, 3.545, (-1228.732, -0.299440, 35512.75, 485.818)),
    _Pair("magnesium", "sulfate", 2.37, 4.550),
    _Pair("magnesium", "bicarbonate", 1.07, 0.79, (-59.215, 0.0, 2537.455, 20.92298)),
    _Pair("magnesium", "carbonate", 2.98, 2.713, (0.9910, 0.00667, 0.0, 0.0)),
    _Pair("sodium", "sulfate", 0.70, 1.120),
    _Pair("sodium", "bicarbonate", -0.25, 0.0),
    _Pair("sodium", "carbonate", 1.27, 8.91),
    _Pair("potassium", "sulfate", 0.85, 2.250),
    _Pair("calcium", "hydroxide", 1.22, 0.0),
    _Pair("magnesium", "hydroxide", 2.56, 2.6),
)
_CATIONS = ("calcium", "magnesium", "sodium", "potassium")


class Dissolved(NamedTuple):
    """Free ions of a water and what they mean for the minerals.

    free_mmol_l: by ion, without the part in ion pairs. ionic_strength: mol/L.
    total_carbonate_mmol_l: all carbonate, CO2 included. calcite, gypsum: saturation index, log10
    of the ion product over the constant; above 0 the mineral can precipitate, below 0 more of it
    can dissolve.
    """

    free_mmol_l: Mapping[str, float]
    ionic_strength: float
    total_carbonate_mmol_l: float
    calcite: float
    gypsum: float


def dissolve(
    ions_mg_l: Mapping[str, float],
    alkalinity_meq_l: float,
    ph: float,
    celsius: float = 25.0,
) -> Dissolved:
    """Return free ions and saturation of a water of known pH and exact alkalinity.

    ions_mg_l: totals; bicarbonate and carbonate are passed over in favour of the alkalinity.
    Iterates mass balances and activity coefficients until they settle to a part in 1e9. Takes about
    a millisecond: for single waters, not for every recipe of an archive.
    """
    total = {
        ion: ions_mg_l.get(ion, 0.0) / MOLAR_MASS_G_MOL[ion] * 1e-3
        for ion in (*_CATIONS, "chloride", "sulfate", "nitrate")
    }
    kelvin = celsius + 273.15
    pair_k = {(pair.cation, pair.anion): 10.0 ** _at_temperature(pair, kelvin) for pair in _PAIRS}
    carbonate = constants(celsius)
    h = 10.0**-ph
    free = dict(total)
    free["bicarbonate"] = max(alkalinity_meq_l, 0.0) * 1e-3
    free["carbonate"] = 0.0
    strength = 0.0
    for _ in range(60):
        gamma = _coefficients(strength, celsius)
        free["hydrogen"] = h / gamma["hydrogen"]
        free["hydroxide"] = 10.0**-carbonate.pkw / h / gamma["hydroxide"]
        before = (strength, free["bicarbonate"], free["calcium"], free["sulfate"])
        pairs = _pairs(free, gamma, pair_k)
        _settle_metals(free, total, pairs)
        _settle_carbonate(free, pairs, gamma, 10.0**-carbonate.pk2 / h, alkalinity_meq_l)
        strength = _strength(free, pairs)
        after = (strength, free["bicarbonate"], free["calcium"], free["sulfate"])
        if all(abs(x - y) <= 1e-9 * (abs(y) + 1e-9) for x, y in zip(before, after, strict=True)):
            break
    return _dissolved(free, pairs, strength, celsius, h)


def ph_of_dissolved(
    ions_mg_l: Mapping[str, float],
    alkalinity_meq_l: float,
    total_carbonate_mmol_l: float,
    celsius: float = 25.0,
) -> float:
    """Return the pH of a water of exact alkalinity and total carbonate, ion pairs regarded.

    Closed to the air, nothing precipitating. More acid lowers the alkalinity, lye raises it,
    neither changes the total. Found between pH 3 and 12 to 1e-6; where even pH 3 leaves too little
    carbonate acid dominates and the end of the range is returned. Takes some milliseconds.
    """
    low, high = 3.0, 12.0
    for _ in range(24):
        ph = 0.5 * (low + high)
        if dissolve(ions_mg_l, alkalinity_meq_l, ph, celsius).total_carbonate_mmol_l > (
            total_carbonate_mmol_l
        ):
            low = ph
        else:
            high = ph
    return 0.5 * (low + high)


@lru_cache(maxsize=4096)
def chalk_lost_meq_l(
    calcium_mg_l: float, alkalinity_meq_l: float, ph: float, celsius: float
) -> float:
    """Return the alkalinity that water loses as chalk when it is heated and stays closed, mEq/L.

    As much calcium goes with it. ph: of the water at 25 °C, alkalinity exact. All carbonate that
    does not settle stays dissolved; open to the air more is lost. Without ion pairs (activities by
    Davies), so that every recipe of an archive can ask: within a tenth of PHREEQC, or 0.1 mEq/L,
    for tap waters at 60 to 80 °C. 0 where nothing settles, and beyond pH 4 to 10.
    """
    calcium = calcium_mg_l / MOLAR_MASS_G_MOL["calcium"]
    total = total_carbonate_mmol_l(alkalinity_meq_l, ph, end_point_ph=None)
    most = min(calcium, 0.5 * alkalinity_meq_l)
    if not 1e-3 < most < 100.0 or total <= most or not 4.0 < ph < 10.0:
        return 0.0  # next to nothing there is, or no water that anybody brews with
    strength = min(0.5, 0.5e-3 * (4.0 * calcium + 2.0 * alkalinity_meq_l))
    apparent = apparent_constants(celsius, strength)
    k1, k2 = apparent.k1, apparent.k2
    calcium_activity = log_activity_coefficient(2, strength, celsius)
    solubility = 10.0 ** (6.0 - constants(celsius).pk_calcite - 2.0 * calcium_activity)

    def saturated(lost: float) -> bool:
        carbon = total - lost
        charge = (alkalinity_meq_l - 2.0 * lost) / carbon
        half = (1.0 - charge) * k1
        h = (sqrt(half * half + 4.0 * charge * (2.0 - charge) * k1 * k2) + half) / (2.0 * charge)
        carbonate = carbon * k1 * k2 / (h * h + k1 * h + k1 * k2)
        return bool((calcium - lost) * carbonate > solubility)

    if not saturated(0.0):
        return 0.0
    low, high = 0.0, most * (1.0 - 1e-9)
    for _ in range(24):
        middle = 0.5 * (low + high)
        if saturated(middle):
            low = middle
        else:
            high = middle
    return 2.0 * low


def gypsum_pk(celsius: float) -> float:
    """Return pK of CaSO4.2H2O, 4.58 at 25 °C, 0 to 60 °C (Nordstrom et al. 1990)."""
    kelvin = celsius + 273.15
    return -(68.2401 - 3221.51 / kelvin - 25.0627 * log10(kelvin))


def _at_temperature(pair: _Pair, kelvin: float) -> float:
    if pair.terms is not None:
        a, b, c, d = pair.terms
        return a + b * kelvin + c / kelvin + d * log10(kelvin)
    return pair.log_k + pair.enthalpy_kcal / _R_LN10 * (1.0 / 298.15 - 1.0 / kelvin)


def _coefficients(strength: float, celsius: float) -> dict[str, float]:
    """Return activity coefficients: log10 = -A z^2 sqrt(I) / (1 + B a sqrt(I)) + b I."""
    a, b = debye_hueckel(celsius)
    root = sqrt(strength)
    coefficients = {
        ion: 10.0 ** (-a * charge * charge * root / (1.0 + b * size * root) + more * strength)
        for ion, (charge, size, more) in _SIZE.items()
    }
    coefficients["neutral"] = 10.0 ** (0.1 * strength)
    return coefficients


def _pair_charge(cation: str, anion: str) -> int:
    return _SIZE[cation][0] + _SIZE[anion][0]


def _pairs(
    free: Mapping[str, float],
    gamma: Mapping[str, float],
    constants_of: Mapping[tuple[str, str], float],
) -> dict[tuple[str, str], float]:
    found = {}
    for (cation, anion), constant in constants_of.items():
        own = gamma["neutral" if _pair_charge(cation, anion) == 0 else "pair"]
        found[cation, anion] = (
            constant * free[cation] * gamma[cation] * free[anion] * gamma[anion] / own
        )
    return found


def _settle_metals(
    free: dict[str, float], total: Mapping[str, float], pairs: Mapping[tuple[str, str], float]
) -> None:
    """Bring the free metals and sulfate to their mass balance, each scaled by total over found."""
    for ion in (*_CATIONS, "sulfate"):
        if free[ion] <= 0.0:
            continue
        found = free[ion] + sum(amount for pair, amount in pairs.items() if ion in pair)
        free[ion] *= (total[ion] / found) ** 0.7


def _settle_carbonate(
    free: dict[str, float],
    pairs: Mapping[tuple[str, str], float],
    gamma: Mapping[str, float],
    second_over_h: float,
    alkalinity_meq_l: float,
) -> None:
    """Scale bicarbonate and carbonate so that the alkalinity comes out."""
    ratio = second_over_h * gamma["bicarbonate"] / gamma["carbonate"]
    bicarbonate = free["bicarbonate"]
    carried = bicarbonate * (1.0 + 2.0 * ratio)
    for (_, anion), amount in pairs.items():
        if anion in ("bicarbonate", "hydroxide"):
            carried += amount
        elif anion == "carbonate":
            carried += 2.0 * amount
    wanted = alkalinity_meq_l * 1e-3 - free["hydroxide"] + free["hydrogen"]
    if wanted <= 0.0:
        free["bicarbonate"] = free["carbonate"] = 0.0
        return
    # water without alkalinity starts from nothing, which cannot be scaled
    free["bicarbonate"] = bicarbonate * wanted / carried if bicarbonate > 0.0 else wanted
    free["carbonate"] = free["bicarbonate"] * ratio


def _strength(free: Mapping[str, float], pairs: Mapping[tuple[str, str], float]) -> float:
    total = sum(_SIZE[ion][0] ** 2 * amount for ion, amount in free.items())
    total += sum(_pair_charge(*pair) ** 2 * amount for pair, amount in pairs.items())
    return 0.5 * total


def _dissolved(
    free: Mapping[str, float],
    pairs: Mapping[tuple[str, str], float],
    strength: float,
    celsius: float,
    h: float,
) -> Dissolved:
    gamma = _coefficients(strength, celsius)
    exact = constants(celsius)
    carbon_dioxide = (
        free["bicarbonate"] * gamma["bicarbonate"] * h / 10.0**-exact.pk1 / gamma["neutral"]
    )
    in_pairs = sum(
        amount for (_, anion), amount in pairs.items() if anion in ("bicarbonate", "carbonate")
    )
    pk_gypsum = gypsum_pk(celsius)
    calcium = free["calcium"] * gamma["calcium"]
    return Dissolved(
        {ion: 1000.0 * amount for ion, amount in free.items()},
        strength,
        1000.0 * (carbon_dioxide + free["bicarbonate"] + free["carbonate"] + in_pairs),
        _index(calcium * free["carbonate"] * gamma["carbonate"], exact.pk_calcite),
        _index(calcium * free["sulfate"] * gamma["sulfate"], pk_gypsum),
    )


def _index(product: float, pk: float) -> float:
    return log10(product) + pk if product > 0.0 else float("-inf")
