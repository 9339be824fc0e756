"""What treatment makes of a water: blending, dechlorination, boiling, lime, softening.

A litre of water counts as a kilogram. Stoichiometry from abridged IUPAC atomic weights.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Literal, NamedTuple

from recipe_tools.chemistry.carbonate import alkalinity_meq_l as alkalinity_at
from recipe_tools.chemistry.carbonate import (
    ph_of,
    speciate,
    total_carbonate_mmol_l,
)
from recipe_tools.chemistry.ions import (
    CACO3_MG_MEQ,
    EQUIVALENT_MASS_MG_MEQ,
    MOLAR_MASS_G_MOL,
)


class Water(NamedTuple):
    """A water by its ions in mg/L, its alkalinity (titrated to pH 4.3) and its pH, if known.

    Bicarbonate and carbonate belong into the alkalinity, not into ions_mg_l.
    """

    ions_mg_l: Mapping[str, float]
    alkalinity_meq_l: float
    ph: float | None = None


REVERSE_OSMOSIS = Water(
    MappingProxyType({"calcium": 1.0, "sodium": 5.0, "chloride": 5.0, "sulfate": 1.0}),
    10.0 / MOLAR_MASS_G_MOL["bicarbonate"],
    6.0,
)
"""Permeate where nobody states it: a membrane passes 1 to 5 % of its feed. Derived default."""

DISTILLED = Water(MappingProxyType({}), 0.0, 7.0)


def blend(parts: Sequence[tuple[Water, float]]) -> Water:
    """Return the mixture of waters, each with its litres.

    Ions and alkalinity mix linearly. The pH does not: it is solved from the mixed alkalinity and
    total carbonate, without exchange with air (None if a pH is missing). Raises ValueError where
    the litres do not add up to more than 0 or one of them is negative.
    """
    litres = sum(amount for _, amount in parts)
    if not litres > 0.0 or any(amount < 0.0 for _, amount in parts):
        raise ValueError("a blend needs litres above 0")
    ions: dict[str, float] = {}
    alkalinity = 0.0
    for water, amount in parts:
        share = amount / litres
        alkalinity += share * water.alkalinity_meq_l
        for ion, value in water.ions_mg_l.items():
            ions[ion] = ions.get(ion, 0.0) + share * value
    return Water(ions, alkalinity, _blended_ph(parts, litres))


def _blended_ph(parts: Sequence[tuple[Water, float]], litres: float) -> float | None:
    total = exact = 0.0
    for water, amount in parts:
        if water.ph is None:
            return None
        carbonate = total_carbonate_mmol_l(water.alkalinity_meq_l, water.ph)
        total += amount / litres * carbonate
        exact += amount / litres * alkalinity_at(carbonate, water.ph, end_point_ph=None)
    return ph_of(exact, total)


def share_for_target(target: float, tap: float, pure: float) -> float | None:
    """Return the share of tap water (0..1) that brings one concentration to its target.

    None where no blend of the two can reach it. Any unit, the same for all three.
    """
    if tap == pure:
        return 1.0 if target == tap else None
    share = (target - pure) / (tap - pure)
    return share if 0.0 <= share <= 1.0 else None


Dechlorinator = Literal["sodium_metabisulfite", "potassium_metabisulfite", "ascorbic_acid"]

CHLORINE_G_MOL = 70.90
"""Residual chlorine is reported as Cl2."""

_MASS_PER_EQUIVALENT: Mapping[str, float] = {
    "sodium_metabisulfite": 190.095 / 2.0,
    "potassium_metabisulfite": 222.311 / 2.0,
    "ascorbic_acid": 176.124,
}
"""Grams that take one mole of chlorine: a mole of metabisulfite gives two of bisulfite."""


SURPLUS = 0.1
"""Above stoichiometry, in whatever is proposed: field guides for pipelines list 1.47 mg of sodium
metabisulfite per mg of chlorine, a tenth above the 1.341 of the equation."""
ENOUGH_SHARE = 0.95
"""Of the stoichiometric need: less than this is too little (derived_default)."""
SULFUR_DIOXIDE_G_MOL = 64.058


def dechlorination_dose(
    agent: Dechlorinator, chlorine_mg_l: float, *, surplus: float = 0.0
) -> float:
    """Return mg/L of an agent that removes so much chlorine or monochloramine (mg/L as Cl2).

    surplus: fraction above stoichiometry. Free chlorine and monochloramine take the same amount.
    Raises KeyError for an unknown agent.
    """
    return (1.0 + surplus) * chlorine_mg_l * _MASS_PER_EQUIVALENT[agent] / CHLORINE_G_MOL


def proposed_dose(agent: Dechlorinator, chlorine_mg_l: float) -> float:
    """Return mg/L of an agent to take against so much chlorine, with `SURPLUS`: the one figure."""
    return dechlorination_dose(agent, chlorine_mg_l, surplus=SURPLUS)


class Dechlorination(NamedTuple):
    """What a dose does: chlorine left (as Cl2) and what it leaves in the water, mg/L.

    alkalinity_used_meq_l: protons set free. sulfur_dioxide: unused sulfite as SO2; most of it is
    lost in mash and boil.
    """

    chlorine_left_mg_l: float
    chloride_mg_l: float
    sulfate_mg_l: float
    sodium_mg_l: float
    potassium_mg_l: float
    ammonium_mg_l: float
    sulfur_dioxide_mg_l: float
    alkalinity_used_meq_l: float


def dechlorinate(
    agent: Dechlorinator, dose_mg_l: float, chlorine_mg_l: float, *, chloramine: bool = False
) -> Dechlorination:
    """Return what a dose of metabisulfite or ascorbic acid does to chlorine or monochloramine.

    HOCl + HSO3- = Cl- + SO4-- + 2 H+;  NH2Cl + HSO3- + H2O = NH4+ + Cl- + SO4-- + H+;
    ascorbic acid gives one proton with HOCl and none with NH2Cl. chlorine_mg_l is as Cl2. What is
    not used is bisulfite. Raises KeyError for an unknown agent.
    """
    available = dose_mg_l / _MASS_PER_EQUIVALENT[agent]
    present = chlorine_mg_l / CHLORINE_G_MOL
    used = min(available, present)
    sulfite = agent != "ascorbic_acid"
    protons = (1 if chloramine else 2) if sulfite else (0 if chloramine else 1)
    return Dechlorination(
        chlorine_left_mg_l=(present - used) * CHLORINE_G_MOL,
        chloride_mg_l=used * MOLAR_MASS_G_MOL["chloride"],
        sulfate_mg_l=used * MOLAR_MASS_G_MOL["sulfate"] if sulfite else 0.0,
        sodium_mg_l=(
            available * MOLAR_MASS_G_MOL["sodium"] if agent == "sodium_metabisulfite" else 0.0
        ),
        potassium_mg_l=(
            available * MOLAR_MASS_G_MOL["potassium"] if agent == "potassium_metabisulfite" else 0.0
        ),
        ammonium_mg_l=used * MOLAR_MASS_G_MOL["ammonium"] if chloramine else 0.0,
        sulfur_dioxide_mg_l=(available - used) * SULFUR_DIOXIDE_G_MOL if sulfite else 0.0,
        alkalinity_used_meq_l=used * protons,
    )


BOILED_ALKALINITY_MEQ_L = 1.0
MOST_BOILED_MEQ_L = 80.0 / MOLAR_MASS_G_MOL["bicarbonate"]
"""What stays after boiling and settling: 60 to 80 mg/L bicarbonate; from memory."""
CALCIUM_LEFT_MEQ_L = 0.5
"""Calcium that stays dissolved beside it. Derived default."""
LIMED_ALKALINITY_MEQ_L = 40.0 / CACO3_MG_MEQ
LEAST_LIMED_MEQ_L, MOST_LIMED_MEQ_L = 30.0 / CACO3_MG_MEQ, 50.0 / CACO3_MG_MEQ
"""What stays after lime softening: 30 to 50 mg/L as CaCO3; from memory."""


def boil(water: Water, left_meq_l: float = BOILED_ALKALINITY_MEQ_L) -> Water:
    """Return the water boiled, cooled and poured off the chalk.

    Ca(HCO3)2 = CaCO3 + CO2 + H2O: every mEq/L of alkalinity takes 20.04 mg/L of calcium with it.
    Alkalinity that belongs to sodium, and magnesium, stay. The pH is left open. left_meq_l: of
    alkalinity, where there is calcium enough.
    """
    removed = _temporary(water, left_meq_l)
    return _without_chalk(water, removed)


class Limed(NamedTuple):
    """Lime-softened water and the Ca(OH)2 it takes, mg/L of pure lime."""

    water: Water
    lime_mg_l: float


def lime_soften(
    water: Water,
    carbon_dioxide_mg_l: float | None = None,
    left_meq_l: float = LIMED_ALKALINITY_MEQ_L,
) -> Limed:
    """Return the water softened with slaked lime and poured off the chalk.

    Ca(HCO3)2 + Ca(OH)2 = 2 CaCO3 + 2 H2O, and CO2 + Ca(OH)2 = CaCO3 + H2O for free CO2, which is
    worked out from the pH where not given (0 without a pH). Magnesium stays (it needs pH 10.5 and
    more). Lime burns eyes and skin; check with a test kit and follow local rules for drinking
    water.
    """
    removed = _temporary(water, left_meq_l)
    free = carbon_dioxide_mg_l
    if free is None:
        free = 0.0
        if water.ph is not None:
            total = total_carbonate_mmol_l(water.alkalinity_meq_l, water.ph)
            free = speciate(total, water.ph).carbon_dioxide * 44.009
    lime = 74.092 * (0.5 * removed + free / 44.009)
    if removed <= 0.0:
        return Limed(water, 0.0)
    return Limed(_without_chalk(water, removed), lime)


def _temporary(water: Water, floor: float) -> float:
    calcium = water.ions_mg_l.get("calcium", 0.0) / EQUIVALENT_MASS_MG_MEQ["calcium"]
    return max(0.0, min(water.alkalinity_meq_l - floor, calcium - CALCIUM_LEFT_MEQ_L))


def _without_chalk(water: Water, removed_meq_l: float) -> Water:
    ions = dict(water.ions_mg_l)
    if removed_meq_l > 0.0:
        ions["calcium"] -= removed_meq_l * EQUIVALENT_MASS_MG_MEQ["calcium"]
    return Water(ions, water.alkalinity_meq_l - removed_meq_l, None)
