"""Concentrations as water reports print them: on which basis, and what that is in mg/L or mEq/L.

A laboratory may state sulfate as sulfur, nitrate as nitrogen, hardness as calcium carbonate or in
degrees. ``21 mg/L as SO4-S``, ``21 mg/L SO4-S`` and ``21 mg S/L`` mean the same.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.ions import (
    CACO3_MG_MEQ,
    EQUIVALENT_MASS_MG_MEQ,
    MOLAR_MASS_G_MOL,
)
from recipe_tools.chemistry.treatment import CHLORINE_G_MOL, chlorine_of_chloramine
from recipe_tools.quantities import (
    EQUIVALENTS,
    MASS_CONCENTRATION,
    SUBSTANCE,
    Measure,
    QuantityError,
    amount_with_unit,
    is_measured_in,
)
from recipe_tools.water_report.printed import Mark, printed

_ATOMIC: Mapping[str, float] = MappingProxyType(
    {"s": 32.06, "n": 14.007, "p": 30.974, "si": 28.085}
)
"""Abridged IUPAC standard atomic weights (2021)."""
SILICA_G_MOL = 60.083

_OTHER_MOLAR_MASS: Mapping[str, float] = MappingProxyType(
    {"silica": SILICA_G_MOL, "chlorine": CHLORINE_G_MOL}
)


def _of(ion: str, basis: str) -> float:
    return MOLAR_MASS_G_MOL[ion] / _ATOMIC[basis]


_BASES: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "sulfate": {"so4": 1.0, "s": _of("sulfate", "s"), "so4-s": _of("sulfate", "s")},
        "nitrate": {"no3": 1.0, "n": _of("nitrate", "n"), "no3-n": _of("nitrate", "n")},
        "nitrite": {"no2": 1.0, "n": _of("nitrite", "n"), "no2-n": _of("nitrite", "n")},
        "ammonium": {
            "nh4": 1.0,
            "n": _of("ammonium", "n"),
            "nh4-n": _of("ammonium", "n"),
            "nh3-n": _of("ammonium", "n"),
            "nh3": 18.039 / 17.031,
        },
        "phosphate": {
            "h2po4": 1.0,
            "po4": MOLAR_MASS_G_MOL["phosphate"] / 94.970,
            "p": _of("phosphate", "p"),
            "po4-p": _of("phosphate", "p"),
            "p2o5": 2 * MOLAR_MASS_G_MOL["phosphate"] / 141.943,
        },
        "silica": {"sio2": 1.0, "si": SILICA_G_MOL / _ATOMIC["si"]},
        "calcium": {"ca": 1.0, "cao": 40.078 / 56.077},
        "magnesium": {"mg": 1.0, "mgo": 24.305 / 40.304},
        "sodium": {"na": 1.0},
        "potassium": {"k": 1.0, "k2o": 2 * 39.098 / 94.195},
        "chloride": {"cl": 1.0, "nacl": 35.45 / 58.44},
        "fluoride": {"f": 1.0},
        "iron": {"fe": 1.0},
        "manganese": {"mn": 1.0},
        "copper": {"cu": 1.0},
        "zinc": {"zn": 1.0},
        "bicarbonate": {"hco3": 1.0},
        "carbonate": {"co3": 1.0},
        "hydroxide": {"oh": 1.0},
        "chlorine": {
            "cl2": 1.0,
            "cl": 1.0,
            "nh2cl": chlorine_of_chloramine(1.0),
        },
    }
)
"""ion -> basis in lower case -> mg/L of the ion (chlorine: as Cl2) per mg/L as stated."""

_ALKALINITY_BASES: Mapping[str, float] = MappingProxyType(
    {"caco3": CACO3_MG_MEQ, "hco3": 61.016, "co3": 30.004, "cao": 28.0385}
)
"""basis -> mg to one mEq of alkalinity."""
_PROTONS_PER_MOLE: Mapping[str, float] = MappingProxyType(
    {"": 1.0, "hco3": 1.0, "caco3": 2.0, "co3": 2.0, "cao": 2.0}
)

_KNOWN_BASES = frozenset(
    {"caco3", *_ALKALINITY_BASES, *(basis for row in _BASES.values() for basis in row)}
)
_WORDS = re.compile(r"[\s()\[\],]+")
_INNER = re.compile(
    r"([mµu]?(?:g|mol|val|eq|Eq))[\s(\[]*([^\s()\[\]/]+)[\s)\]]*/\s*([A-Za-z]+[3³]?)"
)
_CHARGES = (re.compile(r"[-+]+$"), re.compile(r"\^?[0-9][-+]$"), re.compile(r"\^?[-+][0-9]$"))
_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹⁺")


@dataclass(frozen=True, slots=True)
class Stated:
    """A concentration as it was stated.

    value: low, best and high in the unit asked for. basis: ``so4-s``, ``caco3`` ... in lower case,
    empty where the report does not say. open_basis: the value depends on a basis nobody stated.
    mark: how it was printed (see `printed.Printed`). grains: in grains per gallon, as CaCO3.
    """

    value: Estimate
    basis: str = ""
    open_basis: bool = False
    mark: Mark = ""
    grains: bool = False

    @property
    def to_treat(self) -> float:
        """What has to be removed: the stronger end, nothing below what the laboratory can tell."""
        return 0.0 if self.mark in ("below", "none") else self.value.high


def concentration(value: object, ion: str, usual: str = "") -> Stated:
    """Return mg/L of an ion (chlorine as Cl2).

    value: number (mg/L), text with unit and perhaps a basis, or what else `printed` reads. usual:
    unit and basis where the value has none. Raises QuantityError.
    """
    cell = _cell(value, usual)
    factor = _mg_l_per(cell.unit, cell.basis, ion)
    return cell.stated(factor, cell.basis)


def alkalinity(value: object, usual: str = "") -> Stated:
    """Return alkalinity in mEq/L.

    value, usual: as for `concentration`; a bare number and mg/L without a basis are taken as CaCO3,
    with bicarbonate as the other end of the band. mmol/L is the acid capacity, one proton per mole.
    Raises QuantityError.
    """
    cell = _cell(value, usual)
    unit, basis = cell.unit, cell.basis
    if basis and basis not in _ALKALINITY_BASES:
        raise QuantityError("has a basis that alkalinity is not stated on; use CaCO3 or HCO3")
    if _is(unit, EQUIVALENTS):
        factor = amount_with_unit(1.0, unit, EQUIVALENTS)
    elif _is(unit, SUBSTANCE):
        factor = amount_with_unit(1.0, unit, SUBSTANCE) * _PROTONS_PER_MOLE[basis]
    else:
        milligrams = amount_with_unit(1.0, unit, MASS_CONCENTRATION)
        if not basis:
            narrow = milligrams / CACO3_MG_MEQ
            wide = milligrams / _ALKALINITY_BASES["hco3"]
            low, best, high = cell.value
            band = Estimate(low * wide, best * narrow, high * narrow)
            return Stated(band, "", True, cell.mark, cell.grains)
        factor = milligrams / _ALKALINITY_BASES[basis]
    return cell.stated(factor, basis)


def signed_equivalents(value: object) -> Stated:
    """Return mEq/L of alkalinity that may lie below zero, such as a residual alkalinity.

    Bare numbers are mEq/L; mg/L without a basis is CaCO3. Raises QuantityError.
    """
    estimate, text = spread(value)
    if not text:
        return Stated(estimate)
    unit, basis = _unit_and_basis(text)
    factor = alkalinity(f"1 {unit} as {basis}" if basis else f"1 {unit}").value.best
    return Stated(estimate.times(factor), basis)


def hardness(value: object, usual: str = "") -> Stated:
    """Return total hardness in mEq/L.

    value, usual: as for `concentration`; mg/L without a basis is CaCO3, mmol/L is calcium plus
    magnesium. Raises QuantityError.
    """
    cell = _cell(value, usual)
    unit, basis = cell.unit, cell.basis
    if basis not in ("", "caco3", "cao"):
        raise QuantityError("has a basis that hardness is not stated on; use CaCO3 or °dH")
    if _is(unit, EQUIVALENTS):
        factor = amount_with_unit(1.0, unit, EQUIVALENTS)
    elif _is(unit, SUBSTANCE):
        factor = amount_with_unit(1.0, unit, SUBSTANCE) * 2.0
    else:
        milligrams = amount_with_unit(1.0, unit, MASS_CONCENTRATION)
        factor = milligrams / _ALKALINITY_BASES[basis or "caco3"]
    return cell.stated(factor, basis)


def spread(value: object) -> tuple[Estimate, str]:
    """Return low, best and high of a value and the unit stated with it. Raises QuantityError.

    value: as for `printed.printed`; a word for a value nobody measured is none.
    """
    cell = printed(value)
    if cell.mark == "unstated":
        raise QuantityError("says that nobody measured it; leave the row out")
    return cell.value, cell.unit


@dataclass(frozen=True, slots=True)
class _Cell:
    """A printed value with its unit and its basis taken apart."""

    value: Estimate
    unit: str
    basis: str
    mark: Mark
    grains: bool

    def stated(self, factor: float, basis: str) -> Stated:
        return Stated(self.value.times(factor), basis, False, self.mark, self.grains)


def _cell(value: object, usual: str) -> _Cell:
    cell = printed(value)
    if cell.value.low < 0:
        raise QuantityError("is below zero")
    unit, basis = _unit_and_basis(cell.unit)
    usual_unit, usual_basis = _unit_and_basis(usual)
    if not basis and not _is(unit, EQUIVALENTS) and not _is(unit, SUBSTANCE):
        basis = usual_basis
    unit = unit or usual_unit
    if unit.casefold() in ("°f", "f°"):
        unit = "°fH"
    degree, mass = _GRAINS.get(unit.casefold(), ("", ""))
    as_caco3 = bool(degree) and basis in ("", "caco3")
    if degree:
        unit = degree if as_caco3 else mass
    return _Cell(cell.value, unit, basis, cell.mark, as_caco3 and not basis)


_GRAINS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        **dict.fromkeys(
            (
                *("gpg", "gr/gal", "gr/us gal", "grain/gallon", "grains/gallon", "grains/gal"),
                *("grains per gallon", "grains per us gallon"),
            ),
            ("gpg", "grain/gallon"),
        ),
        **dict.fromkeys(
            ("gr/imp gal", "grains per imperial gallon"), ("°e", "grain/imperial_gallon")
        ),
    }
)
"""Grains per gallon -> degree of hardness, and mass. They are as CaCO3 (common practice of water
softening, no source) unless the report names another basis."""


def _unit_and_basis(text: str) -> tuple[str, str]:
    """Take the chemical basis out of a unit text: ``mg/L as SO4-S`` -> (``mg/L``, ``so4-s``)."""
    if not text:
        return "", ""
    spelt = text.translate(_SUBSCRIPTS)
    if inner := _INNER.fullmatch(spelt):
        basis = _basis(inner[2])
        if basis:
            return f"{inner[1]}/{inner[3]}", basis
    words = [word for word in _WORDS.split(spelt) if word]
    if len(words) > 1 and (basis := _basis(words[-1])):
        rest = words[:-1]
        if rest[-1].casefold() in ("as", "of", "als"):
            rest.pop()
        return " ".join(rest), basis
    if len(words) > 1 and words[-2].casefold() in ("as", "als"):
        raise QuantityError("is stated as something that is not known as a basis")
    return " ".join(words), ""


def _basis(word: str) -> str:
    folded = word.casefold()
    if folded in _KNOWN_BASES:
        return folded
    for charge in _CHARGES:
        uncharged = charge.sub("", folded)
        if uncharged in _KNOWN_BASES:
            return uncharged
    return ""


def _mg_l_per(unit: str, basis: str, ion: str) -> float:
    """Return mg/L of the ion for one of the stated unit and basis."""
    bases = _BASES.get(ion, {})
    if basis and basis != "caco3" and basis not in bases:
        raise QuantityError(f"has a basis that {ion} is not stated on")
    equivalent = EQUIVALENT_MASS_MG_MEQ.get(ion)
    if basis == "caco3" and equivalent is None:
        raise QuantityError(f"has a basis that {ion} is not stated on")
    if equivalent is not None and _is(unit, EQUIVALENTS):
        return amount_with_unit(1.0, unit, EQUIVALENTS) * equivalent
    if _is(unit, SUBSTANCE):
        moles = amount_with_unit(1.0, unit, SUBSTANCE)
        if basis == "caco3" and equivalent is not None:
            return moles * 2.0 * equivalent
        molar_mass = MOLAR_MASS_G_MOL.get(ion) or _OTHER_MOLAR_MASS.get(ion)
        if molar_mass is None:
            raise QuantityError("is stated in moles; write it in mg/L")
        return moles * molar_mass
    milligrams = amount_with_unit(1.0, unit, MASS_CONCENTRATION)
    if basis == "caco3" and equivalent is not None:
        return milligrams * equivalent / CACO3_MG_MEQ
    return milligrams * bases.get(basis, 1.0)


def _is(unit: str, measure: Measure) -> bool:
    """Whether a unit belongs to a measure; plain mg/L is told apart without pint."""
    if not unit or unit.casefold() in MASS_CONCENTRATION.quick:
        return False
    return is_measured_in(unit, measure)
