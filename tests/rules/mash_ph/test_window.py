"""The mash pH against its window. Malts are lots that were measured, so the band is narrow."""

from __future__ import annotations

import re
from typing import Any

import pytest

from recipe_tools.chemistry.mash_ph import Prediction
from recipe_tools.findings import Confidence, Example, Severity
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
    xml_file,
)
from recipe_tools.rules.mash_ph.window import largest_pull
from tests.rules.brew import all_findings, checked, day_of, found, one, rules_of

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
    unknown: dict[str, Any] = {"ingredients": {"water_additions": []}}
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
            assert "most likely" in item.message


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


RESULT = day_of().prediction
assert RESULT is not None
PLAIN_PH = RESULT.ph


@pytest.mark.parametrize(
    ("rule", "option", "inside", "outside"),
    [
        ("mash-ph/above-range", "high", PLAIN_PH - 0.004, PLAIN_PH - 0.006),
        ("mash-ph/below-range", "low", PLAIN_PH + 0.004, PLAIN_PH + 0.006),
    ],
)
def test_a_ph_is_outside_from_half_a_hundredth_beyond_the_edge(
    rule: str, option: str, inside: float, outside: float
) -> None:
    # a meter shows hundredths: half of the last digit is no difference
    def speaks(edge: float) -> bool:
        return bool(found(rule, config={"rules": {rule: {"options": {option: edge}}}}))

    assert not speaks(inside)
    assert speaks(outside)


@pytest.mark.parametrize(
    ("rule", "option", "end"),
    [("mash-ph/above-range", "high", "high"), ("mash-ph/below-range", "low", "low")],
)
def test_a_ph_that_only_may_be_outside_is_told_by_the_end_that_is(
    rule: str, option: str, end: str
) -> None:
    edge = PLAIN_PH + (0.05 if option == "high" else -0.05)
    config = {"rules": {rule: {"options": {option: edge}}}}
    (item,) = [item for item in all_findings(config=config) if item.rule == rule]
    assert item.confidence is Confidence.POSSIBLE
    assert item.severity is Severity.WARNING
    side = "above" if option == "high" else "below"
    assert f"may be {side} pH {edge:g} (best value {PLAIN_PH:.2f}, most likely " in item.message
    assert f" {item.values[end]:.2f}" in item.message


def test_the_acid_may_be_told_to_overshoot_where_only_the_band_does() -> None:
    acid = additions(dose("Lactic acid 80 %", 4, "ml", step=1))
    patch = together(grist(malt("Pale ale malt", 4.0, 2.8)), acid)
    (item,) = [i for i in all_findings(patch) if i.rule == "mash-ph/acid-overshoots"]
    assert item.confidence is Confidence.POSSIBLE
    assert item.severity is Severity.WARNING
    assert "may be below pH 5.2 (best value 5." in item.message
    assert f"most likely {item.values['low']:.2f} to" in item.message


def test_the_strongest_acid_of_the_mash_is_named() -> None:
    acids = additions(
        dose("Lactic acid 80 %", 2, "ml", step=1),
        dose("Phosphoric acid 85 %", 9, "ml", step=1),
        dose("Lactic acid 88 %", 30, "ml", step=2),
    )
    item = one("mash-ph/acid-overshoots", together(grist(malt("Pale ale malt", 4.0, 2.8)), acids))
    assert item.message.startswith("With Phosphoric acid 85 % the mash ")
    assert item.pointer.endswith("/miscellaneous_additions/1/amount")


def test_acid_that_only_meets_the_sparge_does_not_overshoot_the_mash() -> None:
    acid = additions(dose("Lactic acid 80 %", 12, "ml", step=2))
    assert not found("mash-ph/acid-overshoots", acid)


def test_acids_and_bases_of_the_mash_are_related_and_no_more_than_three() -> None:
    doses = (
        dose("Baking soda", 3, step=1),
        dose("Epsom salt", 1, step=1),
        dose("Lactic acid 80 %", 0.1, "ml", step=1),
        dose("Lactic acid 80 %", 0.1, "ml", use="add_to_boil"),
        dose("Slaked lime", 1, step=1),
        dose("Chalk", 1, step=1),
    )
    item = one(
        "mash-ph/above-range", together(laboratory_mash(1.8, 323.0), additions(*doses)), PILSNER
    )
    assert [(i.pointer.rpartition("additions/")[2], i.message) for i in item.related] == [
        ("0/amount", "Baking soda goes into the mash"),
        ("2/amount", "Lactic acid 80 % goes into the mash"),
        ("4/amount", "Slaked lime goes into the mash"),
    ]


def shifted(**shifts: float) -> Prediction:
    """Return the plain prediction with such shifts of the pH."""
    assert RESULT is not None
    return RESULT._replace(contributions_ph=shifts)


def test_what_moves_the_ph_most_in_the_direction_of_the_fault_is_named() -> None:
    both = shifted(malt=5.7, carbonate=0.2, calcium_magnesium=-0.1, acid=-0.3, base=0.1)
    assert largest_pull(both, upwards=True) == "; the alkalinity of the water moves it by +0.20"
    assert largest_pull(both, upwards=False) == "; the acid moves it by -0.30"
    only_up = shifted(malt=5.7, carbonate=0.2)
    assert largest_pull(only_up, upwards=False) == ", from the malt itself"
    assert largest_pull(shifted(malt=5.7, base=0.03), True) == (
        "; the alkaline additions move it by +0.03"
    )
    assert largest_pull(shifted(malt=5.7, base=0.029), True) == ", from the malt itself"
    assert largest_pull(shifted(malt=5.7, calcium_magnesium=-0.05), False) == (
        "; calcium and magnesium move it by -0.05"
    )
    assert largest_pull(shifted(malt=5.7), True) == ""


def test_near_an_edge_means_within_its_distance_and_inside() -> None:
    rule = "mash-ph/near-edge"

    def speaks(low: float, high: float, within: float = 0.05) -> bool:
        options = {"low": low, "high": high, "within": within}
        return bool(found(rule, config={"rules": {rule: {"options": options}}}))

    assert speaks(5.0, PLAIN_PH + 0.049)
    assert not speaks(5.0, PLAIN_PH + 0.051)
    assert speaks(PLAIN_PH - 0.049, 6.0)
    assert not speaks(PLAIN_PH - 0.051, 6.0)
    assert not speaks(5.0, PLAIN_PH - 0.001)
    assert not speaks(PLAIN_PH + 0.001, 6.0)
    assert speaks(5.0, PLAIN_PH, 0.0)
    assert speaks(PLAIN_PH, 6.0, 0.0)


def test_the_nearer_edge_is_named() -> None:
    rule = "mash-ph/near-edge"

    def limit(low: float, high: float) -> object:
        options = {"low": low, "high": high, "within": 0.5}
        return one(rule, config={"rules": {rule: {"options": options}}}).values["limit"]

    low, high = PLAIN_PH - 0.1, PLAIN_PH + 0.1
    assert limit(low, high + 0.01) == low
    assert limit(low - 0.01, high) == high


@pytest.mark.parametrize(("litres", "certain"), [(10.0, True), (25.0, True), (25.1, False)])
def test_the_measured_thickness_ends_at_two_and_five_litres_per_kilogram(
    litres: float, certain: bool
) -> None:
    # Troester 2009; five kilograms of malt
    patch = together(laboratory_mash(1.8, 323.0), mash_steps(step("Rest", "infusion", litres, 64)))
    severity = one("mash-ph/above-range", patch, PILSNER).severity
    assert (severity is Severity.ERROR) is certain


def test_a_mash_thicker_than_measured_is_never_certain() -> None:
    sour = grist(malt("Acidulated malt", 4.0, 2.0, "specialty"))
    thick = together(sour, mash_steps(step("Rest", "infusion", 7.9, 64)))
    assert one("mash-ph/below-range", thick).severity is Severity.WARNING
    usual = together(sour, mash_steps(step("Rest", "infusion", 12, 64)))
    assert one("mash-ph/below-range", usual).severity is Severity.ERROR


def test_what_the_model_was_not_measured_on_is_likely_only_for_the_thickness() -> None:
    rule = "mash-ph/thickness-outside-model"

    def confidence(patch: dict[str, object]) -> list[Confidence]:
        return [item.confidence for item in all_findings(patch) if item.rule == rule]

    assert confidence({}) == []
    thin = mash_steps(step("Saccharification", "infusion", 5.1 * 4.2, 66))
    assert confidence(thin) == [Confidence.LIKELY]
    thick = mash_steps(step("Saccharification", "infusion", 1.9 * 4.2, 66))
    assert confidence(thick) == [Confidence.LIKELY]
    hard = well_with(calcium=150, bicarbonate=430)
    assert confidence(hard) == [Confidence.POSSIBLE]


@pytest.mark.parametrize(
    ("field", "when"), [("start_ph", "for the start of"), ("end_ph", "for the end of")]
)
def test_a_target_of_the_second_step_is_named_by_its_number(field: str, when: str) -> None:
    rests = mash_steps(
        step("Rest", "infusion", 13, 66),
        {**step("Rest", "temperature", None, 72), field: quantity(5.9, "pH")},
    )
    item = one("mash-ph/stated-target-differs", rests)
    assert f"states pH 5.90 {when} mash step 2;" in item.message
    assert item.pointer.endswith(f"/mash_steps/1/{field}")


@pytest.mark.parametrize(
    ("stated", "speaks"),
    [
        (4.59, False),
        (4.6, True),
        (PLAIN_PH - 0.106, True),
        (PLAIN_PH - 0.104, False),
        (PLAIN_PH + 0.104, False),
        (PLAIN_PH + 0.106, True),
        (6.2, True),
        (6.21, False),
    ],
)
def test_a_target_agrees_within_a_tenth_and_is_none_where_no_mash_lies(
    stated: float, speaks: bool
) -> None:
    for field in ("start_ph", "end_ph"):
        rest = {**step("Rest", "infusion", 13, 66), field: quantity(stated, "pH")}
        assert bool(found("mash-ph/stated-target-differs", mash_steps(rest))) is speaks


@pytest.mark.parametrize("kind", ["sparge", "souring mash"])
def test_the_ph_of_sparge_and_souring_is_no_target_of_the_mash(kind: str) -> None:
    own = {**step("Own", kind, 3, 66), "end_ph": quantity(4.8, "pH")}
    assert not found(
        "mash-ph/stated-target-differs", mash_steps(step("Rest", "infusion", 13, 66), own)
    )


@pytest.mark.parametrize(
    ("stated", "speaks"), [("4.5", False), ("4.6", True), ("6.2", True), ("6.3", False)]
)
def test_the_ph_of_a_beerxml_mash_is_compared_with_a_word_of_doubt(
    stated: str, speaks: bool
) -> None:
    # BeerXML 1.0: MASH.PH is the pH of the sparge, often used for the mash
    data = xml_file().replace(b"<SPARGE_TEMP>", b"<PH>%b</PH><SPARGE_TEMP>" % stated.encode())
    findings = checked(Example("", raw=data)).findings
    items = [item for item in findings if item.rule == "mash-ph/stated-target-differs"]
    assert bool(items) is speaks
    for item in items:
        assert "as MASH.PH (by BeerXML the pH of the sparge" in item.message
        assert item.pointer.endswith("/MASH/PH")


def test_extract_beer_without_grain_has_no_ph_to_predict() -> None:
    nothing: dict[str, Any] = {
        "ingredients": {"fermentable_additions": []},
        "type": "extract",
        "mash": None,
    }
    assert not found("mash-ph/not-predictable", nothing)


def test_the_cause_of_a_ph_outside_the_window_lies_on_the_side_of_the_fault() -> None:
    hard = one("mash-ph/above-range", laboratory_mash(1.8, 323.0), PILSNER)
    # Troester 2009: 5.3 mEq/L raise the pH of Pilsner malt at 4 L/kg from 5.72 to 6.08
    moved = re.search(r"; the alkalinity of the water moves it by \+([0-9.]+)$", hard.message)
    assert moved is not None
    assert float(moved[1]) == pytest.approx(6.08 - 5.72, abs=0.07)
    dark = grist(malt("Pale ale malt", 2.4, 2.8), malt("Roasted barley", 1.2, 500, "roasted"))
    low = one("mash-ph/below-range", dark)
    assert re.search(r"; calcium and magnesium move it by -[0-9.]+$", low.message)
