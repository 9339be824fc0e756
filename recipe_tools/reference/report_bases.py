"""The formulas on which laboratories state ions, alkalinity and hardness, with their masses."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from recipe_tools.chemistry.ions import CACO3_MG_MEQ, EQUIVALENT_MASS_MG_MEQ, MOLAR_MASS_G_MOL
from recipe_tools.reference.tables import table

_NO_IONS = {"silica": "sio2", "chlorine": "cl2"}


class Basis(NamedTuple):
    """A formula something is stated on.

    holds: moles in one mole of it, by ion; of chlorine (Cl2), silica (SiO2), and of the protons
    that ``alkalinity`` and ``hardness`` are counted in.
    """

    name: str
    molar_mass_g_mol: float
    holds: Mapping[str, float]

    def mmol_per_mg(self, what: str) -> float:
        """Return mmol of an ion (mEq of alkalinity or hardness) in one mg. KeyError for others."""
        return self.holds[what] / self.molar_mass_g_mol


_CHARGES = (re.compile(r"[-+]+$"), re.compile(r"\^?[0-9][-+]$"), re.compile(r"\^?[-+][0-9]$"))


def basis_called(word: str) -> Basis | None:
    """Return the basis of a formula, with or without its charge; None where it is none."""
    folded = word.casefold()
    spellings = (folded, *(charge.sub("", folded) for charge in _CHARGES))
    return next((bases()[one] for one in spellings if one in bases()), None)


def mg_per_mg(ion: str, basis: Basis) -> float:
    """Return mg of an ion (chlorine: as Cl2) in one mg as stated on a basis. KeyError for others.

    As CaCO3 any ion may be stated: that counts its charge.
    """
    if basis.name == "CaCO3" and ion in EQUIVALENT_MASS_MG_MEQ:
        return EQUIVALENT_MASS_MG_MEQ[ion] / CACO3_MG_MEQ
    return molar_mass_of(ion) * basis.mmol_per_mg(ion)


def molar_mass_of(ion: str) -> float:
    """Return g/mol of an ion, of silica or of chlorine. Raises KeyError for others."""
    own = MOLAR_MASS_G_MOL.get(ion)
    return bases()[_NO_IONS[ion]].molar_mass_g_mol if own is None else own


@cache
def bases() -> Mapping[str, Basis]:
    """Return the bases by formula and by what else it is called (``so4-s``, ``s``), case folded."""
    return MappingProxyType(
        {
            word.casefold(): Basis(
                row["basis"], float(row["molar_mass_g_mol"]), _held(row["holds"])
            )
            for row in table("report_bases")
            for word in (row["basis"], *row["words"].split())
        }
    )


def _held(cell: str) -> Mapping[str, float]:
    pairs = (entry.partition(":") for entry in cell.split())
    return MappingProxyType({what: float(moles or 1.0) for what, _, moles in pairs})
