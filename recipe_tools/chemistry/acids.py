"""Acids: protons they give at a pH, their strength per gram and millilitre, the anions they leave.

An acid is described by its pKa values (25 °C) and the protons that leave it at any pH
(hydrochloric acid 1 and no pKa; sulfuric acid 1 and pKa 1.99).
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

_LN10 = 2.302585092994046


def charge_and_slope(h: float, constants: tuple[float, ...]) -> tuple[float, float]:
    """Return protons released per mole at an activity h of hydrogen ions, and their rise per pH.

    constants: K1, K2 ... of stepwise dissociation. The rise is ln 10 times the variance of the
    number of protons released, so it is never negative.
    """
    term = total = 1.0
    first = second = 0.0
    for count, constant in enumerate(constants, 1):
        term *= constant / h
        total += term
        first += count * term
        second += count * count * term
    mean = first / total
    return mean, _LN10 * (second / total - mean * mean)


@lru_cache(maxsize=256)
def acid_constants(pkas: tuple[float, ...]) -> tuple[float, ...]:
    """Return K1, K2 ... of pKa values."""
    return tuple(10.0**-pka for pka in pkas)


def protons_per_mole(pkas: tuple[float, ...], ph: float, strong_protons: int = 0) -> float:
    """Return the protons one mole of an acid has given off at a pH."""
    return strong_protons + charge_and_slope(10.0**-ph, acid_constants(pkas))[0]


def meq_per_gram(
    molar_mass_g_mol: float,
    pkas: tuple[float, ...],
    ph: float,
    *,
    strong_protons: int = 0,
    percent: float = 100.0,
) -> float:
    """Return mEq of protons per gram of an acid of so many percent by weight, down to a pH.

    Raises ValueError for a percentage outside 0 to 100 or a molar mass not above 0.
    """
    if not 0.0 <= percent <= 100.0:
        raise ValueError(f"{percent:g} % by weight is impossible")
    if not molar_mass_g_mol > 0.0:
        raise ValueError("molar mass must be above 0")
    return 10.0 * percent / molar_mass_g_mol * protons_per_mole(pkas, ph, strong_protons)


def meq_per_ml(
    molar_mass_g_mol: float,
    pkas: tuple[float, ...],
    ph: float,
    density_kg_l: float,
    *,
    strong_protons: int = 0,
    percent: float = 100.0,
) -> float:
    """Return mEq of protons per millilitre of an acid solution, down to a pH.

    percent: by weight. density_kg_l: of the solution at 20 °C. Raises ValueError as `meq_per_gram`.
    """
    return density_kg_l * meq_per_gram(
        molar_mass_g_mol, pkas, ph, strong_protons=strong_protons, percent=percent
    )


class CounterIon(NamedTuple):
    """What an acid leaves behind: the ion's name in `ions` or an organic anion, and its amount."""

    ion: str
    mg_per_meq: float


_ANIONS: dict[str, tuple[str, float, int]] = {
    "hydrochloric_acid": ("chloride", 35.45, 0),
    "sulfuric_acid": ("sulfate", 96.056, 0),
    "lactic_acid": ("lactate", 90.078, 1),
    "phosphoric_acid": ("phosphate", 97.994, 1),
    "citric_acid": ("citrate", 192.123, 1),
    "tartaric_acid": ("tartrate", 150.086, 1),
    "malic_acid": ("malate", 134.087, 1),
    "acetic_acid": ("acetate", 60.052, 1),
    "ascorbic_acid": ("ascorbate", 176.124, 1),
}


def left_behind(acid_id: str) -> tuple[str, float]:
    """Return the name of what an acid leaves and its g/mol, a weak acid's less one proton.

    acid_id: hydrated forms count as their acid. Raises KeyError for an unknown one.
    """
    name = acid_id.removesuffix("_anhydrous").removesuffix("_monohydrate")
    ion, mass, protons = _ANIONS[name]
    return ion, mass - 1.008 * protons


def counter_ion(
    acid_id: str, pkas: tuple[float, ...], ph: float, strong_protons: int = 0
) -> CounterIon:
    """Return the anion an acid leaves per mEq of protons it has given down to a pH.

    Mineral acids leave chloride (35.45 mg/mEq) and sulfate (48.03); of a weak acid all of its
    species are counted together, the undissociated acid too, since all of it stays in the beer.
    acid_id: hydrated forms count as their acid. Raises KeyError for an unknown one.
    """
    name = acid_id.removesuffix("_anhydrous").removesuffix("_monohydrate")
    ion, mass, protons = _ANIONS[name]
    released = protons_per_mole(pkas, ph, strong_protons)
    return CounterIon(ion, (mass - 1.008 * protons * released) / released)
