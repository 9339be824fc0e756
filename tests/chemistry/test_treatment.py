"""What treatment leaves in a water.

Masses are those of periodictable (IUPAC atomic weights), put together by the equations that stand
beside them.
"""

from __future__ import annotations

import periodictable
import pytest

from recipe_tools.chemistry import treatment
from recipe_tools.chemistry.ions import CACO3_MG_MEQ, meq_l
from recipe_tools.chemistry.treatment import Water

HARD = Water({"calcium": 110.0, "magnesium": 18.0, "sodium": 12.0, "sulfate": 40.0}, 5.0, 7.3)


def mass(formula: str) -> float:
    return float(periodictable.formula(formula).mass)


CHLORINE = mass("Cl2")
"""A residual is stated as Cl2 (Standard Methods 4500-Cl): a mole of it is one of HOCl or NH2Cl."""


class TestDechlorination:
    """HOCl + HSO3- = Cl- + SO4-- + 2 H+ and NH2Cl + HSO3- + H2O = NH4+ + Cl- + SO4-- + H+; a
    mole of metabisulfite is two of HSO3-."""

    @pytest.mark.parametrize(
        ("agent", "dose"),
        [
            ("sodium_metabisulfite", mass("Na2S2O5") / 2 / CHLORINE),
            ("potassium_metabisulfite", mass("K2S2O5") / 2 / CHLORINE),
            ("ascorbic_acid", mass("C6H8O6") / CHLORINE),
        ],
    )
    def test_dose(self, agent: treatment.Dechlorinator, dose: float) -> None:
        assert treatment.dechlorination_dose(agent, 1.0) == pytest.approx(dose, rel=1e-3)

    def test_field_guides_ask_for_a_tenth_more(self) -> None:
        # Field table for the disinfection of pipelines: 1.47 mg sodium metabisulfite per mg of
        # chlorine, 2.5 mg ascorbic acid.
        found = treatment.dechlorination_dose("sodium_metabisulfite", 1.0, surplus=0.1)
        assert found == pytest.approx(1.47, abs=0.01)

    def test_what_free_chlorine_leaves(self) -> None:
        dose = treatment.dechlorination_dose("sodium_metabisulfite", 1.0)
        found = treatment.dechlorinate("sodium_metabisulfite", dose, 1.0)
        assert found.sulfate_mg_l == pytest.approx(mass("SO4") / CHLORINE, rel=1e-3)
        assert found.chloride_mg_l == pytest.approx(mass("Cl") / CHLORINE, rel=1e-3)
        assert found.sodium_mg_l == pytest.approx(mass("Na") / CHLORINE, rel=1e-3)
        assert found.potassium_mg_l == found.ammonium_mg_l == 0.0
        assert found.alkalinity_used_meq_l == pytest.approx(2.0 / CHLORINE, rel=1e-3)
        assert found.sulfur_dioxide_mg_l == pytest.approx(0.0, abs=1e-9)
        assert found.chlorine_left_mg_l == pytest.approx(0.0, abs=1e-9)

    def test_what_monochloramine_leaves(self) -> None:
        dose = treatment.dechlorination_dose("potassium_metabisulfite", 1.0)
        found = treatment.dechlorinate("potassium_metabisulfite", dose, 1.0, chloramine=True)
        assert found.potassium_mg_l == pytest.approx(mass("K") / CHLORINE, rel=1e-3)
        assert found.ammonium_mg_l == pytest.approx(mass("NH4") / CHLORINE, rel=1e-3)
        assert found.alkalinity_used_meq_l == pytest.approx(1.0 / CHLORINE, rel=1e-3)

    @pytest.mark.parametrize(
        ("agent", "formula"),
        [("sodium_metabisulfite", "Na2S2O5"), ("potassium_metabisulfite", "K2S2O5")],
    )
    def test_sulfite_left_over(self, agent: treatment.Dechlorinator, formula: str) -> None:
        found = treatment.dechlorinate(agent, 1.0, 0.0)
        dioxide = 2 * mass("SO2") / mass(formula)
        assert found.sulfur_dioxide_mg_l == pytest.approx(dioxide, rel=1e-3)

    def test_one_tablet_in_twenty_gallons(self) -> None:
        # Common practice, no source: one tablet (0.44 g) in 20 US gallons (75.7 L). By the
        # equations that is enough for 4.3 mg/L of chlorine (sodium) or 3.7 (potassium).
        dose = 440.0 / 75.7
        for agent, formula in (
            ("sodium_metabisulfite", "Na2S2O5"),
            ("potassium_metabisulfite", "K2S2O5"),
        ):
            enough = dose / (mass(formula) / 2 / CHLORINE)
            left = treatment.dechlorinate(agent, dose, enough + 1.0)  # type: ignore[arg-type]
            assert left.chlorine_left_mg_l == pytest.approx(1.0, abs=0.01)
        whole = treatment.dechlorinate("sodium_metabisulfite", dose, 0.0)
        left_over = dose * 2 * mass("SO2") / mass("Na2S2O5")
        assert whole.sulfur_dioxide_mg_l == pytest.approx(left_over, rel=1e-3)

    def test_ascorbic_acid_gives_a_proton_to_chlorine_and_none_to_chloramine(self) -> None:
        # C6H8O6 + HOCl = C6H6O6 + H+ + Cl- + H2O; C6H8O6 + NH2Cl = C6H6O6 + NH4+ + Cl-
        free = treatment.dechlorinate("ascorbic_acid", 5.0, 1.0)
        assert free.alkalinity_used_meq_l == pytest.approx(1.0 / CHLORINE, rel=1e-3)
        bound = treatment.dechlorinate("ascorbic_acid", 5.0, 1.0, chloramine=True)
        assert bound.alkalinity_used_meq_l == 0.0
        assert bound.ammonium_mg_l == pytest.approx(mass("NH4") / CHLORINE, rel=1e-3)
        for found in (free, bound):
            assert found.chloride_mg_l == pytest.approx(mass("Cl") / CHLORINE, rel=1e-3)
            assert found.sulfate_mg_l == found.sulfur_dioxide_mg_l == found.sodium_mg_l == 0.0


class TestSoftening:
    def test_boiling_takes_calcium_with_the_alkalinity(self) -> None:
        # Ca(HCO3)2 = CaCO3 + CO2 + H2O: half a mole of calcium per mEq
        after = treatment.boil(HARD)
        lost = HARD.alkalinity_meq_l - after.alkalinity_meq_l
        assert after.alkalinity_meq_l == pytest.approx(1.0)
        assert HARD.ions_mg_l["calcium"] - after.ions_mg_l["calcium"] == pytest.approx(
            mass("Ca") / 2 * lost, rel=1e-3
        )
        assert after.ions_mg_l["magnesium"] == HARD.ions_mg_l["magnesium"]

    def test_sodium_alkalinity_stays(self) -> None:
        soda = Water({"calcium": 10.0, "sodium": 110.0}, 5.0, 8.0)
        for after in (treatment.boil(soda), treatment.lime_soften(soda).water):
            assert after.alkalinity_meq_l >= 5.0 - meq_l("calcium", 10.0)

    def test_soft_water_has_nothing_to_lose(self) -> None:
        soft = Water({"calcium": 8.0}, 0.4, 7.0)
        assert treatment.boil(soft).alkalinity_meq_l == 0.4
        assert treatment.lime_soften(soft).lime_mg_l == 0.0

    def test_water_without_calcium_or_magnesium(self) -> None:
        # nothing to fall out with the alkalinity
        soda = Water({"magnesium": 5.0}, 3.0, 8.0)
        assert treatment.boil(soda) == soda._replace(ph=None)
        assert treatment.lime_soften(soda) == (soda, 0.0)

    def test_a_little_too_hard_takes_a_little_lime(self) -> None:
        # 0.5 mEq/L above the 0.8 that stay: 0.25 mmol/L of Ca(OH)2. Without a pH
        # nothing is known of free CO2
        water = Water({"calcium": 80.0}, 0.5 + 40.0 / CACO3_MG_MEQ)
        found = treatment.lime_soften(water)
        assert found.lime_mg_l == pytest.approx(0.25 * mass("CaO2H2"), rel=1e-3)
        assert found.water.ions_mg_l["calcium"] == pytest.approx(80.0 - 0.25 * mass("Ca"), abs=0.01)

    def test_lime_needed(self) -> None:
        # Ca(HCO3)2 + Ca(OH)2 = 2 CaCO3 + 2 H2O and CO2 + Ca(OH)2 = CaCO3 + H2O. What lime leaves,
        # 30 to 50 mg/L as CaCO3, is the figure of handbooks of water treatment (from memory).
        found = treatment.lime_soften(HARD, carbon_dioxide_mg_l=10.0)
        removed = (HARD.alkalinity_meq_l - found.water.alkalinity_meq_l) * CACO3_MG_MEQ
        assert found.lime_mg_l == pytest.approx(
            mass("CaO2H2") * (removed / mass("CaCO3") + 10.0 / mass("CO2")), rel=2e-3
        )
        assert 30.0 <= found.water.alkalinity_meq_l * CACO3_MG_MEQ <= 50.0

    def test_free_carbon_dioxide_from_the_ph(self) -> None:
        # At pH = pK1 (6.352 at 25 °C, Plummer & Busenberg 1982) as much CO2 as bicarbonate.
        sour = Water(HARD.ions_mg_l, 5.0, 6.352)
        more = treatment.lime_soften(sour).lime_mg_l - treatment.lime_soften(sour, 0.0).lime_mg_l
        assert more == pytest.approx(5.0 * mass("CaO2H2"), rel=0.03)


class TestBlending:
    def test_half_distilled_halves_everything(self) -> None:
        mixed = treatment.blend([(HARD, 10.0), (treatment.DISTILLED, 10.0)])
        assert mixed.alkalinity_meq_l == pytest.approx(2.5)
        assert mixed.ions_mg_l["calcium"] == pytest.approx(55.0)

    def test_ph_does_not_mix_linearly(self) -> None:
        # as much bicarbonate as CO2 is pH = pK1, whatever the mean of the two pH
        sour, alkaline = Water({}, 0.0, 4.8), Water({}, 4.0, 8.3)
        mixed = treatment.blend([(sour, 1.0), (alkaline, 1.0)])
        assert mixed.ph is not None
        assert mixed.ph > 7.0 > 0.5 * (4.8 + 8.3)

    def test_an_unknown_ph_stays_unknown(self) -> None:
        assert treatment.blend([(HARD, 1.0), (Water({}, 1.0), 1.0)]).ph is None

    def test_share_for_a_target(self) -> None:
        # f = (C_target - C_pure) / (C_tap - C_pure)
        assert treatment.share_for_target(50.0, 110.0, 10.0) == pytest.approx(0.4)
        assert treatment.share_for_target(150.0, 110.0, 10.0) is None
        assert treatment.share_for_target(10.0, 110.0, 10.0) == 0.0
        assert treatment.share_for_target(110.0, 110.0, 10.0) == 1.0
        assert treatment.share_for_target(10.0, 10.0, 10.0) == 1.0
        assert treatment.share_for_target(11.0, 10.0, 10.0) is None

    def test_no_litres_are_refused(self) -> None:
        for litres in (0.0, -1.0):
            with pytest.raises(ValueError, match=r"^a blend needs litres"):
                treatment.blend([(HARD, litres)])
        with pytest.raises(ValueError, match=r"^a blend needs litres"):
            treatment.blend([(HARD, 5.0), (treatment.DISTILLED, -1.0)])

    def test_none_of_a_water_is_as_if_it_were_not_there(self) -> None:
        mixed = treatment.blend([(HARD, 5.0), (treatment.DISTILLED, 0.0)])
        assert dict(mixed.ions_mg_l) == pytest.approx(dict(HARD.ions_mg_l))
        assert mixed.ph == pytest.approx(HARD.ph, abs=1e-6)

    def test_permeate_is_nearly_neutral_in_charge(self) -> None:
        water = treatment.REVERSE_OSMOSIS
        cations = sum(meq_l(ion, water.ions_mg_l[ion]) for ion in ("calcium", "sodium"))
        anions = sum(meq_l(ion, water.ions_mg_l[ion]) for ion in ("chloride", "sulfate"))
        assert cations - anions - water.alkalinity_meq_l == pytest.approx(0.0, abs=0.2)
