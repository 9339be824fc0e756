"""What a malt is taken for, from the name in a file to the verdict on the mash pH."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools.findings import Confidence, Finding, Severity
from recipe_tools.results import CheckedFile
from recipe_tools.rules.examples import additions, dose, grist, malt, together, well_with
from tests.rules.brew import all_findings, in_both_standards

HARD = well_with(calcium=50, magnesium=8, sodium=15, chloride=30, sulfate=40, bicarbonate=140)


def brewed(name: str, lovibond: float | None, group: str = "", kilograms: float = 5) -> Any:
    item = malt(name, kilograms, lovibond or 0.0, group)
    if lovibond is None:
        del item["color"]
    if not group:
        del item["grain_group"]
    return together(HARD, additions(), grist(item))


def verdicts(file: CheckedFile) -> list[tuple[str, Confidence, Severity | None]]:
    return [
        (item.rule, item.confidence, item.severity)
        for item in file.findings
        if item.rule.startswith("mash-ph/") and item.rule.endswith("-range")
    ]


def predicted(file: CheckedFile) -> float:
    day = file.recipes[0].day
    assert day is not None and day.prediction is not None
    return day.prediction.ph


# Malted barley is what a pale malt is; raw barley has next to no acid (Troester 2009 measured
# malts only; the pH of raw barley is from memory).
@pytest.mark.parametrize(
    "name",
    [
        *("Malted barley", "Barley malt", "Barley, malted", "Gerstenmalz", "Malz aus Gerste"),
        *("Malt d'orge", "Orge maltée", "Malta de cebada", "Cebada malteada"),
        *("Malte de cevada", "Malto d'orzo", "Orzo maltato", "Gerstemout", "Gemoute gerst"),
        *("Słód jęczmienny", "Ječný slad", "Ječmenný slad", "Kornmalt", "Bygmalt", "Byggmalt"),
        *("Maltet byg", "Ячменный солод", "Солод из ячменя", "Ohramallas"),
    ],
)
def test_malted_barley_is_judged_like_pale_malt_in_every_language(name: str) -> None:
    pale = in_both_standards(brewed("Pale malt", 3))
    for standard, file in in_both_standards(brewed(name, 3)).items():
        assert predicted(file) == predicted(pale[standard]), (standard, name)
        assert verdicts(file) == verdicts(pale[standard]), (standard, name)


@pytest.mark.parametrize(
    "name",
    [
        *("Raw barley", "Unmalted barley", "Barley, not malted", "Barley"),
        *("Orge non maltée", "Cebada sin maltear", "Orzo non maltato"),
        *("Ongemoute gerst", "Nesladovaný ječmen", "Несоложёный ячмень"),
    ],
)
def test_barley_that_is_said_to_be_raw_stays_raw(name: str) -> None:
    for file in in_both_standards(brewed(name, None)).values():
        day = file.recipes[0].day
        assert day is not None
        assert [item.malt.class_id for item in day.grist] == ["raw_barley"]


# No measurement of rye, oat, flaked or smoked malt was found: their values are our own choice.
@pytest.mark.parametrize(
    ("name", "lovibond"),
    [
        *(("Rye malt", 3), ("Ruismallas", None), ("Malted oats", 2), ("Flaked maize", 1)),
        *(("Semolina", None), ("Couscous", None), ("Cornmeal", None), ("Barley", None)),
        *(("Pilsnr malt", None), ("Aldermoor Gold", 3), ("Whaet malt", 2)),
    ],
)
def test_what_is_guessed_is_never_certain(name: str, lovibond: float | None) -> None:
    for standard, file in in_both_standards(brewed(name, lovibond)).items():
        found = verdicts(file)
        assert found, (standard, name)
        for rule, confidence, severity in found:
            assert confidence < Confidence.CERTAIN, (standard, name, rule)
            assert severity is not Severity.ERROR, (standard, name, rule)


def _above(patch: Any) -> list[Finding]:
    return [item for item in all_findings(patch) if item.rule == "mash-ph/above-range"]


def test_a_measured_class_is_certain_and_the_guess_is_named() -> None:
    (sure,) = _above(together(HARD, additions(), grist(malt("Wheat malt", 5, 2))))
    assert (sure.confidence, sure.severity) == (Confidence.CERTAIN, Severity.ERROR)
    (open_one,) = _above(together(HARD, additions(), grist(malt("Rye malt", 5, 3))))
    assert "what 'Rye malt' does to the pH is a guess" in open_one.message


# A tenth of maize cannot undo what four times too much acid does.
@pytest.mark.parametrize(
    ("patch", "rule"),
    [
        (
            together(
                grist(malt("Pale malt", 4, 3), malt("Flaked maize", 0.5, 1, "flaked")),
                additions(dose("Lactic acid 80 %", 14, "ml", step=1)),
            ),
            "mash-ph/acid-overshoots",
        ),
        (
            together(
                well_with(calcium=20, sodium=180, bicarbonate=500),
                grist(malt("Wheat malt", 4, 2), malt("Flaked oats", 0.8, 1, "flaked")),
                additions(),
            ),
            "mash-ph/above-range",
        ),
    ],
)
def test_a_guess_too_small_to_matter_leaves_a_verdict_certain(patch: Any, rule: str) -> None:
    for standard, file in in_both_standards(patch).items():
        found = [item.confidence for item in file.findings if item.rule == rule]
        assert found == [Confidence.CERTAIN], standard


def test_a_little_of_a_class_nobody_measured_leaves_a_verdict_certain() -> None:
    oats = grist(malt("Wheat malt", 4.8, 2), malt("Flaked oats", 0.2, 1))
    (finding,) = _above(together(HARD, additions(), oats))
    assert finding.confidence is Confidence.CERTAIN


def test_a_measured_lot_makes_its_malt_known() -> None:
    patch = together(HARD, additions(), grist(malt("Rye malt", 5, 3)))
    config = {"malt": [{"name": "Rye malt", "di_ph": 6.1}]}
    (finding,) = [item for item in all_findings(patch, config) if item.rule.endswith("above-range")]
    assert finding.confidence is Confidence.CERTAIN


def test_sour_malt_by_a_misspelt_name_is_only_likely() -> None:
    parts = grist(malt("Pale malt", 4, 3), malt("Acidulatd malt", 0.8, 2))
    found = [i for i in all_findings(parts) if i.rule == "mash-ph/acidulated-share-high"]
    assert [item.confidence for item in found] == [Confidence.LIKELY]


@pytest.mark.parametrize(
    ("name", "group", "class_id"),
    [
        ("Cara foam", "caramel", "dextrin"),
        ("Caraschaum", "", "dextrin"),
        ("Cara pils", "", "dextrin"),
        ("Cara dehusked", "", "roasted"),
        ("Cara Alder III", "roasted", "roasted"),
        ("Cara Alder", "", "caramel"),
        ("Aldermoor No. 3", "roasted", "roasted"),
        ("Aldermoor No. 3", "base", "base_pale"),
        ("Aldermoor No. 3", "smoked", "smoked"),
        ("Barley", "base", "base_pale"),
        ("Barley", "roasted", "roasted_unmalted"),
        ("Wheat", "roasted", "roasted"),
        ("Wheat", "flaked", "wheat_unmalted"),
        ("Rye", "caramel", "caramel"),
        ("Munich malt", "base", "munich"),
        ("Chocolate malt", "base", "roasted"),
    ],
)
def test_without_colour_the_group_of_a_grain_counts(name: str, group: str, class_id: str) -> None:
    day = in_both_standards(brewed(name, None, group))["beerjson"].recipes[0].day
    assert day is not None
    assert [item.malt.class_id for item in day.grist] == [class_id]


def test_a_guessed_name_is_among_the_things_supposed() -> None:
    for file in in_both_standards(brewed("Munic malt", 9)).values():
        day = file.recipes[0].day
        assert day is not None
        said = [item.text for item in day.assumptions if item.id == "malt-guessed"]
        assert said == ["'Munic malt' is taken for 'munich' (near misspelling: munich malt)"]
