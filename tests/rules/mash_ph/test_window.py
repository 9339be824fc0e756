"""The mash pH against its window. Malts are lots that were measured, so the band is narrow."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Severity
from recipe_tools.rules.examples import (
    additions,
    dose,
    grist,
    malt,
    mash_steps,
    merge_patch,
    more_additions,
    quantity,
    step,
    together,
    water,
    well,
    well_with,
)
from tests.rules.brew import all_findings, found, one, rules_of

PURE = {
    "calcium": 0.0,
    "magnesium": 0.0,
    "sodium": 0.0,
    "chloride": 0.0,
    "sulfate": 0.0,
    "bicarbonate": 0.0,
}
NO_MASH = {"mash": None}


def laboratory_mash(lovibond: float, bicarbonate: float) -> dict[str, object]:
    """Return a mash of one malt at 4 L/kg with sodium bicarbonate in distilled water."""
    ions = {**PURE, "sodium": bicarbonate / 61.016 * 22.99, "bicarbonate": bicarbonate}
    name = "Distilled water" if bicarbonate == 0 else "Bicarbonate solution"
    return together(
        grist(malt("Lot malt", 5.0, lovibond)),
        water(well(name, 20.0, **ions)),
        additions(),
        mash_steps(step("Rest", "infusion", 20, 64)),
    )


def lot(di_ph: float, buffer: float) -> dict[str, object]:
    """Return a configuration with the certificate of the lot."""
    certificate = {
        "name": "Lot malt",
        "di_ph": di_ph,
        "di_water_l_kg": 4.0,
        "buffer_meq_kg_ph": buffer,
    }
    return {"malt": [certificate]}


PILSNER, MUNICH = lot(5.72, 37.7), lot(5.42, 47.7)


@pytest.mark.parametrize("bicarbonate", [0.0, 2.7 * 61.016, 5.3 * 61.016])
def test_pilsner_malt_alone_lies_above_the_window_as_measured(bicarbonate: float) -> None:
    # Troester 2009, 4 L/kg, alkalinity 0 / 2.7 / 5.3 mEq/L: pH 5.72 / 5.90 / 6.08
    measured = {0: 5.72, 165: 5.90, 323: 6.08}[round(bicarbonate)]
    item = one("mash-ph/above-range", laboratory_mash(1.8, bicarbonate), PILSNER)
    assert item.values["value"] == pytest.approx(measured, abs=0.07)


def test_munich_malt_in_distilled_water_lies_in_the_window_as_measured() -> None:
    # Troester 2009: 5.42
    assert not rules_of(laboratory_mash(7.0, 0.0), MUNICH) & {
        "mash-ph/above-range",
        "mash-ph/below-range",
    }


def test_munich_malt_with_hard_water_leaves_the_window_as_measured() -> None:
    # Troester 2009, 4 L/kg, 5.3 mEq/L: pH 5.78
    item = one("mash-ph/above-range", laboratory_mash(7.0, 5.3 * 61.016), MUNICH)
    assert item.values["value"] == pytest.approx(5.78, abs=0.07)


def test_outside_the_window_is_an_error_only_where_the_whole_band_is() -> None:
    # rules of the project: an error for a mash pH certainly outside 5.2 to 5.6
    certain = one("mash-ph/above-range", laboratory_mash(1.8, 323.0), PILSNER)
    likely = one("mash-ph/above-range", laboratory_mash(1.8, 20.0))
    assert (certain.severity, likely.severity) == (Severity.ERROR, Severity.WARNING)
    assert certain.values["low"] > 5.6 > likely.values["low"]


def test_acid_that_goes_too_far_is_named_instead_of_the_low_ph() -> None:
    patch = together(
        grist(malt("Pale ale malt", 4.0, 2.8)), additions(dose("Lactic acid 80 %", 12, "ml"))
    )
    spoken = rules_of(patch)
    assert "mash-ph/acid-overshoots" in spoken
    assert "mash-ph/below-range" not in spoken


def test_dark_malt_that_goes_too_far_is_not_laid_upon_the_acid() -> None:
    patch = together(
        grist(malt("Pale ale malt", 2.4, 2.8), malt("Roasted barley", 1.2, 500, "roasted")),
        more_additions(dose("Lactic acid 80 %", 0.2, "ml")),
    )
    spoken = rules_of(patch)
    assert "mash-ph/below-range" in spoken
    assert "mash-ph/acid-overshoots" not in spoken


def test_a_high_ph_is_not_told_a_second_time_as_residual_alkalinity() -> None:
    patch = together(well_with(bicarbonate=260, calcium=80), grist(malt("Pale ale malt", 4.2, 2.8)))
    spoken = rules_of(patch)
    assert "mash-ph/above-range" in spoken
    assert "ions/residual-alkalinity-against-style" not in spoken


def test_unknown_water_gives_no_verdict_on_the_ph_unless_no_water_could_help() -> None:
    unknown = {"ingredients": {"water_additions": []}}
    assert not {rule for rule in rules_of(unknown) if rule.startswith("mash-ph/")}
    sour = merge_patch(grist(malt("Acidulated malt", 4.0, 2.0, "specialty")), unknown)
    assert "mash-ph/below-range" in rules_of(sour)


@pytest.mark.parametrize("kind", ["extract", "cider", "mead"])
def test_what_is_not_mashed_gets_no_finding_on_the_mash(kind: str) -> None:
    spoken = rules_of({"type": kind, **NO_MASH})
    assert not {rule for rule in spoken if rule.startswith(("mash-ph/", "sparge/"))}


def test_a_missing_volume_is_told_once() -> None:
    patch = mash_steps(step("Saccharification", "infusion", None, 66))
    spoken = rules_of(patch)
    assert "recipe/no-mash-water" in spoken
    assert "mash-ph/not-predictable" not in spoken


def test_near_the_edge_is_worth_a_note() -> None:
    # 5.72 + 0.30 log10(2.95 / 4) with a certificate: close to the edge from below
    patch = together(
        laboratory_mash(1.8, 0.0), additions(dose("Lactic acid 80 %", 2.6, "ml", step=1))
    )
    item = one("mash-ph/near-edge", patch, PILSNER)
    assert item.severity is Severity.NOTE
    assert 5.55 <= item.values["value"] <= 5.6


def test_the_stated_ph_of_the_sparge_is_not_taken_for_the_mash() -> None:
    # BeerXML 1.0: MASH.PH is the pH of the sparge; 7 or 8 there is no mash target
    target = {
        "mash": {
            "mash_steps": [{**step("Rest", "infusion", 13, 66), "end_ph": quantity(7.5, "pH")}]
        }
    }
    assert not found("mash-ph/stated-target-differs", target)


def test_a_stated_target_far_from_the_prediction_is_noted_once() -> None:
    rest = {
        **step("Rest", "infusion", 13, 66),
        "start_ph": quantity(5.9, "pH"),
        "end_ph": quantity(5.9, "pH"),
    }
    assert one("mash-ph/stated-target-differs", mash_steps(rest)).values["value"] == 5.9


def test_every_finding_on_the_ph_says_how_it_is_read() -> None:
    for item in all_findings(laboratory_mash(1.8, 323.0), PILSNER):
        if item.rule in ("mash-ph/above-range", "mash-ph/below-range"):
            assert "read at 25 °C" in item.message
            assert "band" in item.message


def test_beyond_the_measured_thickness_nothing_is_certain() -> None:
    # Troester 2009: mashes of 2 to 5 L/kg
    thin = together(laboratory_mash(1.8, 323.0), mash_steps(step("Rest", "infusion", 35, 64)))
    item = one("mash-ph/above-range", thin, PILSNER)
    assert item.severity is Severity.WARNING


def test_with_unknown_water_a_verdict_names_no_cause_in_the_water() -> None:
    sour = merge_patch(
        grist(malt("Acidulated malt", 4.0, 2.0, "specialty")),
        {"ingredients": {"water_additions": []}},
    )
    item = one("mash-ph/below-range", sour)
    assert item.severity is Severity.WARNING
    assert "whatever drinking water it is" in item.message
