"""Ion yields, alkalinity, molar masses and densities against values from outside the project."""

from __future__ import annotations

import pytest

from recipe_tools.reference import (
    Agent,
    acid_density_kg_l,
    agent,
    agent_family,
    agents,
    solution_density_kg_l,
)
from tests.offenders import offenders

periodictable = pytest.importorskip("periodictable")

ION_FORMULAS = {
    "calcium": "Ca",
    "magnesium": "Mg",
    "sodium": "Na",
    "potassium": "K",
    "zinc": "Zn",
    "chloride": "Cl",
    "sulfate": "SO4",
    "bicarbonate": "HCO3",
    "carbonate": "CO3",
    "hydroxide": "OH",
    "sulfite": "SO2",
}
CHARGES = {
    "calcium": 2,
    "magnesium": 2,
    "sodium": 1,
    "potassium": 1,
    "zinc": 2,
    "chloride": -1,
    "sulfate": -2,
    "bicarbonate": -1,
    "carbonate": -2,
    "hydroxide": -1,
}
ALKALINE = {"bicarbonate": 1, "carbonate": 2, "hydroxide": 1}

SALTS = [item for item in agents().values() if item.kind in ("salt", "base", "sulfite")]
WITH_FORMULA = [item for item in agents().values() if item.formula]


def _mass(formula: str) -> float:
    """Molar mass from periodictable (IUPAC/CIAAW atomic weights); ``.`` before crystal water."""
    total = 0.0
    for part in formula.replace("0.5H2O", "0,5H2O").split("."):
        count, body = _leading_number(part.replace(",", "."))
        total += count * periodictable.formula(body).mass
    return total


def _leading_number(part: str) -> tuple[float, str]:
    digits = ""
    while part and (part[0].isdigit() or part[0] == "."):
        digits, part = digits + part[0], part[1:]
    return (float(digits) if digits else 1.0), part


def test_molar_mass_agrees_with_the_table_of_elements() -> None:
    def holds(item: Agent) -> None:
        assert item.molar_mass_g_mol == pytest.approx(_mass(item.formula), rel=1e-3)

    assert offenders(WITH_FORMULA, holds) == []


def test_each_gram_yields_whole_numbers_of_ions() -> None:
    """Ion mass over formula mass is n * M(ion) / M(salt) with n a small whole number, to 0.1 %."""

    def holds(item: Agent) -> None:
        for ion, milligrams in item.ions_mg_per_g.items():
            count = milligrams / 1000.0 * _mass(item.formula) / _mass(ION_FORMULAS[ion])
            assert round(count) in (1, 2), (ion, count)
            assert count == pytest.approx(round(count), rel=1e-3), ion

    assert offenders(SALTS, holds) == []


def test_the_ions_of_a_salt_carry_no_net_charge() -> None:
    def holds(item: Agent) -> None:
        ions = dict(item.ions_mg_per_g)
        if "sulfite" in ions or item.id == "quicklime":
            # S2O5(2-) and O(2-) become other ions in water, stated as SO2 or alkalinity
            return
        charge = sum(
            milligrams / _mass(ION_FORMULAS[ion]) * CHARGES[ion] for ion, milligrams in ions.items()
        )
        assert charge == pytest.approx(0.0, abs=0.02)

    assert offenders(SALTS, holds) == []


def test_alkalinity_is_that_of_bicarbonate_carbonate_and_hydroxide() -> None:
    def holds(item: Agent) -> None:
        expected = sum(
            item.ions_mg_per_g.get(ion, 0.0) / _mass(ION_FORMULAS[ion]) * protons
            for ion, protons in ALKALINE.items()
        )
        if item.id == "quicklime":
            expected = 2000.0 / _mass("CaO")
        assert item.alkalinity_meq_g == pytest.approx(expected, rel=1e-3, abs=1e-9)

    assert offenders(SALTS, holds) == []


@pytest.mark.parametrize(
    ("agent_id", "ion", "count"),
    [("hydrochloric_acid", "chloride", 1), ("sulfuric_acid", "sulfate", 1)],
)
def test_mineral_acids_bring_their_anion(agent_id: str, ion: str, count: int) -> None:
    item = agent(agent_id)
    expected = 1000.0 * count * _mass(ION_FORMULAS[ion]) / _mass(item.formula)
    assert item.ions_mg_per_g[ion] == pytest.approx(expected, rel=1e-3)


def test_protons_of_acids_do_not_exceed_their_hydrogen() -> None:
    def holds(item: Agent) -> None:
        steps = item.strong_protons + len(item.pkas)
        assert list(item.pkas) == sorted(item.pkas)
        if item.kind in ("acid", "antioxidant", "malt"):
            hydrogen = periodictable.formula(item.formula).atoms[periodictable.H]
            assert 1 <= steps <= hydrogen
        else:
            assert steps == 0

    assert offenders(list(agents().values()), holds) == []


def test_hydrates_of_one_salt_are_one_family() -> None:
    members = {item.id: item.hydrate for item in agent_family("calcium_chloride")}
    assert members == {
        "calcium_chloride_dihydrate": "2",
        "calcium_chloride_anhydrous": "0",
        "calcium_chloride_hexahydrate": "6",
        "calcium_chloride_solution": "",
    }
    assert agent_family("nonsense") == ()


def test_an_unknown_agent_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        agent("unobtainium")
    with pytest.raises(KeyError):
        solution_density_kg_l("unobtainium", 10.0)


# Densities at 20 °C as printed on reagent bottles and in handbook tables (values from memory).
HANDBOOK_DENSITIES = [
    ("hydrochloric_acid", 37.0, 1.18, 0.01),
    ("hydrochloric_acid", 25.0, 1.12, 0.01),
    ("sulfuric_acid", 96.0, 1.84, 0.01),
    ("sulfuric_acid", 25.0, 1.18, 0.01),
    ("phosphoric_acid", 85.0, 1.69, 0.015),
    ("phosphoric_acid", 75.0, 1.58, 0.01),
    ("lactic_acid", 80.0, 1.19, 0.01),
    ("lactic_acid", 88.0, 1.205, 0.01),
    ("acetic_acid", 100.0, 1.05, 0.005),
    ("calcium_chloride_solution", 32.0, 1.30, 0.015),
    ("sodium_hydroxide", 32.0, 1.35, 0.01),
]


@pytest.mark.parametrize(("agent_id", "percent", "density", "margin"), HANDBOOK_DENSITIES)
def test_densities_are_those_of_the_handbooks(
    agent_id: str, percent: float, density: float, margin: float
) -> None:
    assert solution_density_kg_l(agent_id, percent) == pytest.approx(density, abs=margin)


def test_density_outside_the_table_is_that_of_its_end() -> None:
    assert acid_density_kg_l("lactic_acid", 130.0) == acid_density_kg_l("lactic_acid", 88.0)
    assert acid_density_kg_l("lactic_acid", -5.0) == acid_density_kg_l("lactic_acid", 0.0)


def test_density_rises_with_strength_up_to_half_strength() -> None:
    """All acids and salts listed are denser than water; acetic acid falls again above 80 %."""

    def holds(item: Agent) -> None:
        densities = [solution_density_kg_l(item.id, percent) for percent in range(0, 51, 5)]
        assert densities == sorted(densities)

    assert offenders(list(agents().values()), holds) == []


class TestSolubility:
    """Solubilities against PHREEQC (databases of the phreeqpython package), 20 °C, no CO2."""

    @pytest.mark.parametrize(
        ("agent_id", "mineral", "database", "margin"),
        [
            ("gypsum", "Gypsum", "phreeqc.dat", 0.07),
            ("slaked_lime", "Portlandite", "pitzer.dat", 0.12),
        ],
    )
    def test_sparingly_soluble_salts(
        self, agent_id: str, mineral: str, database: str, margin: float
    ) -> None:
        phreeqpython = pytest.importorskip("phreeqpython")
        engine = phreeqpython.PhreeqPython(database=database)
        solution = engine.add_solution({"temp": 20.0})
        solution.equalize([mineral], [0.0])
        item = agent(agent_id)
        dissolved = solution.total_element("Ca", units="mol") * item.molar_mass_g_mol
        assert item.solubility_g_l == pytest.approx(dissolved, rel=margin)

    def test_chalk_hardly_dissolves_in_plain_water(self) -> None:
        """13-15 mg/L without CO2 (handbook value, from memory)."""
        assert agent("chalk").solubility_g_l == pytest.approx(0.014, abs=0.002)


def test_a_tablet_weighs_what_shops_quote() -> None:
    """0.44, 0.45, 0.59 and 0.695 g are quoted by shops and clubs."""
    for item in agents().values():
        if item.form == "tablet":
            assert item.tablet_g is not None
            assert 0.44 <= item.tablet_g <= 0.695


def test_sulfite_counts_as_sulfur_dioxide() -> None:
    """Regulation (EU) 1169/2011 and 21 CFR 130.9 state sulfites as SO2."""
    item = agent("sodium_metabisulfite")
    assert item.ions_mg_per_g["sulfite"] == pytest.approx(
        2000.0 * _mass("SO2") / _mass("Na2S2O5"), rel=1e-3
    )
