"""Strengths of acids and solutions as names and notes state them."""

from __future__ import annotations

import pytest

from recipe_tools.reference import recognise_agent


@pytest.mark.parametrize(
    ("name", "percent"),
    [
        ("Lactic acid 88 %", 88.0),
        ("Lactic Acid 88%", 88.0),
        ("lactic88%", 88.0),
        ("Milchsäure 80%ig", 80.0),
        ("Milchsäure 80 Prozent", 80.0),
        ("acide lactique 80 pour cent", 80.0),
        ("ácido láctico 88 por ciento", 88.0),
        ("ácido lático 85 por cento", 85.0),
        ("acido lattico 80 per cento", 80.0),
        ("melkzuur 80 procent", 80.0),
        ("kwas mlekowy 80 proc.", 80.0),
        ("kyselina mléčná 80 procent", 80.0),
        ("mjölksyra 80-procentig", 80.0),
        ("mælkesyre 80 procent", 80.0),
        ("melkesyre 10 prosent", 10.0),
        ("молочная кислота 80 процентов", 80.0),
        ("Phosphoric acid 33 pct", 33.0),
        ("Phosphoric acid 8,5 %", 8.5),
        ("Phosphoric acid 10.5% w/w", 10.5),
        ("Lactic acid 88 per cent", 88.0),
        ("Lactic acid 88", 88.0),
        ("Lactic acid 8８％", 88.0),
        ("Lactic acid 120 %", 120.0),
        ("Lactic acid 88 % (100 % pure)", 88.0),
    ],
)
def test_strengths_in_all_languages(name: str, percent: float) -> None:
    match = recognise_agent(name)
    assert match is not None
    assert match.strength_percent == percent


@pytest.mark.parametrize(
    "name",
    ["Lactic acid", "Lactic acid 10 ml", "Lactic acid 5", "Lactic acid 80 g", "Gypsum 10", "E 270"],
)
def test_numbers_that_are_no_strength(name: str) -> None:
    match = recognise_agent(name)
    assert match is not None
    assert match.strength_percent is None


def test_basis_and_normality_as_stated() -> None:
    by_mass = recognise_agent("Lactic acid (80 %, w/w)")
    normal = recognise_agent("Sulfuric acid 5 N")
    molar = recognise_agent("Sulfuric acid 2 mol/L")
    assert by_mass is not None
    assert by_mass.strength_basis == "w/w"
    assert normal is not None
    assert normal.normality == 5.0
    assert molar is not None
    assert molar.normality == 4.0  # two protons to the mole


def test_strength_from_the_notes() -> None:
    one = recognise_agent("Lactic acid", "my bottle says 80 %")
    two = recognise_agent("Lactic acid", "10 % of the water, 80 % strength")
    assert one is not None
    assert one.strength_percent == 80.0
    assert two is not None
    assert two.strength_percent is None
