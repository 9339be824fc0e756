"""The basis a laboratory states: against molar masses of a general library."""

from __future__ import annotations

import periodictable
import pytest

from recipe_tools.chemistry.treatment import dechlorination_dose
from recipe_tools.quantities import QuantityError
from recipe_tools.reference.report_bases import bases
from recipe_tools.water_report.units import alkalinity, concentration, hardness, signed_equivalents


def mass(formula: str) -> float:
    return float(periodictable.formula(formula).mass)


@pytest.mark.parametrize(
    ("text", "ion", "factor"),
    [
        ("1 mg/L as SO4-S", "sulfate", mass("SO4") / mass("S")),
        ("1 mg/L as S", "sulfate", mass("SO4") / mass("S")),
        ("1 mg S/L", "sulfate", mass("SO4") / mass("S")),
        ("1 mg/L SO4", "sulfate", 1.0),
        ("1 mg/L SO₄²⁻", "sulfate", 1.0),
        ("1 mg/L as NO3-N", "nitrate", mass("NO3") / mass("N")),
        ("1 mg/L (as N)", "nitrate", mass("NO3") / mass("N")),
        ("1 mg/L as NO2-N", "nitrite", mass("NO2") / mass("N")),
        ("1 mg/L as NH4-N", "ammonium", mass("NH4") / mass("N")),
        ("1 mg/L as PO4-P", "phosphate", mass("H2PO4") / mass("P")),
        ("1 mg/L as PO4", "phosphate", mass("H2PO4") / mass("PO4")),
        ("1 mg/L as Si", "silica", mass("SiO2") / mass("Si")),
        ("1 mg/L as CaO", "calcium", mass("Ca") / mass("CaO")),
        ("1 mg/L as MgO", "magnesium", mass("Mg") / mass("MgO")),
        ("1 mg/L as CaCO3", "calcium", mass("Ca") / mass("CaCO3")),
        ("1 mg/L as CaCO3", "magnesium", mass("Mg") / mass("CaCO3")),
        ("1 mg/L as CaCO3", "sulfate", mass("SO4") / mass("CaCO3")),
        ("1 mg/L as CaCO3", "chloride", 2 * mass("Cl") / mass("CaCO3")),
        ("1 mg/L as NaCl", "chloride", mass("Cl") / mass("NaCl")),
        ("1 mg/L as NH2Cl", "chlorine", mass("Cl2") / mass("NH2Cl")),
        ("1 mmol/L", "calcium", mass("Ca")),
        ("1 mEq/L", "calcium", mass("Ca") / 2),
        ("1 mval/l", "sulfate", mass("SO4") / 2),
        ("1 °dH", "calcium", 10 * mass("Ca") / mass("CaO")),
        ("1 mmol/L", "silica", mass("SiO2")),
        ("1 mmol/L", "chlorine", mass("Cl2")),
        ("1 mmol/L as P2O5", "phosphate", 2 * mass("H2PO4")),
        # A grain in a US gallon (NIST Handbook 44), as the substance named with it.
        ("1 gpg as NO3-N", "nitrate", 64.79891 / 3.785411784 * mass("NO3") / mass("N")),
        ("1 gr/gal", "calcium", 64.79891 / 3.785411784 * mass("Ca") / mass("CaCO3")),
    ],
)
def test_a_basis_is_a_ratio_of_molar_masses(text: str, ion: str, factor: float) -> None:
    assert concentration(text, ion).value.best == pytest.approx(factor, rel=2e-4)


def test_the_formulas_have_their_molar_masses() -> None:
    for basis in bases().values():
        # SO4-S is sulfate stated as its sulfur.
        formula = basis.name.rpartition("-")[2]
        # The tables of elements differ by edition: IUPAC moved zinc from 65.409 to 65.38 in 2007
        # and sulfur from 32.065 to 32.06 in 2009. A wrong formula is off by far more than that.
        assert basis.molar_mass_g_mol == pytest.approx(mass(formula), rel=1e-3), basis.name


def test_a_residual_stated_as_chloramine_takes_its_dose() -> None:
    # Computed outside this project from NH2Cl + HSO3- + H2O = NH4+ + Cl- + SO4-- + H+.
    chlorine = concentration("1 mg/L as NH2Cl", "chlorine").value.best
    assert dechlorination_dose("sodium_metabisulfite", chlorine) == pytest.approx(1.847, abs=0.002)
    assert dechlorination_dose("potassium_metabisulfite", chlorine) == pytest.approx(
        2.159, abs=0.002
    )


@pytest.mark.parametrize(
    ("text", "meq"),
    [
        ("1 mg/L as CaCO3", 2 / mass("CaCO3")),
        ("1 mg/L CaCO3", 2 / mass("CaCO3")),
        ("1 mg CaCO3/L", 2 / mass("CaCO3")),
        ("1 mg/L as HCO3", 1 / mass("HCO3")),
        ("1 ppm as HCO3-", 1 / mass("HCO3")),
        ("1 mg/L as CO3", 2 / mass("CO3")),
        # Acid capacity to pH 4.3 (DIN 38409-7): a proton per mole.
        ("1 mmol/L", 1.0),
        ("1 mmol/L as CaCO3", 2.0),
        ("1 mEq/L", 1.0),
        ("1 °dH", 20 / mass("CaO")),
        ("1 °fH", 20 / mass("CaCO3")),
    ],
)
def test_alkalinity(text: str, meq: float) -> None:
    stated = alkalinity(text)
    assert stated.value.best == pytest.approx(meq, rel=2e-4)
    assert not stated.open_basis


def test_alkalinity_without_a_basis_reaches_from_bicarbonate_to_calcium_carbonate() -> None:
    stated = alkalinity("100 mg/L")
    assert stated.open_basis
    assert stated.value.low == pytest.approx(100 / mass("HCO3"), rel=1e-4)
    assert stated.value.best == stated.value.high == pytest.approx(200 / mass("CaCO3"), rel=1e-4)


def test_hardness_in_moles_is_calcium_plus_magnesium() -> None:
    # German Detergents Act (WRMG, 2007): 2.5 mmol/L is 14 °dH.
    assert hardness("2.5 mmol/L").value.best == pytest.approx(5.0)
    assert hardness("14 °dH").value.best == pytest.approx(5.0, abs=0.01)


def test_residual_alkalinity_may_lie_below_zero() -> None:
    assert signed_equivalents("-2 °dH").value.best == pytest.approx(-2 * 20 / 56.077, rel=1e-4)
    assert signed_equivalents("-50 mg/L as CaCO3").value.best == pytest.approx(-0.9991, abs=1e-3)
    assert signed_equivalents(-1.5).value.best == -1.5


@pytest.mark.parametrize(
    ("text", "ion"),
    [
        ("10 mg/L as NO3", "sulfate"),
        ("10 mg/L as unobtainium", "sulfate"),
        ("-1 mg/L", "sulfate"),
        ("1 kg", "sulfate"),
        ("1 mEq/L", "silica"),
        ("1 mmol/L", "lead"),
        ("5 L", "sulfate"),
    ],
)
def test_what_is_no_concentration_of_that_ion(text: str, ion: str) -> None:
    with pytest.raises(QuantityError):
        concentration(text, ion)


@pytest.mark.parametrize("value", [True, {}, [1], [3, 1], [[1], [2]], ["1 mg/L", "2 g"], None])
def test_what_is_no_concentration_at_all(value: object) -> None:
    with pytest.raises(QuantityError):
        concentration(value, "sulfate")
