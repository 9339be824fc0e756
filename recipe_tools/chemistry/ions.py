"""Ions, equivalents, hardness, residual alkalinity and the balance of charges.

Molar masses are sums of the abridged IUPAC standard atomic weights (2021).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple

MOLAR_MASS_G_MOL: Mapping[str, float] = {
    "calcium": 40.078,
    "magnesium": 24.305,
    "sodium": 22.990,
    "potassium": 39.098,
    "ammonium": 18.039,
    "iron": 55.845,
    "manganese": 54.938,
    "copper": 63.546,
    "zinc": 65.38,
    "chloride": 35.45,
    "sulfate": 96.056,
    "bicarbonate": 61.016,
    "carbonate": 60.008,
    "hydroxide": 17.007,
    "nitrate": 62.004,
    "nitrite": 46.005,
    "fluoride": 18.998,
    "sulfite": 80.057,
    "phosphate": 96.986,
    "lactate": 89.070,
}
"""Grams per mole of the ion as it is stated in a water report (phosphate as H2PO4-)."""

CHARGE: Mapping[str, int] = {
    "calcium": 2,
    "magnesium": 2,
    "sodium": 1,
    "potassium": 1,
    "ammonium": 1,
    "iron": 2,
    "manganese": 2,
    "copper": 2,
    "zinc": 2,
    "chloride": -1,
    "sulfate": -2,
    "bicarbonate": -1,
    "carbonate": -2,
    "hydroxide": -1,
    "nitrate": -1,
    "nitrite": -1,
    "fluoride": -1,
    "sulfite": -2,
    "phosphate": -1,
    "lactate": -1,
}

CACO3_MG_MEQ = 50.043
"""Milligrams of CaCO3 to one milliequivalent (100.086 / 2)."""

CALCIUM_PER_PROTON = 3.5
"""Equivalents of calcium to one of alkalinity. Kolbach (1953), Monatsschrift fuer Brauerei 6:49."""
MAGNESIUM_PER_PROTON = 7.0
"""Equivalents of magnesium to one of alkalinity. Kolbach (1953), as above."""

EQUIVALENT_MASS_MG_MEQ: Mapping[str, float] = {
    ion: mass / abs(CHARGE[ion]) for ion, mass in MOLAR_MASS_G_MOL.items()
}


def meq_l(ion: str, mg_l: float) -> float:
    """Return mEq/L (always positive) of an ion in mg/L. Raises KeyError for an unknown ion."""
    return mg_l / EQUIVALENT_MASS_MG_MEQ[ion]


def mg_l(ion: str, meq: float) -> float:
    """Return mg/L of an ion given in mEq/L. Raises KeyError for an unknown ion."""
    return meq * EQUIVALENT_MASS_MG_MEQ[ion]


def alkalinity_meq_l(ions_mg_l: Mapping[str, float]) -> float:
    """Return the alkalinity of the bicarbonate, carbonate and hydroxide of a report, mEq/L."""
    return sum(
        meq_l(ion, ions_mg_l.get(ion, 0.0)) for ion in ("bicarbonate", "carbonate", "hydroxide")
    )


def hardness_meq_l(ions_mg_l: Mapping[str, float]) -> float:
    """Return total hardness, calcium plus magnesium, mEq/L."""
    return meq_l("calcium", ions_mg_l.get("calcium", 0.0)) + meq_l(
        "magnesium", ions_mg_l.get("magnesium", 0.0)
    )


def residual_alkalinity_meq_l(
    alkalinity_meq_l: float, calcium_meq_l: float, magnesium_meq_l: float
) -> float:
    """Return Kolbach's residual alkalinity, mEq/L: alkalinity - Ca/3.5 - Mg/7.

    Any one unit of equivalents serves (mEq/L, °dH, mg/L as CaCO3); the result is in the same unit.
    Derived for boiled wort of 12 °P and dissolved salts; it says nothing about mash thickness.
    Source: Kolbach P. (1953), Monatsschrift fuer Brauerei 6:49-52.
    """
    return (
        alkalinity_meq_l
        - calcium_meq_l / CALCIUM_PER_PROTON
        - magnesium_meq_l / MAGNESIUM_PER_PROTON
    )


class ChargeBalance(NamedTuple):
    """Sums of cations and anions in mEq/L and their difference in percent of the total.

    verdict: by Standard Methods 1030 E for one sample, by wider bands of our own for averages.
    """

    cations_meq_l: float
    anions_meq_l: float
    difference_percent: float
    verdict: Literal["ok", "note", "warning", "implausible"]


def charge_balance(
    ions_mg_l: Mapping[str, float],
    *,
    alkalinity_meq_l: float | None = None,
    ph: float | None = None,
    kind: Literal["sample", "average"] = "sample",
) -> ChargeBalance:
    """Compare the charges of a water report.

    ions_mg_l: by ion name; names without a charge here (silica ...) are passed over.
    alkalinity_meq_l: takes the place of bicarbonate, carbonate and hydroxide if given.
    ph: adds free hydrogen or hydroxide ions if given (matters below 4 and above 10 only).
    kind: ``sample`` judges by Standard Methods 1030 E (absolute 0.2 mEq/L up to an anion sum of 3,
        2 % up to 10, 5 % above; beyond the limit a warning, beyond 20 % implausible). ``average``
        of a year mixes samples, so 5 % is ok, 10 % a note, 20 % a warning (derived default); with
        fewer than 3 mEq/L of anions the absolute rule holds there too.
    """
    cations = anions = 0.0
    for ion, amount in ions_mg_l.items():
        charge = CHARGE.get(ion)
        if charge is None:
            continue
        if alkalinity_meq_l is not None and ion in ("bicarbonate", "carbonate", "hydroxide"):
            continue
        if charge > 0:
            cations += meq_l(ion, amount)
        else:
            anions += meq_l(ion, amount)
    if alkalinity_meq_l is not None:
        anions += alkalinity_meq_l
    if ph is not None and alkalinity_meq_l is None:
        cations += 10.0 ** (3.0 - ph)
        anions += 10.0 ** (ph - 11.0)
    return _judged(cations, anions, kind)


def _judged(cations: float, anions: float, kind: Literal["sample", "average"]) -> ChargeBalance:
    total = cations + anions
    percent = 100.0 * (cations - anions) / total if total > 0 else 0.0
    off = abs(percent)
    if anions <= 3.0:
        difference = abs(cations - anions)
        if difference <= 0.2:
            return ChargeBalance(cations, anions, percent, "ok")
        verdict: Literal["note", "warning", "implausible"] = (
            "implausible" if off > 20.0 and difference > 0.5 else "warning"
        )
        return ChargeBalance(cations, anions, percent, verdict)
    if kind == "average":
        limits = (5.0, 10.0, 20.0)
    else:
        accepted = 2.0 if anions <= 10.0 else 5.0
        limits = (accepted, accepted, 20.0)
    if off <= limits[0]:
        return ChargeBalance(cations, anions, percent, "ok")
    if off <= limits[1]:
        return ChargeBalance(cations, anions, percent, "note")
    return ChargeBalance(cations, anions, percent, "warning" if off <= limits[2] else "implausible")


_SOLIDS = (
    "sodium",
    "potassium",
    "calcium",
    "magnesium",
    "chloride",
    "sulfate",
    "nitrate",
    "fluoride",
    "silica",
)


def dissolved_solids_mg_l(ions_mg_l: Mapping[str, float], alkalinity_meq_l: float) -> float:
    """Return total dissolved solids by calculation, mg/L (Standard Methods 1030 E, from memory).

    0.6 x alkalinity as CaCO3 (bicarbonate loses half of itself on drying) plus all other ions.
    A measured value lies within 1.0 to 1.2 times the calculated one in a sound report.
    """
    others = sum(ions_mg_l.get(ion, 0.0) for ion in _SOLIDS)
    return 0.6 * alkalinity_meq_l * CACO3_MG_MEQ + others


def conductivity_us_cm(cations_meq_l: float, anions_meq_l: float) -> tuple[float, float, float]:
    """Return the electrical conductivity at 25 °C to be expected, uS/cm, as (low, best, high).

    Standard Methods 1030 E (from memory): one hundredth of it is 0.9 to 1.1 times each ion sum.
    Holds for natural fresh water, roughly up to 2000 uS/cm.
    """
    mean = 0.5 * (cations_meq_l + anions_meq_l)
    return 100.0 * mean / 1.1, 100.0 * mean, 100.0 * mean / 0.9
