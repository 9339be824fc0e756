"""The water against the style: ranges, the ratio and its floor, residual alkalinity."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Confidence, Severity
from recipe_tools.rules.examples import (
    additions,
    dose,
    grist,
    malt,
    more_additions,
    style,
    together,
    water,
    well,
    well_with,
)
from tests.rules.brew import all_findings, found, one, rules_of

IONS = ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate")
RATIO = "ions/ratio-against-style"


@pytest.mark.parametrize(
    ("name", "number", "letter", "ions"),
    [
        # Jeffery, Brewing Theory and Practice (1950s), middle of each range; the ions of the book
        ("Best Bitter", 11, "B", {"calcium": 120, "magnesium": 17, "sodium": 16, "chloride": 50,
                                  "sulfate": 300, "bicarbonate": 60}),
        ("Dark Mild", 13, "A", {"calcium": 62, "magnesium": 12, "sodium": 33, "chloride": 106,
                                "sulfate": 121, "bicarbonate": 40}),
        ("Irish Stout", 15, "B", {"calcium": 56, "magnesium": 12, "sodium": 62, "chloride": 195,
                                  "sulfate": 46, "bicarbonate": 130}),
    ],
)  # fmt: skip
def test_the_only_published_waters_by_beer_type_suit_their_families(
    name: str, number: int, letter: str, ions: dict[str, float]
) -> None:
    spoken = rules_of(together(well_with(**ions), additions(), style(name, number, letter)))
    assert not spoken & {"ions/outside-style", RATIO, "ions/calcium-low", "ions/sulfate-high"}


def test_pale_ale_water_is_noted_in_a_stout() -> None:
    # Jeffery: pale ale 186 to 332 mg/L of sulfate, stout 46
    liquor = well_with(
        calcium=105, magnesium=12, sodium=22, chloride=90, sulfate=200, bicarbonate=80
    )
    item = one("ions/outside-style", together(liquor, additions(), style("Irish Stout", 15, "B")))
    assert item.values["ion"] == "sulfate"
    assert item.severity is Severity.NOTE


def test_a_ratio_is_not_formed_from_single_digits() -> None:
    # no published minimum exists; malt brings about 200 mg/L of each ion (Bruce 2002)
    soft = well_with(calcium=40, sulfate=20, chloride=5, bicarbonate=105)
    assert not [i for i in all_findings(together(soft, additions())) if i.rule == RATIO]


WHEAT = style("Weissbier", 10, "A")


def test_a_ratio_of_little_weight_is_only_possible() -> None:
    thin = well_with(calcium=33, sulfate=45, chloride=22)
    items = [i for i in all_findings(together(thin, additions(), WHEAT)) if i.rule == RATIO]
    assert [item.confidence for item in items] == [Confidence.POSSIBLE]


def test_where_both_ions_are_high_the_sum_is_reported_and_not_the_ratio() -> None:
    salts = more_additions(
        dose("Gypsum (calcium sulfate dihydrate)", 8, step=1),
        dose("Calcium chloride dihydrate", 8, step=1),
    )
    spoken = rules_of(salts)
    assert "ions/total-minerals-high" in spoken
    assert not spoken & {RATIO, "ions/outside-style"}


def test_dilution_with_pure_water_never_changes_the_ratio() -> None:
    strong = together(well_with(calcium=52, sulfate=75, chloride=37), additions(), WHEAT)
    half = together(
        water(
            well("Aldermoor well", 18, calcium=52, sulfate=75, chloride=37),
            well("Distilled water", 10, **dict.fromkeys(IONS, 0.0)),
        ),
        additions(),
        WHEAT,
    )
    ratios = [
        item.values["value"]
        for patch in (strong, half)
        for item in all_findings(patch)
        if item.rule == RATIO
    ]
    assert ratios == [round(75 / 37, 2)] * 2


def test_residual_alkalinity_of_ten_degrees_is_too_much_for_pale_beer_only() -> None:
    # Glas (TU Muenchen): pale beers below 5 °dH, dark beers below 10 °dH
    liquor = well_with(calcium=60, bicarbonate=230, sodium=35)
    rule = "ions/residual-alkalinity-against-style"
    dark = grist(malt("Pale ale malt", 3.5, 2.8), malt("Roasted malt", 0.6, 400, "roasted"))
    assert one(rule, together(liquor, dark)).severity is Severity.NOTE
    assert not found(rule, together(liquor, dark, style("Irish Stout", 15, "B")))


def test_acid_in_the_mash_uses_up_residual_alkalinity() -> None:
    liquor = well_with(calcium=60, bicarbonate=230, sodium=35)
    rule = "ions/residual-alkalinity-against-style"
    dark = grist(malt("Pale ale malt", 3.5, 2.8), malt("Roasted malt", 0.6, 400, "roasted"))
    acid = more_additions(dose("Lactic acid 80 %", 2.5, "ml"))
    assert found(rule, together(liquor, dark))
    assert not found(rule, together(liquor, dark, acid))


def test_low_sodium_magnesium_and_bicarbonate_are_no_fault() -> None:
    # malt brings about 100 mg/L of magnesium (Holzmann & Piendl 1977)
    liquor = well_with(magnesium=0, sodium=0, bicarbonate=10, chloride=40, calcium=38)
    assert not found("ions/outside-style", together(liquor, style("American Porter", 20, "A")))


def test_a_club_may_settle_its_own_ranges() -> None:
    config = {"style": {"pale_balanced_ale": {"sulfate": [100.0, 300.0]}}}
    item = one("ions/outside-style", config=config)
    assert item.values["ion"] == "sulfate"
    assert item.values["limit"] == 100.0
