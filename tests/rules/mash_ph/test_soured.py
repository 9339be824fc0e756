"""Beers that are soured on purpose: what is not modelled is said, the rest is judged."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools.findings import Confidence, Severity
from recipe_tools.rules.examples import (
    additions,
    dose,
    grist,
    malt,
    mash_steps,
    more_additions,
    quantity,
    step,
    style,
    together,
    well_with,
)
from tests.rules.whole_files import STANDARDS, said

LOW = frozenset(
    {"mash-ph/below-range", "mash-ph/acid-overshoots", "mash-ph/acidulated-share-high",
     "mash-ph/lactate-taste"}
)  # fmt: skip
ACID = more_additions(dose("Lactic acid 80 %", 20, "ml", step=1))
MALT = grist(malt("Pale ale malt", 3.2, 2.8), malt("Acidulated malt", 0.8, 2, "specialty"))


def culture(name: str, kind: str = "other") -> dict[str, Any]:
    """Return a patch with a culture beside the yeast."""
    yeast = {"name": "Clean ale yeast", "type": "ale", "form": "dry", "amount": quantity(11, "g")}
    return {"ingredients": {"culture_additions": [yeast, {**yeast, "name": name, "type": kind}]}}


def rules(standard: str, *patches: dict[str, Any]) -> set[str]:
    return {item.rule for item in said(standard, together(*patches), rule="mash-ph/")}


SOURED = {
    "style": style("Berliner Weisse", 23, "A"),
    "another guide's name": {"style": {"name": "Catharina Sour", "category": "Sour"}},
    "lactobacillus": culture("Lactobacillus plantarum"),
    "pediococcus": culture("Pediococcus damnosus"),
    "milchsaeure": culture("Milchsäurebakterien"),
    "bacteries": culture("Bactéries lactiques"),
    "bakterie": culture("Bakterie kwasu mlekowego"),
    "an addition": more_additions(
        dose("Lactobacillus culture", 10, "ml", use="add_to_boil", kind="other"),
        dose("Lactic acid 80 %", 20, "ml", step=1),
    ),
}


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("why", SOURED)
def test_a_low_mash_of_a_soured_beer_is_no_fault(standard: str, why: str) -> None:
    sour = SOURED[why]
    doses = [] if why == "an addition" else [ACID]
    found = rules(standard, sour, *doses)
    assert not found & LOW
    assert "mash-ph/soured" in found
    assert not rules(standard, sour, MALT) & LOW or why == "an addition"


@pytest.mark.parametrize("kind", ["lacto", "pedio", "bacteria", "mixed-culture", "spontaneous"])
def test_the_kind_of_a_culture_is_enough(kind: str) -> None:
    assert "mash-ph/soured" in rules("beerjson", culture("House blend", kind), ACID)


def test_a_souring_step_of_the_mash_is_enough() -> None:
    patch = mash_steps(
        step("Saccharification", "infusion", 13.0, 66), step("Souring", "souring mash", None, 45)
    )
    assert "mash-ph/soured" in rules("beerjson", patch, ACID)


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("yeast", ["Clean ale yeast", "Brettanomyces bruxellensis", "Wheat yeast"])
def test_too_much_acid_in_other_beers_is_still_an_error(standard: str, yeast: str) -> None:
    (item,) = said(standard, together(ACID, culture(yeast)), rule="mash-ph/acid-overshoots")
    assert (item.severity, item.confidence) == (Severity.ERROR, Confidence.CERTAIN)
    assert "mash-ph/soured" not in rules(standard, ACID, culture(yeast))


@pytest.mark.parametrize("standard", STANDARDS)
def test_lactic_acid_and_a_dose_of_it_do_not_make_a_beer_sour(standard: str) -> None:
    # acid is what corrects a pH; only a culture, a step or the style says that sour is meant
    assert "mash-ph/acid-overshoots" in rules(standard, ACID)


@pytest.mark.parametrize("standard", STANDARDS)
def test_the_rest_of_a_soured_beer_is_judged(standard: str) -> None:
    sour = together(style("Berliner Weisse", 23, "A"), ACID)
    salted = together(
        sour, more_additions(dose("Epsom salt", 30, step=1), dose("Lactic acid 80 %", 20, "ml"))
    )
    found = {item.rule for item in said(standard, salted, {"water": {"chlorine_mg_l": 0.6}})}
    assert {"ions/magnesium-high", "water/chlorine-untreated", "mash-ph/soured"} <= found
    hard = together(
        style("Berliner Weisse", 23, "A"),
        well_with(calcium=110, bicarbonate=390, sodium=35),
        grist(malt("Pale ale malt", 4.0, 2.8)),
        additions(),
    )
    assert "mash-ph/above-range" in rules(standard, hard)


def test_a_soured_beer_within_the_window_needs_no_word() -> None:
    assert "mash-ph/soured" not in rules("beerjson", style("Berliner Weisse", 23, "A"))
