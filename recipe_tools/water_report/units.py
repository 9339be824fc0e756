"""Concentrations as water reports print them: on which basis, and what that is in mg/L or mEq/L.

A laboratory may state sulfate as sulfur, nitrate as nitrogen, hardness as calcium carbonate or in
degrees. ``21 mg/L as SO4-S``, ``21 mg/L SO4-S`` and ``21 mg S/L`` mean the same.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.ions import CACO3_MG_MEQ, EQUIVALENT_MASS_MG_MEQ, MOLAR_MASS_G_MOL
from recipe_tools.quantities import (
    EQUIVALENTS,
    MASS_CONCENTRATION,
    SUBSTANCE,
    Measure,
    QuantityError,
    amount_with_unit,
    is_measured_in,
)
from recipe_tools.reference.report_bases import Basis, basis_called, mg_per_mg, molar_mass_of
from recipe_tools.units import quantities_with
from recipe_tools.water_report.printed import Qualifier, printed

_WORDS = re.compile(r"[\s()\[\],]+")
_INNER = re.compile(
    r"([mµu]?(?:g|mol|val|eq|Eq))[\s(\[]*([^\s()\[\]/]+)[\s)\]]*/\s*([A-Za-z]+[3³]?)"
)
_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹⁺")


@dataclass(frozen=True, slots=True)
class Stated:
    """A concentration as it was stated.

    value: low, best and high in the unit asked for. basis: None where the report does not say.
    open_basis: the value depends on a basis nobody stated. qualifier: how it was printed (see
    `printed.Printed`). grains: in grains per gallon, as CaCO3.
    """

    value: Estimate
    basis: Basis | None = None
    open_basis: bool = False
    qualifier: Qualifier = ""
    grains: bool = False

    @property
    def to_treat(self) -> float:
        """What has to be removed: the stronger end, nothing below what the laboratory can tell."""
        return 0.0 if self.qualifier in ("below", "none") else self.value.high


def concentration(value: object, ion: str, usual: str = "") -> Stated:
    """Return mg/L of an ion (chlorine as Cl2).

    value: number (mg/L), text with unit and perhaps a basis, or what else `printed` reads. usual:
    unit and basis where the value has none. Raises QuantityError.
    """
    cell = _cell(value, usual)
    return cell.stated(_mg_l_per(cell, ion))


def alkalinity(value: object, usual: str = "") -> Stated:
    """Return alkalinity in mEq/L.

    value, usual: as for `concentration`; a bare number and mg/L without a basis are taken as CaCO3,
    with bicarbonate as the other end of the band. mmol/L is the acid capacity, one proton per mole.
    Raises QuantityError.
    """
    cell = _cell(value, usual)
    basis = cell.basis
    if basis is not None and "alkalinity" not in basis.holds:
        raise QuantityError("has a basis that alkalinity is not stated on; use CaCO3 or HCO3")
    if cell.measure is EQUIVALENTS:
        return cell.stated(cell.one)
    if cell.measure is SUBSTANCE:
        return cell.stated(cell.one * (1.0 if basis is None else basis.holds["alkalinity"]))
    if basis is not None:
        return cell.stated(cell.one * basis.mmol_per_mg("alkalinity"))
    narrow, wide = cell.one / CACO3_MG_MEQ, cell.one / MOLAR_MASS_G_MOL["bicarbonate"]
    low, best, high = cell.value
    band = Estimate(low * wide, best * narrow, high * narrow)
    return Stated(band, None, True, cell.qualifier, cell.grains)


def signed_equivalents(value: object) -> Stated:
    """Return mEq/L of alkalinity that may lie below zero, such as a residual alkalinity.

    Bare numbers are mEq/L; mg/L without a basis is CaCO3. Raises QuantityError.
    """
    estimate, text = spread(value)
    if not text:
        return Stated(estimate)
    unit, basis = _unit_and_basis(text)
    factor = alkalinity(f"1 {unit} as {basis.name}" if basis else f"1 {unit}").value.best
    return Stated(estimate.times(factor), basis)


def hardness(value: object, usual: str = "") -> Stated:
    """Return total hardness in mEq/L.

    value, usual: as for `concentration`; mg/L without a basis is CaCO3, mmol/L is calcium plus
    magnesium. Raises QuantityError.
    """
    cell = _cell(value, usual)
    basis = cell.basis
    if basis is not None and "hardness" not in basis.holds:
        raise QuantityError("has a basis that hardness is not stated on; use CaCO3 or °dH")
    if cell.measure is EQUIVALENTS:
        return cell.stated(cell.one)
    if cell.measure is SUBSTANCE:
        return cell.stated(cell.one * 2.0)
    if basis is None:
        return cell.stated(cell.one / CACO3_MG_MEQ)
    return cell.stated(cell.one * basis.mmol_per_mg("hardness"))


def has_basis_inside(text: str) -> bool:
    """Tell whether a unit names its basis inside, such as ``mg SO4/l``."""
    inner = _INNER.fullmatch(text.translate(_SUBSCRIPTS))
    return inner is not None and basis_called(inner[2]) is not None


def spread(value: object) -> tuple[Estimate, str]:
    """Return low, best and high of a value and the unit stated with it. Raises QuantityError.

    value: as for `printed.printed`; a word for a value nobody measured is none.
    """
    cell = printed(value)
    if cell.qualifier == "unstated":
        raise QuantityError("says that nobody measured it; leave the row out")
    return cell.value, cell.unit


@dataclass(frozen=True, slots=True)
class _Cell:
    """A printed value with its unit and its basis taken apart.

    one: one of the unit in that of the measure.
    """

    value: Estimate
    one: float
    measure: Measure
    basis: Basis | None
    qualifier: Qualifier
    grains: bool

    def stated(self, factor: float) -> Stated:
        return Stated(self.value.times(factor), self.basis, False, self.qualifier, self.grains)


def _cell(value: object, usual: str) -> _Cell:
    cell = printed(value)
    if cell.value.low < 0:
        raise QuantityError("is below zero")
    unit, basis = _unit_and_basis(cell.unit)
    usual_unit, usual_basis = _unit_and_basis(usual)
    if basis is None and (not unit or _in_grains(unit) or _measure(unit) is MASS_CONCENTRATION):
        basis = usual_basis
    unit = unit or usual_unit
    if _in_grains(unit):
        as_caco3 = basis is None or basis.name == "CaCO3"
        measure = EQUIVALENTS if as_caco3 else MASS_CONCENTRATION
    else:
        measure = _measure(unit)
    one = amount_with_unit(1.0, unit, measure)
    grains = _in_grains(unit) and basis is None
    return _Cell(cell.value, one, measure, basis, cell.qualifier, grains)


def _in_grains(unit: str) -> bool:
    """Tell whether a unit is grains per gallon, which are as CaCO3 unless another basis is named.

    They stand in the table of units as a degree of hardness and as a mass (common practice of water
    softening, no source).
    """
    return {EQUIVALENTS.quantity, MASS_CONCENTRATION.quantity} <= set(quantities_with(unit))


def _measure(unit: str) -> Measure:
    """Return what a unit measures; where it is none of a concentration, that shows later."""
    kinds = (EQUIVALENTS, SUBSTANCE) if unit else ()
    return next((kind for kind in kinds if is_measured_in(unit, kind)), MASS_CONCENTRATION)


def _unit_and_basis(text: str) -> tuple[str, Basis | None]:
    """Take the chemical basis out of a unit text: ``mg/L as SO4-S`` -> ``mg/L`` and that basis."""
    if not text:
        return "", None
    spelt = text.translate(_SUBSCRIPTS)
    if (inner := _INNER.fullmatch(spelt)) and (basis := basis_called(inner[2])):
        return f"{inner[1]}/{inner[3]}", basis
    words = [word for word in _WORDS.split(spelt) if word]
    if len(words) > 1 and (basis := basis_called(words[-1])):
        rest = words[:-1]
        if rest[-1].casefold() in ("as", "of", "als"):
            rest.pop()
        return " ".join(rest), basis
    if len(words) > 1 and words[-2].casefold() in ("as", "als"):
        raise QuantityError("is stated as something that is not known as a basis")
    return " ".join(words), None


def _mg_l_per(cell: _Cell, ion: str) -> float:
    """Return mg/L of the ion for one as it is stated in a cell."""
    basis = cell.basis
    per_mg = 1.0 if basis is None else _mg_per_mg(ion, basis)
    if cell.measure is EQUIVALENTS:
        if ion not in EQUIVALENT_MASS_MG_MEQ:
            raise QuantityError("is stated in equivalents; write it in mg/L")
        return cell.one * EQUIVALENT_MASS_MG_MEQ[ion]
    if cell.measure is SUBSTANCE:
        return cell.one * (_molar_mass(ion) if basis is None else per_mg * basis.molar_mass_g_mol)
    return cell.one * per_mg


def _molar_mass(ion: str) -> float:
    try:
        return molar_mass_of(ion)
    except KeyError:
        raise QuantityError("is stated in moles; write it in mg/L") from None


def _mg_per_mg(ion: str, basis: Basis) -> float:
    try:
        return mg_per_mg(ion, basis)
    except KeyError:
        raise QuantityError(f"has a basis that {ion} is not stated on") from None
