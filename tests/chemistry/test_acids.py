"""Strength of acids per gram and millilitre, and what they leave in the water."""

from __future__ import annotations

import csv
from pathlib import Path

import periodictable
import pytest

from recipe_tools.chemistry import acids

PUBLISHED = Path(__file__).parent.parent / "data" / "published"


def strengths() -> list[dict[str, str]]:
    with (PUBLISHED / "acid_strengths.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def described(row: dict[str, str]) -> tuple[tuple[float, ...], int]:
    """Return pKa values above 0 and the number of protons that always leave."""
    pkas = [float(text) for text in row["pka_25c"].split()]
    return tuple(pka for pka in pkas if pka > 0.0), sum(pka <= 0.0 for pka in pkas)


@pytest.mark.parametrize("row", strengths(), ids=lambda row: f"{row['acid']} {row['percent']} %")
def test_table_of_strengths(row: dict[str, str]) -> None:
    pkas, strong = described(row)
    mass, percent = float(row["molar_mass_g_mol"]), float(row["percent"])
    for ph in ("5.4", "5.6", "5.8"):
        per_gram = acids.meq_per_gram(mass, pkas, float(ph), strong_protons=strong, percent=percent)
        assert per_gram == pytest.approx(float(row[f"meq_g_at_{ph}"]), abs=0.011)
        if row[f"meq_ml_at_{ph}"]:
            density = float(row["density_kg_l"])
            per_ml = acids.meq_per_ml(
                mass, pkas, float(ph), density, strong_protons=strong, percent=percent
            )
            assert per_ml == pytest.approx(float(row[f"meq_ml_at_{ph}"]), rel=0.001, abs=0.006)


@pytest.mark.parametrize(
    ("pkas", "strong", "expected"),
    [
        ((3.86,), 0, 0.972),
        ((2.148, 7.198, 12.35), 0, 1.015),
        ((3.128, 4.761, 6.396), 0, 1.90),
        ((4.756,), 0, 0.815),
        ((1.99,), 1, 2.00),
        ((), 1, 1.0),
    ],
)
def test_protons_per_mole_at_mash_ph(pkas: tuple[float, ...], strong: int, expected: float) -> None:
    # pKa of the CRC Handbook (from memory), protons at pH 5.4 computed outside this project
    assert acids.protons_per_mole(pkas, 5.4, strong) == pytest.approx(expected, abs=0.005)


def test_half_the_protons_are_gone_at_the_pka() -> None:
    # Henderson and Hasselbalch
    assert acids.protons_per_mole((4.756,), 4.756) == pytest.approx(0.5)


def test_counter_ions_per_equivalent() -> None:
    # 35.45 mg of chloride and 48.03 mg of sulfate per mEq: molar mass over charge
    assert acids.counter_ion("hydrochloric_acid", (), 5.4, 1) == ("chloride", 35.45)
    ion, amount = acids.counter_ion("sulfuric_acid", (1.99,), 5.4, 1)
    assert ion == "sulfate"
    assert amount == pytest.approx(48.03, abs=0.03)
    # lactate 89.07 and all lactic acid 90.08 g/mol: 89 to 93 mg per mEq; phosphate 95 to 97
    assert 89.0 < acids.counter_ion("lactic_acid", (3.86,), 5.4).mg_per_meq < 93.0
    phosphate = acids.counter_ion("phosphoric_acid", (2.148, 7.198, 12.35), 5.4)
    assert 94.0 < phosphate.mg_per_meq < 97.0
    assert acids.counter_ion("citric_acid_monohydrate", (3.13, 4.76, 6.4), 5.4).ion == "citrate"


def test_impossible_strengths_are_refused() -> None:
    with pytest.raises(ValueError, match="120"):
        acids.meq_per_gram(90.078, (3.86,), 5.4, percent=120.0)
    with pytest.raises(ValueError, match=r"^molar mass"):
        acids.meq_per_gram(0.0, (3.86,), 5.4)


@pytest.mark.parametrize("percent", [0.0, 0.5, 100.0])
def test_all_strengths_from_nothing_to_pure_are_possible(percent: float) -> None:
    # lactic acid, 90.08 g/mol, gives 0.972 protons at pH 5.4: 10.79 mEq in a gram of it
    found = acids.meq_per_gram(90.078, (3.86,), 5.4, percent=percent)
    assert found == pytest.approx(0.1079 * percent, abs=0.005)


@pytest.mark.parametrize("percent", [-0.1, 100.5])
def test_less_than_nothing_and_more_than_pure_are_not(percent: float) -> None:
    with pytest.raises(ValueError, match=f"^{percent:g} %"):
        acids.meq_per_gram(90.078, (3.86,), 5.4, percent=percent)


def test_an_acid_is_pure_and_weak_unless_it_is_said() -> None:
    assert acids.meq_per_gram(90.078, (3.86,), 5.4) == pytest.approx(10.79, abs=0.01)
    # glacial acetic acid, 60.05 g/mol, 1.049 kg/L (CRC Handbook, from memory): 17.47 mol/L, of
    # which 0.815 are dissociated at pH 5.4
    assert acids.meq_per_ml(60.052, (4.756,), 5.4, 1.049) == pytest.approx(14.24, abs=0.02)


FORMULAS = {
    "hydrochloric_acid": ("HCl", (), 1, "chloride"),
    "sulfuric_acid": ("H2SO4", (1.99,), 1, "sulfate"),
    "lactic_acid": ("C3H6O3", (3.86,), 0, "lactate"),
    "phosphoric_acid": ("H3PO4", (2.148, 7.198, 12.35), 0, "phosphate"),
    "citric_acid_anhydrous": ("C6H8O7", (3.13, 4.76, 6.4), 0, "citrate"),
    "citric_acid_monohydrate": ("C6H8O7", (3.13, 4.76, 6.4), 0, "citrate"),
    "tartaric_acid": ("C4H6O6", (2.98, 4.34), 0, "tartrate"),
    "malic_acid": ("C4H6O5", (3.4, 5.2), 0, "malate"),
    "acetic_acid": ("C2H4O2", (4.756,), 0, "acetate"),
    "ascorbic_acid": ("C6H8O6", (4.17, 11.6), 0, "ascorbate"),
}


def test_an_acid_without_a_known_anion_is_refused() -> None:
    with pytest.raises(KeyError):
        acids.counter_ion("carbonic_acid", (6.35, 10.33), 5.4)


@pytest.mark.parametrize("acid_id", FORMULAS)
def test_protons_and_what_they_leave_behind_weigh_as_much_as_the_acid(acid_id: str) -> None:
    # conservation of mass, with the molar masses of periodictable; 1.008 g to a mole of protons.
    # Sulfuric acid counts as having lost both at mash pH (bisulfate 0.04 %)
    formula, pkas, strong, anion = FORMULAS[acid_id]
    mass = periodictable.formula(formula).mass
    given = acids.protons_per_mole(pkas, 5.4, strong)
    found = acids.counter_ion(acid_id, pkas, 5.4, strong)
    assert found.ion == anion
    assert found.mg_per_meq + 1.008 == pytest.approx(mass / given, rel=5e-4)
