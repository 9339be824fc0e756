"""Hard water boiled beforehand or treated with slaked lime, and what is brewed of it."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from recipe_tools.rules.examples import additions, together, well_with
from recipe_tools.schema_files import schema_text
from tests.cli.conftest import Run
from tests.rules.whole_files import STANDARDS, written

CALCIUM_G_EQ = 20.039
"""Half of 40.078 g/mol (IUPAC abridged atomic weights)."""
LEFT_MEQ_L = {"boiled": 1.0, "lime": 0.8}
"""60 mg/L of bicarbonate after boiling, 40 mg/L as CaCO3 after lime; from memory."""
WELL = """
calcium = "110 mg/L"
magnesium = "10 mg/L"
sodium = "20 mg/L"
chloride = "40 mg/L"
sulfate = "45 mg/L"
bicarbonate = "300 mg/L"
chlorine = "0 mg/L"
ph = 7.4
"""
TREATMENTS = ("boiled", "lime")


def hard(bicarbonate: float, standard: str, here: Path) -> str:
    water = well_with(
        calcium=110, bicarbonate=bicarbonate, sulfate=45, sodium=20, chloride=40, magnesium=10
    )
    name, data = written(standard, together(water, additions()))
    (here / name).write_bytes(data)
    return name


def configured(here: Path, text: str) -> None:
    (here / "recipe-tools.toml").write_text(text)


@pytest.mark.parametrize("treatment", TREATMENTS)
def test_the_water_command_says_what_is_left(run: Run, here: Path, treatment: str) -> None:
    (here / "well.toml").write_text(WELL)
    options = ("water", "well.toml", "--no-config", f"--{treatment}", "--volume", "30 L")
    document = run(*options, "--format", "json").json
    schema = json.loads(schema_text("water-report.schema.json"))
    answer = {"$ref": "#/$defs/answer", "$defs": schema["$defs"]}
    jsonschema.Draft202012Validator(answer).validate(document)
    left = document["treatment"]
    assert left["alkalinity_meq_l"] == pytest.approx(LEFT_MEQ_L[treatment], abs=0.02)
    taken = 300 / 61.016 - left["alkalinity_meq_l"]
    # Ca(HCO3)2 = CaCO3 + CO2 + H2O: a mEq of calcium with each mEq of alkalinity. With lime as
    # much calcium settles again as the lime brought.
    assert left["ions_mg_l"]["calcium"] == pytest.approx(110 - CALCIUM_G_EQ * taken, abs=0.1)
    assert left["ions_mg_l"]["magnesium"] == 10
    assert left["ions_mg_l"]["bicarbonate"] == pytest.approx(
        61.016 * left["alkalinity_meq_l"], abs=0.01
    )
    text = run(*options).text
    assert "pour it off the" in text
    if treatment == "boiled":
        assert left["lime_mg_l"] is None
        assert "lime" not in text
        return
    # Ca(HCO3)2 + Ca(OH)2 = 2 CaCO3 + 2 H2O, and one Ca(OH)2 for each CO2 that is free at pH 7.4
    # (pK1 = 6.35 at 25 °C, Plummer & Busenberg 1982); 74.09 g/mol.
    free = 300 / 61.016 / 10 ** (7.4 - 6.35)
    assert left["lime_mg_l"] == pytest.approx(74.09 * (taken / 2 + free), rel=0.02)
    assert left["lime_g"] == pytest.approx(0.03 * left["lime_mg_l"], abs=0.01)
    said = " ".join(text.split())
    for words in ("burns eyes and skin", "goggles and gloves", "test kit", "drinking water"):
        assert words in said
        assert any(words in caution for caution in left["cautions"])


def test_only_one_treatment_at_a_time(run: Run, here: Path) -> None:
    (here / "well.toml").write_text(WELL)
    done = run("water", "well.toml", "--boiled", "--lime")
    assert done.code == 2
    assert done.out == b""


@pytest.mark.parametrize("treatment", TREATMENTS)
def test_soft_water_gives_nothing_up(run: Run, here: Path, treatment: str) -> None:
    (here / "soft.toml").write_text('calcium = "10 mg/L"\nbicarbonate = "30 mg/L"\n')
    text = run("water", "soft.toml", "--no-config", f"--{treatment}", "--fail-on", "never").text
    assert "It takes nothing out" in text


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("treatment", TREATMENTS)
def test_a_configured_treatment_stands_for_the_source(
    run: Run, here: Path, standard: str, treatment: str
) -> None:
    name = hard(300, standard, here)

    def brewed() -> dict[str, Any]:
        document = run("check", name, "--format", "json").json
        recipe: dict[str, Any] = document["files"][0]["recipes"][0]
        return recipe

    configured(here, "")
    plain = brewed()
    configured(here, f'[water]\ntreatment = "{treatment}"\n')
    after = brewed()
    # Acid and salts of the recipe lie on top of both.
    before, left = (item["water"]["source"] for item in (plain, after))
    assert before["alkalinity_meq_l"] == pytest.approx(300 / 61.016, abs=0.02)
    assert left["alkalinity_meq_l"] == pytest.approx(LEFT_MEQ_L[treatment], abs=0.02)
    taken = before["alkalinity_meq_l"] - left["alkalinity_meq_l"]
    fallen = before["ions_mg_l"]["calcium"] - left["ions_mg_l"]["calcium"]
    assert fallen == pytest.approx(CALCIUM_G_EQ * taken, abs=0.5)
    assert after["mash_ph"]["predicted"] < plain["mash_ph"]["predicted"] - 0.05
    assert "treated-water" in {item["id"] for item in after["assumptions"]}
    assert "treated-water" not in {item["id"] for item in plain["assumptions"]}


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("bicarbonate", [300, 400])
def test_a_way_out_that_dose_offers_makes_a_plan(
    run: Run, here: Path, standard: str, bicarbonate: float
) -> None:
    name = hard(bicarbonate, standard, here)
    configured(here, "")
    stuck = run("dose", name)
    assert stuck.code == 1
    offered = re.findall(r'treatment = "(\w+)"', " ".join(stuck.text.split()))
    assert offered == ["boiled", "lime"]
    assert "burns eyes and skin" in " ".join(stuck.text.split())
    for treatment in offered:
        configured(here, f'[water]\ntreatment = "{treatment}"\n')
        document = run("dose", name, "--format", "json")
        assert document.code == 0, treatment
        jsonschema.validate(document.json, json.loads(schema_text("dose.schema.json")))
        plan = document.json["recipes"][0]
        assert plan["feasible"]
        assert not any("treatment =" in text for text in plan["changes"])
        (first, *_) = plan["steps"][0]["actions"]
        assert first["what"] == {"boiled": "boil", "lime": "lime"}[treatment]
        assert first["litres"] == pytest.approx(28.5, abs=0.3)
        for form in ("text", "markdown", "html"):
            text = run("dose", name, "--format", form).text.replace("\\", "")
            sheet = " ".join(text.split())
            assert "pour it off the chalk" in sheet
            assert ("burns eyes and skin" in sheet) == (treatment == "lime")
            if treatment == "lime":
                assert f"{first['amount']:.1f} g of slaked lime" in sheet


def test_pure_water_is_blended_in_after_the_treatment(run: Run, here: Path) -> None:
    """Half of it pure: what is left in the tap water is halved."""
    water = well_with(calcium=110, bicarbonate=300, sulfate=45, sodium=20, chloride=40)
    pure = {
        "name": "Reverse osmosis water",
        "type": "other",
        "amount": {"unit": "l", "value": 14.25},
        "timing": {"use": "add_to_mash"},
    }
    name, data = written("beerjson", together(water, additions(pure)))
    (here / name).write_bytes(data)
    configured(here, '[water]\ntreatment = "boiled"\n')
    recipe = run("check", name, "--format", "json").json["files"][0]["recipes"][0]
    assert recipe["water"]["source"]["alkalinity_meq_l"] == pytest.approx(0.5, abs=0.03)


@pytest.mark.parametrize("standard", STANDARDS)
def test_of_a_water_nobody_knows_nothing_is_claimed(run: Run, here: Path, standard: str) -> None:
    name = hard(300, standard, here)
    configured(here, '[water]\ntreatment = "boiled"\nrecords = "ignore"\n')
    recipe = run("check", name, "--format", "json").json["files"][0]["recipes"][0]
    assert not recipe["water"]["source"]["known"]
    assert "treated-water-unknown" in {item["id"] for item in recipe["assumptions"]}


def test_another_word_is_a_wrong_configuration(run: Run, here: Path) -> None:
    name = hard(300, "beerjson", here)
    configured(here, '[water]\ntreatment = "distilled"\n')
    done = run("check", name)
    assert done.code == 2
    assert "boiled" in done.err
