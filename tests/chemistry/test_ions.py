"""Equivalents, hardness, residual alkalinity, charge balance and sums of a water report."""

from __future__ import annotations

import periodictable
import pytest

from recipe_tools.chemistry import ions
from recipe_tools.units import convert

FORMULAS = {
    "calcium": "Ca{2+}",
    "magnesium": "Mg{2+}",
    "sodium": "Na{1+}",
    "potassium": "K{1+}",
    "ammonium": "N{3-}H{1+}4",
    "iron": "Fe{2+}",
    "manganese": "Mn{2+}",
    "copper": "Cu{2+}",
    "zinc": "Zn{2+}",
    "chloride": "Cl{1-}",
    "sulfate": "S{6+}O{2-}4",
    "bicarbonate": "H{1+}C{4+}O{2-}3",
    "carbonate": "C{4+}O{2-}3",
    "hydroxide": "O{2-}H{1+}",
    "nitrate": "N{5+}O{2-}3",
    "nitrite": "N{3+}O{2-}2",
    "fluoride": "F{1-}",
    "sulfite": "S{4+}O{2-}3",
    "phosphate": "H{1+}2P{5+}O{2-}4",
    "lactate": "C3H{1+}5O{2-}3",
}
"""With the oxidation numbers of the elements, so that the charge is their sum."""


def test_molar_masses_are_those_of_the_formulas() -> None:
    # periodictable: a reference library of IUPAC atomic weights
    assert set(FORMULAS) == set(ions.MOLAR_MASS_G_MOL) == set(ions.CHARGE)
    for ion, formula in FORMULAS.items():
        mass = periodictable.formula(formula).mass
        # zinc was 65.409 before IUPAC 2007, as older releases of the library still have it
        assert ions.MOLAR_MASS_G_MOL[ion] == pytest.approx(mass, rel=5e-4), ion


def test_charges_are_the_sums_of_oxidation_numbers() -> None:
    for ion, formula in FORMULAS.items():
        assert ions.CHARGE[ion] == periodictable.formula(formula).charge, ion


def test_equivalents_there_and_back() -> None:
    assert ions.meq_l("calcium", 20.039) == pytest.approx(1.0)
    assert ions.mg_l("sulfate", 1.0) == pytest.approx(48.03, abs=0.01)
    with pytest.raises(KeyError):
        ions.meq_l("unobtainium", 1.0)


WATERS = {
    # carbonate, calcium and magnesium hardness, residual alkalinity, all °dH: brewing waters in the
    # table of Narziss, Die Technologie der Wuerzebereitung (from memory)
    "Munich": (14.2, 10.6, 4.2, 10.6),
    "Dortmund": (16.8, 36.7, 4.6, 5.7),
    "Vienna": (30.9, 22.8, 15.8, 22.1),
    "Plzen": (1.3, 1.0, 0.6, 0.9),
}


@pytest.mark.parametrize("city", WATERS)
def test_residual_alkalinity_of_classic_waters(city: str) -> None:
    carbonate, calcium, magnesium, expected = WATERS[city]
    found = ions.residual_alkalinity_meq_l(carbonate, calcium, magnesium)
    assert found == pytest.approx(expected, abs=0.06)


def test_residual_alkalinity_is_one_number_in_three_unit_systems() -> None:
    calcium, magnesium, bicarbonate = 110.0, 24.0, 305.0
    in_meq = ions.residual_alkalinity_meq_l(
        ions.meq_l("bicarbonate", bicarbonate),
        ions.meq_l("calcium", calcium),
        ions.meq_l("magnesium", magnesium),
    )
    # °dH = 0.0460 HCO3 - 0.0400 Ca - 0.0330 Mg and mg/L CaCO3 = Alk - Ca/1.4016 - Mg/1.7000:
    # Kolbach's formula converted outside this project
    in_degrees = 0.0460 * bicarbonate - 0.0400 * calcium - 0.0330 * magnesium
    in_caco3 = 0.8202 * bicarbonate - calcium / 1.4016 - magnesium / 1.7000
    assert in_meq * 2.804 == pytest.approx(in_degrees, abs=0.02)
    assert in_meq * 50.04 == pytest.approx(in_caco3, abs=0.1)
    assert pytest.approx(50.04, abs=0.005) == ions.CACO3_MG_MEQ
    assert pytest.approx(2.804, abs=0.001) == 1.0 / convert("charge", 1.0, "°dH")


def test_hardness() -> None:
    # hardness as CaCO3 = 2.497 Ca + 4.118 Mg: Standard Methods 2340 B
    report = {"calcium": 80.0, "magnesium": 18.0}
    as_caco3 = ions.hardness_meq_l(report) * ions.CACO3_MG_MEQ
    assert as_caco3 == pytest.approx(2.497 * 80.0 + 4.118 * 18.0, rel=1e-3)
    assert ions.hardness_meq_l({"calcium": 80.156}) == pytest.approx(4.0)
    assert ions.hardness_meq_l({"magnesium": 24.305}) == pytest.approx(2.0)
    assert ions.hardness_meq_l({}) == 0.0


def test_alkalinity_from_ions() -> None:
    # HCO3 = 1.2193 x alkalinity as CaCO3: unit table of Standard Methods 2320 B below pH 8.3
    found = ions.alkalinity_meq_l({"bicarbonate": 1.2193 * 100.0})
    assert found * ions.CACO3_MG_MEQ == pytest.approx(100.0, abs=0.05)
    assert ions.alkalinity_meq_l({"carbonate": 30.004, "hydroxide": 17.007}) == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("anions", "cations", "kind", "verdict"),
    [
        # Standard Methods 1030 E (from memory): 0-3 mEq/L +-0.2 mEq/L, 3-10 +-2 %, above +-5 %
        (2.0, 2.19, "sample", "ok"),
        (2.0, 2.25, "sample", "warning"),
        (5.0, 5.19, "sample", "ok"),
        (5.0, 5.30, "sample", "warning"),
        (12.0, 13.2, "sample", "ok"),
        (12.0, 13.5, "sample", "warning"),
        (5.0, 8.0, "sample", "implausible"),
        # the limits themselves: 3 belongs to the first band, 10 to the second, 2 % is accepted
        (0.0, 0.2, "sample", "ok"),
        (3.0, 3.19, "sample", "ok"),
        (3.5, 3.69, "sample", "warning"),
        (5.733, 5.967, "sample", "ok"),
        (10.0, 10.5, "sample", "warning"),
        (10.5, 11.1, "sample", "ok"),
        # implausible beyond 20 % and, in dilute water, 0.5 mEq/L: bands of this project
        (2.0, 3.0, "sample", "warning"),
        (2.0, 3.03, "sample", "implausible"),
        (0.5, 1.0, "sample", "warning"),
        (0.5, 1.2, "sample", "implausible"),
        (3.0, 3.6, "sample", "warning"),
        (8.0, 12.0, "sample", "warning"),
        (5.0, 7.6, "sample", "implausible"),
        # averages: bands of this project
        (9.5, 10.5, "average", "ok"),
        (5.0, 5.6, "average", "note"),
        (9.0, 11.0, "average", "note"),
        (5.0, 6.2, "average", "warning"),
        (8.0, 12.0, "average", "warning"),
        (5.0, 7.6, "average", "implausible"),
        (2.0, 2.25, "average", "warning"),
        (5.0, 5.45, "average", "ok"),
        (5.0, 5.9, "average", "note"),
        (5.0, 6.5, "average", "warning"),
        (5.0, 8.0, "average", "implausible"),
    ],
)
def test_charge_balance_verdicts(anions: float, cations: float, kind: str, verdict: str) -> None:
    report = {"sodium": ions.mg_l("sodium", cations)}
    found = ions.charge_balance(report, alkalinity_meq_l=anions, kind=kind)  # type: ignore[arg-type]
    assert found.verdict == verdict
    assert (found.cations_meq_l, found.anions_meq_l) == pytest.approx((cations, anions))
    assert found.difference_percent == pytest.approx(
        100.0 * (cations - anions) / (cations + anions)
    )


def test_alkalinity_stands_in_for_bicarbonate() -> None:
    report = {"calcium": 40.078, "bicarbonate": 999.0}
    assert ions.charge_balance(report, alkalinity_meq_l=2.0).anions_meq_l == pytest.approx(2.0)


def test_a_whole_report_by_hand() -> None:
    # cations Ca 4 + Mg 2 + Na 1 + K 0.5 = 7.5; anions HCO3 2.5 + CO3 0.5 + Cl 1 + SO4 2 + NO3 1 +
    # OH 0.25 = 7.25 mEq/L; 0.25/14.75 = 1.695 %. Silica has no charge
    report = {
        "silica": 12.0,
        "bicarbonate": 2.5 * 61.016,
        "calcium": 80.156,
        "carbonate": 0.5 * 30.004,
        "hydroxide": 0.25 * 17.007,
        "magnesium": 24.305,
        "sodium": 22.990,
        "potassium": 19.549,
        "chloride": 35.45,
        "sulfate": 96.056,
        "nitrate": 62.004,
    }
    found = ions.charge_balance(report)
    assert found == pytest.approx((7.5, 7.25, 1.695, "ok"), abs=0.001)
    # an alkalinity given beside them takes the place of HCO3, CO3 and OH, 3.25 mEq/L
    found = ions.charge_balance(report, alkalinity_meq_l=3.5)
    assert found == pytest.approx((7.5, 7.5, 0.0, "ok"), abs=1e-6)
    assert ions.alkalinity_meq_l(report) == pytest.approx(3.25)


def test_a_report_of_nothing_and_of_next_to_nothing() -> None:
    assert ions.charge_balance({}) == (0.0, 0.0, 0.0, "ok")
    traces = {"sodium": ions.mg_l("sodium", 0.3), "chloride": ions.mg_l("chloride", 0.2)}
    assert ions.charge_balance(traces) == pytest.approx((0.3, 0.2, 20.0, "ok"))


def test_hydrogen_and_hydroxide_ions_count_if_the_ph_is_given() -> None:
    # 10^-3 mol/L of hydrogen ions at pH 3, of hydroxide at pH 11 (ion product 10^-14), beside 1
    # mEq/L of sodium and of chloride
    report = {"sodium": ions.mg_l("sodium", 1.0), "chloride": ions.mg_l("chloride", 1.0)}
    sour, alkaline = (ions.charge_balance(report, ph=ph) for ph in (2.5, 11.5))
    assert sour[:2] == pytest.approx((1.0 + 3.162, 1.0), abs=0.001)
    assert alkaline[:2] == pytest.approx((1.0, 1.0 + 3.162), abs=0.001)
    # the alkalinity contains them already
    titrated = ions.charge_balance(report, ph=11.5, alkalinity_meq_l=3.162)
    assert titrated[:2] == pytest.approx((1.0, 4.162), abs=0.001)


def test_dissolved_solids_of_seawater_like_salt() -> None:
    # Standard Methods 1030 E (from memory): 0.6 x alkalinity + the other ions
    report = {"sodium": 39.34, "chloride": 60.66}
    assert ions.dissolved_solids_mg_l(report, 0.0) == pytest.approx(100.0)
    assert ions.dissolved_solids_mg_l({}, 2.0) == pytest.approx(60.05, abs=0.05)
    # every ion of the formula once; bicarbonate comes by the alkalinity
    counted = ("sodium", "potassium", "calcium", "magnesium", "chloride", "sulfate", "nitrate")
    report = dict.fromkeys((*counted, "fluoride", "silica", "bicarbonate"), 10.0)
    assert ions.dissolved_solids_mg_l(report, 0.0) == pytest.approx(90.0)


def test_conductivity_of_a_millimolar_salt() -> None:
    # CRC Handbook: 1 mmol/L sodium chloride at 25 °C conducts 123.7 uS/cm (from memory); the rule
    # of Standard Methods 1030 E is made for natural waters of about 100 uS/cm per mEq/L
    low, best, high = ions.conductivity_us_cm(1.0, 1.0)
    assert low < best < high
    assert best == pytest.approx(123.7, rel=0.25)
    # 4.0 and 4.4 mEq/L by hand: 420 uS/cm, of which a hundredth is 1.1 times their mean at 381.8
    # and 0.9 times at 466.7
    assert ions.conductivity_us_cm(4.0, 4.4) == pytest.approx((381.8, 420.0, 466.7), abs=0.05)
