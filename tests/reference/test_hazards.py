"""Hazard classes by strength against the European CLP regulation."""

from __future__ import annotations

import re

import pytest

from recipe_tools.reference import hazard, table


class TestHazards:
    """Specific concentration limits of Regulation (EC) 1272/2008, Annex VI."""

    @pytest.mark.parametrize(
        ("agent_id", "percent", "word", "code"),
        [
            ("sulfuric_acid", 15.0, "Danger", "H314"),
            ("sulfuric_acid", 14.9, "Warning", "H315"),
            ("hydrochloric_acid", 25.0, "Danger", "H314"),
            ("hydrochloric_acid", 24.9, "Warning", "H315"),
            ("hydrochloric_acid", 10.0, "Warning", "H335"),
            ("phosphoric_acid", 25.0, "Danger", "H314"),
            ("phosphoric_acid", 10.0, "Warning", "H319"),
            ("acetic_acid", 90.0, "Danger", "H226"),
            ("acetic_acid", 25.0, "Danger", "H314"),
            ("acetic_acid", 10.0, "Warning", "H319"),
            ("lactic_acid", 80.0, "Danger", "H314"),
        ],
    )
    def test_class_at_a_strength(self, agent_id: str, percent: float, word: str, code: str) -> None:
        found = hazard(agent_id, percent)
        assert found is not None
        assert found.signal_word == word
        assert code in found.h
        assert found.advice

    @pytest.mark.parametrize(
        ("agent_id", "percent"),
        [
            ("sulfuric_acid", 4.9),
            ("hydrochloric_acid", 9.9),
            ("phosphoric_acid", 9.9),
            ("acetic_acid", 9.9),
            ("lactic_acid", 1.5),
        ],
    )
    def test_dilute_acids_are_not_classified(self, agent_id: str, percent: float) -> None:
        assert hazard(agent_id, percent) is None

    def test_lime_harms_eyes_and_airways(self) -> None:
        """International Chemical Safety Card 0408 and safety data sheets."""
        found = hazard("slaked_lime")
        assert found is not None
        assert found.h == ("H315", "H318", "H335")

    def test_metabisulfites_free_sulfur_dioxide_with_acid(self) -> None:
        for agent_id in (
            "sodium_metabisulfite",
            "potassium_metabisulfite",
            "campden_tablet_sodium",
            "campden_tablet_potassium",
        ):
            found = hazard(agent_id)
            assert found is not None
            assert "EUH031" in found.euh

    def test_without_a_strength_the_strongest_counts(self) -> None:
        found = hazard("sulfuric_acid")
        assert found is not None
        assert found.signal_word == "Danger"

    def test_members_of_a_family_share_the_class_of_the_solid(self) -> None:
        assert hazard("calcium_chloride_anhydrous") == hazard("calcium_chloride_dihydrate")
        assert hazard("gypsum") is None
        lime_water = hazard("lime_water")
        assert lime_water is not None
        assert lime_water.signal_word == "Warning"

    def test_an_unknown_agent_is_a_key_error(self) -> None:
        with pytest.raises(KeyError):
            hazard("unobtainium")

    def test_codes_have_the_form_of_the_regulation(self) -> None:
        severe = {"H314", "H318", "H226"}
        for row in table("hazards"):
            if row["classified"] == "no":
                assert not row["h"] and not row["signal_word"]
                continue
            statements = row["h"].split()
            assert statements and row["p"].split(), row
            assert all(re.fullmatch(r"H[2-4]\d\d", code) for code in statements), row
            assert all(re.fullmatch(r"EUH\d{3}", code) for code in row["euh"].split()), row
            assert all(re.fullmatch(r"P\d{3}(\+P\d{3})*", code) for code in row["p"].split()), row
            # H314 and H318 carry the signal word Danger (CLP, Annex I)
            assert (row["signal_word"] == "Danger") >= bool(severe & set(statements)), row
            assert row["signal_word"] in ("Danger", "Warning"), row

    def test_bands_of_one_agent_do_not_overlap(self) -> None:
        rows = [row for row in table("hazards") if row["strength_from"]]
        for row in rows:
            for other in rows:
                if row is other or row["agent_id"] != other["agent_id"]:
                    continue
                below = float(row["strength_below"] or 1000)
                assert float(other["strength_from"]) >= below or float(
                    other["strength_below"] or 1000
                ) <= float(row["strength_from"])
