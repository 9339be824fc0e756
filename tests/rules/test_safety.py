"""Cautions carry the codes of the strength that is named."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Finding, Severity
from recipe_tools.rules.examples import additions, dose, more_additions
from tests.rules.brew import all_findings


def notes(*items: dict[str, object]) -> dict[str, Finding]:
    """Return the safety notes of the plain recipe with more additions, by rule."""
    found = all_findings(more_additions(*items))
    return {item.rule: item for item in found if item.rule.startswith("safety/")}


@pytest.mark.parametrize(
    ("name", "word", "code"),
    [
        # Regulation (EC) 1272/2008 Annex VI; lactic acid above 5 % corrosive since March 2022
        ("Lactic acid 80 %", "Danger", "H314"),
        ("Phosphoric acid 85 %", "Danger", "H314"),
        ("Phosphoric acid 10 %", "Warning", "H319"),
        ("Hydrochloric acid 37 %", "Danger", "H335"),
        ("Hydrochloric acid 10 %", "Warning", "H315"),
        ("Sulfuric acid 37 %", "Danger", "H314"),
        ("Sulfuric acid 10 %", "Warning", "H319"),
    ],
)
def test_an_acid_is_labelled_by_its_strength(name: str, word: str, code: str) -> None:
    item = notes(dose(name, 2, "ml"))["safety/strong-acid-handling"]
    assert item.values["signal_word"] == word
    assert code in item.values["h"]
    assert code not in item.message
    assert "add acid to water" in item.message


def test_without_a_strength_the_strongest_bottle_counts() -> None:
    item = notes(dose("Phosphoric acid", 2, "ml"))["safety/strong-acid-handling"]
    assert item.values["signal_word"] == "Danger"


def test_lime_burns_eyes() -> None:
    # ICSC 0408; H318 serious eye damage
    item = notes(dose("Slaked lime", 2, step=1))["safety/lime-handling"]
    assert "H318" in item.values["h"]


def test_sulfite_frees_a_gas_with_acid() -> None:
    # EUH031: contact with acids liberates toxic gas
    item = notes(dose("Potassium metabisulfite", 0.2))["safety/sulfite-allergen"]
    assert "EUH031" in item.values["h"]


def test_local_rules_are_left_to_those_who_make_them() -> None:
    item = notes(dose("Lactic acid 80 %", 2, "ml"))["safety/local-rules"]
    assert "where you brew" in item.message


def test_salts_alone_need_no_caution() -> None:
    assert notes() == {}
    assert not [i for i in all_findings(additions()) if i.rule.startswith("safety/")]


def test_cautions_are_notes_of_the_run_and_belong_to_no_file() -> None:
    for item in notes(dose("Lactic acid 80 %", 2, "ml"), dose("Slaked lime", 1)).values():
        assert item.severity is Severity.NOTE
        assert item.path is None


@pytest.mark.parametrize("name", ["Mixed mineral acid", "Mischsäure"])
def test_a_blend_of_mineral_acids_burns_like_its_parts(name: str) -> None:
    # hydrochloric and sulfuric acid: H314 (Regulation (EC) 1272/2008 Annex VI)
    found = notes(dose(name, 5, "ml"))
    assert "H314" in found["safety/strong-acid-handling"].values["h"]
    assert "safety/local-rules" in found


def test_a_blend_of_salts_is_no_acid() -> None:
    assert notes(dose("Water treatment salts", 5)) == {}


def test_lime_water_is_kept_from_the_eyes() -> None:
    # saturated calcium hydroxide has pH 12.4 (handbook value)
    item = notes(dose("Lime water", 500, "ml", step=1))["safety/lime-handling"]
    assert "H319" in item.values["h"]
    assert item.values["signal_word"] == "Warning"


@pytest.mark.parametrize(
    ("name", "unit", "rules"),
    [
        ("Quicklime", "g", {"safety/lime-handling", "safety/local-rules"}),
        ("Sodium hydroxide", "g", {"safety/lime-handling", "safety/local-rules"}),
        ("Slaked lime", "g", {"safety/lime-handling", "safety/local-rules"}),
        ("Baking soda", "g", {"safety/local-rules"}),
        ("Sodium metabisulfite", "g", {"safety/sulfite-allergen", "safety/local-rules"}),
        ("Lactic acid 2 %", "ml", {"safety/local-rules"}),
        ("Ascorbic acid", "g", set()),
    ],
)
def test_each_agent_has_just_the_cautions_it_needs(name: str, unit: str, rules: set[str]) -> None:
    found = notes(dose(name, 1, unit, step=1))
    assert set(found) == rules
    for item in found.values():
        assert item.pointer.endswith("/miscellaneous_additions/2")


def test_each_agent_and_strength_is_named_once() -> None:
    found = all_findings(
        more_additions(
            dose("Lactic acid 80 %", 2, "ml", step=1),
            dose("Lactic acid 80 %", 1, "ml", step=2),
            dose("Lactic acid 88 %", 1, "ml", step=2),
        )
    )
    named = [i.values["value"] for i in found if i.rule == "safety/strong-acid-handling"]
    assert named == ["lactic acid 80 %", "lactic acid 88 %"]
    assert len([i for i in found if i.rule == "safety/local-rules"]) == 1


def test_an_agent_nobody_knows_has_no_caution_and_hides_none() -> None:
    found = notes(dose("Zymurgite", 2), dose("Lactic acid 80 %", 2, "ml"))
    assert "safety/strong-acid-handling" in found
    assert found["safety/local-rules"].pointer.endswith("/miscellaneous_additions/3")


def test_an_agent_without_a_class_in_the_table_keeps_its_caution(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("recipe_tools.rules.safety.hazard", lambda *_: None)
    found = notes(dose("Slaked lime", 2, step=1), dose("Sodium metabisulfite", 0.2))
    for rule in ("safety/lime-handling", "safety/sulfite-allergen"):
        values = dict(found[rule].values)
        assert values.pop("value")
        assert values == {"signal_word": "", "h": [], "p": []}
        assert "; " not in found[rule].message
