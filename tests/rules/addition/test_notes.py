"""Salts in prose, cultures named like an acid, and amounts of nothing, in either standard."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools.findings import Finding
from recipe_tools.results import CheckedFile
from recipe_tools.rules.examples import additions, dose, more_additions, together, water, well
from tests.rules.brew import in_both_standards


def of(file: CheckedFile, rule: str) -> list[Finding]:
    return [item for item in file.findings if item.rule == rule]


def water_with(notes: str) -> dict[str, Any]:
    return water({**well("Aldermoor well"), "notes": notes})


def test_salts_in_the_notes_of_a_water_are_seen() -> None:
    for standard, file in in_both_standards(
        together(additions(), water_with("With 2 g Epsom salt"))
    ).items():
        (finding,) = of(file, "addition/notes-agents-not-counted")
        assert "notes of the water 'Aldermoor well'" in finding.message, standard
        assert "Epsom salt" in finding.message
        assert finding.pointer.lower().endswith("/notes")
        assert "water" in finding.pointer.lower()


@pytest.mark.parametrize(
    "notes", ["We never use Epsom salt.", "Ohne Bittersalz", "Epsom salt: none", "No Epsom salt"]
)
def test_what_the_notes_deny_is_not_missed(notes: str) -> None:
    for patch in ({"notes": notes}, water_with(notes)):
        for file in in_both_standards(patch).values():
            assert of(file, "addition/notes-agents-not-counted") == []


# Names of trade and daily life, common practice, no source.
@pytest.mark.parametrize(
    "name",
    [
        *("Lactic acid bacteria", "Lactic acid culture", "Milchsäure-Bakterien"),
        *("Bactéries d'acide lactique", "Bacterias de ácido láctico", "Batteri acido lattico"),
        *("Bakterie kwasu mlekowego", "Mjölksyra-bakterier", "Молочная кислота, бактерии"),
    ],
)
@pytest.mark.parametrize("kind", ["other", "flavor", "water agent"])
def test_bacteria_are_no_acid(name: str, kind: str) -> None:
    patch = additions(dose(name, 10, "ml", step=1, kind=kind))
    for standard, file in in_both_standards(patch).items():
        day = file.recipes[0].day
        assert day is not None
        assert not any(item.acid_meq.high for item in day.doses), (standard, name)
        assert of(file, "addition/agent-unknown") == [], (standard, name)


@pytest.mark.parametrize(
    ("name", "unit"), [("Gypsum", "g"), ("Lactic acid 80 %", "ml"), ("Epsom salt", "g")]
)
def test_an_amount_of_nothing_is_named(name: str, unit: str) -> None:
    for standard, file in in_both_standards(more_additions(dose(name, 0, unit, step=1))).items():
        (finding,) = of(file, "addition/amount-missing")
        assert finding.message == f"'{name}' has the amount 0 and is not counted", standard
