"""The water against the style: ranges, the ratio and its floor, residual alkalinity."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Confidence, Finding, Severity
from recipe_tools.rules import recipe_rules
from recipe_tools.rules.examples import (
    additions,
    dose,
    grist,
    malt,
    more_additions,
    quantity,
    style,
    together,
    water,
    well,
    well_with,
)
from tests.rules.brew import all_findings, day_of, found, one, rules_of
from tests.rules.whole_files import EXTRACT, STANDARDS, said

IONS = ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate")
RATIO = "ions/ratio-against-style"
GYPSUM, CHLORIDE = "Gypsum (calcium sulfate dihydrate)", "Calcium chloride dihydrate"


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
    config = {"style": {"blonde_and_golden_ales": {"sulfate": [100.0, 300.0]}}}
    item = one("ions/outside-style", config=config)
    assert item.values["ion"] == "sulfate"
    assert item.values["limit"] == 100.0


OUTSIDE = "ions/outside-style"


def family(**ranges: list[float]) -> dict[str, object]:
    """Return a configuration with ranges of its own for the plain recipe."""
    return {"style": {"blonde_and_golden_ales": dict(ranges)}}


@pytest.mark.parametrize(
    ("ion", "low", "high", "speaks"),
    [
        # five percent beyond the range, and half a milligram, are still inside
        ("sulfate", 0, 95, True),
        ("sulfate", 0, 96, False),
        ("sulfate", 105, 200, False),
        ("sulfate", 106, 200, True),
        ("calcium", 105, 200, False),
        ("calcium", 106, 200, True),
        ("chloride", 105, 200, False),
        ("chloride", 106, 200, True),
        ("magnesium", 0, 94, True),
        ("magnesium", 0, 95, True),
        ("magnesium", 0, 96, False),
        ("magnesium", 106, 200, False),
        ("sodium", 106, 200, False),
        ("sodium", 0, 94, True),
    ],
)
def test_an_ion_is_outside_from_five_percent_beyond_the_range(
    ion: str, low: float, high: float, speaks: bool
) -> None:
    level = 100.6 if high == 95 else 100.0
    patch = together(well_with(**{"calcium": 60.0, ion: level}), additions())
    rules = {f"ions/{name}-high": {"severity": "off"} for name in ("magnesium", "sodium")}
    config = {**family(**{ion: [low, high]}), "rules": rules}
    items = [i for i in all_findings(patch, config) if i.rule == OUTSIDE]
    spoken = [item for item in items if item.values["ion"] == ion]
    assert bool(spoken) is speaks
    for item in spoken:
        side = "below" if low > 100 else "above"
        limit = low if low > 100 else high
        assert (item.values["side"], item.values["limit"]) == (side, limit)
        assert (
            f"{side} {limit:.0f} mg/L, the edge of the family blonde and golden ales"
            in item.message
        )


def test_every_ion_outside_has_its_own_finding() -> None:
    config = family(calcium=[0, 20], sulfate=[0, 15], sodium=[0, 5])
    items = found(OUTSIDE, additions(), config)
    assert {i.values["ion"] for i in items if i.values["side"] == "above"} == {
        "calcium",
        "sulfate",
        "sodium",
    }


def test_a_drink_that_is_no_beer_has_no_ranges() -> None:
    config = family(sulfate=[100, 300])
    assert found(OUTSIDE, config=config)
    assert not found(OUTSIDE, {"type": "cider", "style": None}, config)


def ratios(sulfate: float, chloride: float, **options: float) -> list[Finding]:
    """Return the findings on the ratio of two ions, in a beer with wide ranges."""
    wide = family(calcium=[0, 900], chloride=[0, 900], sulfate=[0, 900])
    config = {**wide, "rules": {RATIO: {"options": options}}}
    patch = together(well_with(sulfate=sulfate, chloride=chloride), additions())
    return [item for item in all_findings(patch, config) if item.rule == RATIO]


@pytest.mark.parametrize(
    ("sulfate", "chloride", "side"),
    [
        # a blonde and golden ales lies between 0.7 and 2; half a tenth beyond is still inside
        (104.0, 50.0, None),
        (103.0, 50.0, "above"),
        (102.0, 50.0, None),
        (33.0, 50.0, None),
        (32.0, 50.0, "below"),
    ],
)
def test_a_ratio_is_outside_from_half_a_tenth_beyond_its_range(
    sulfate: float, chloride: float, side: str | None
) -> None:
    if (sulfate, side) == (104.0, None):
        chloride = 104.0 / 2.04
    items = ratios(sulfate, chloride)
    assert bool(items) is (side is not None)
    for item in items:
        assert item.confidence is Confidence.CERTAIN
        limit = "2" if side == "above" else "0.7"
        assert (
            f", {side} {limit}; in the family blonde and golden ales it lies between 0.7 and 2"
            in (item.message)
        )


@pytest.mark.parametrize(
    ("sulfate", "chloride", "confidence"),
    [
        (24.9, 5.0, None),
        (25.0, 5.0, Confidence.POSSIBLE),
        (5.0, 25.0, Confidence.POSSIBLE),
        (49.9, 10.0, Confidence.POSSIBLE),
        (50.0, 10.0, Confidence.CERTAIN),
        (400.0, 150.0, Confidence.CERTAIN),
        (400.0, 150.1, None),
    ],
)
def test_how_much_of_both_ions_there_is_gives_the_ratio_its_weight(
    sulfate: float, chloride: float, confidence: Confidence | None
) -> None:
    rules = {name: {"severity": "off"} for name in ("ions/sulfate-high",)}
    wide = family(calcium=[0, 900], chloride=[0, 900], sulfate=[0, 900])
    patch = together(well_with(sulfate=sulfate, chloride=chloride), additions())
    found_ = [i for i in all_findings(patch, {**wide, "rules": rules}) if i.rule == RATIO]
    assert [item.confidence for item in found_] == ([] if confidence is None else [confidence])


def test_a_style_in_which_salt_is_wanted_has_no_ratio() -> None:
    assert ratios(10, 140)
    day = day_of(together(well_with(sulfate=10, chloride=140), additions()))
    entry = recipe_rules()[RATIO]
    options = {name: option.default for name, option in entry.declaration.options.items()}

    def speaks(*exempt: str) -> bool:
        assert day.family is not None
        salted = day._replace(family=day.family._replace(exempt=frozenset(exempt)))
        return bool(list(entry.check(salted, options)))

    assert speaks()
    assert speaks("sodium")
    assert not speaks("chloride")
    assert list(entry.check(day._replace(family=None), options))


def test_beside_extract_a_ratio_of_the_water_is_less_sure_and_cider_has_none() -> None:
    day = day_of(together(well_with(sulfate=10, chloride=140), additions()))
    entry = recipe_rules()[RATIO]
    options = {name: option.default for name, option in entry.declaration.options.items()}

    def sure(kind: str) -> list[Confidence]:
        recipe = day.recipe._replace(kind=kind)
        return [item.confidence for item in entry.check(day._replace(recipe=recipe), options)]

    assert sure("all grain") == [Confidence.CERTAIN]
    assert sure("extract") == [Confidence.LIKELY]
    assert sure("cider") == []


@pytest.mark.parametrize("standard", STANDARDS)
def test_the_water_of_extract_beer_is_judged_and_its_ph_is_said_not_to_be(standard: str) -> None:
    # what extract brings of its own is on no label: too little is only likely, too much is certain
    tap = well_with(calcium=50, magnesium=8, sodium=15, chloride=30, sulfate=40, bicarbonate=140)
    extract = together(tap, EXTRACT, style("American IPA", 21, "A"), {"mash": None})
    items = said(standard, together(extract, additions()), rule=OUTSIDE)
    few = {item.values["ion"]: item for item in items}
    assert few.keys() == {"calcium", "sulfate"}
    assert {item.confidence for item in items} == {Confidence.LIKELY}
    assert all("not counting what the extract brings" in item.message for item in items)
    salty = additions(dose("Gypsum (calcium sulfate dihydrate)", 30, use="add_to_boil"))
    grave = said(standard, together(extract, salty), rule="ions/sulfate-high")
    assert [item.confidence for item in grave] == [Confidence.CERTAIN]


def test_a_ratio_is_not_formed_where_one_ion_is_not_stated() -> None:
    for left_out in ("sulfate", "chloride"):
        record = {k: v for k, v in well(sulfate=200, chloride=60).items() if k != left_out}
        spoken = all_findings(together(water(record), additions()))
        assert not [item for item in spoken if item.rule == RATIO]
        assert not [item for item in spoken if item.rule.startswith("internal/")]


@pytest.mark.parametrize(("left_out", "chloride_g"), [("sulfate", 3.0), ("chloride", 4.5)])
def test_a_ratio_is_not_formed_of_what_salts_alone_bring(left_out: str, chloride_g: float) -> None:
    salts = additions(dose(GYPSUM, 0.6), dose(CHLORIDE, chloride_g))
    record = {k: v for k, v in well().items() if k != left_out}
    wide = family(calcium=[0, 900], chloride=[0, 900], sulfate=[0, 900])
    nothing = {**well(), left_out: quantity(0, "mg/l")}
    assert found(RATIO, together(water(nothing), salts), wide)
    assert not found(RATIO, together(water(record), salts), wide)


ALKALINE = "ions/residual-alkalinity-against-style"
DARK = grist(malt("Pale ale malt", 3.5, 2.8), malt("Roasted malt", 0.6, 400, "roasted"))


@pytest.mark.parametrize(("as_caco3", "speaks"), [(68.5, False), (69.5, True)])
def test_residual_alkalinity_is_left_half_a_degree(as_caco3: float, speaks: bool) -> None:
    # one German degree of hardness is 17.8 mg/L as CaCO3; a blonde and golden ales ends at 60;
    # Kolbach 1953: alkalinity less calcium / 3.5 and magnesium / 7 in milliequivalents
    hardness = 25 / 20.039 / 3.5 + 4 / 12.1525 / 7
    bicarbonate = (as_caco3 / 50.0435 + hardness) * 61.0168
    patch = together(well_with(bicarbonate=bicarbonate), DARK, additions())
    assert bool(found(ALKALINE, patch)) is speaks


def test_residual_alkalinity_that_only_may_be_too_high_is_told_by_its_best_value() -> None:
    hardness = 25 / 20.039 / 3.5 + 4 / 12.1525 / 7
    bicarbonate = (67 / 50.0435 + hardness) * 61.0168
    patch = together(well_with(bicarbonate=bicarbonate), DARK, additions())
    (item,) = recipe_rules()[ALKALINE].check(day_of(patch), {"tolerance": 9})
    assert item.confidence is Confidence.POSSIBLE
    assert f"to {item.values['high']}), the edge of the family" in item.message
    assert "may be above 60 mg/L as CaCO3 (best value 67, most likely" in item.message
    assert "after its acid" not in item.message


def test_acid_of_the_mash_alone_is_taken_off_and_named() -> None:
    # 0.2 mL of 80 % lactic acid bring 2.05 mEq: 0.16 mEq/L or 8 mg/L as CaCO3 in 13 L
    liquor = well_with(calcium=60, bicarbonate=230, sodium=35)
    before = one(ALKALINE, together(liquor, DARK)).values["value"]

    def after(step_number: int) -> Finding:
        acid = more_additions(dose("Lactic acid 80 %", 0.2, "ml", step=step_number))
        return one(ALKALINE, together(liquor, DARK, acid))

    assert after(1).values["value"] == pytest.approx(before - 0.2 * 10.27 / 13 * 50.04, abs=1)
    assert "of the mash water after its acid is" in after(1).message
    assert after(2).values["value"] == before


def test_acidulated_malt_stands_in_for_acid() -> None:
    liquor = well_with(calcium=60, bicarbonate=230, sodium=35)
    sour = grist(
        malt("Pale ale malt", 3.4, 2.8),
        malt("Roasted malt", 0.6, 400, "roasted"),
        malt("Acidulated malt", 0.05, 2.0, "specialty"),
    )
    assert found(ALKALINE, together(liquor, DARK))
    assert not found(ALKALINE, together(liquor, sour))


def test_an_ion_nobody_states_does_not_hide_the_others() -> None:
    record = {k: v for k, v in well(sulfate=250).items() if k != "calcium"}
    items = found(OUTSIDE, together(water(record), additions()))
    assert "sulfate" in {item.values["ion"] for item in items}


def test_residual_alkalinity_is_told_by_its_best_value_where_that_is_too_high() -> None:
    item = one(ALKALINE, together(well_with(calcium=62, bicarbonate=230, sodium=30), DARK))
    assert item.values["value"] < item.values["high"]
    assert f"alkalinity of the mash water is {item.values['value']} mg/L" in item.message


@pytest.mark.parametrize(
    ("sulfate", "speaks"), [(100.2, False), (100.3, True), (94.6, False), (94.4, True)]
)
def test_half_a_milligram_beyond_the_tolerance_passes(sulfate: float, speaks: bool) -> None:
    # five percent above 95 mg/L are 99.75, five percent below 100 mg/L are 95.0
    config = family(sulfate=[0, 95] if sulfate > 100 else [100, 200])
    patch = together(well_with(calcium=60, sulfate=sulfate), additions())
    items = [i for i in all_findings(patch, config) if i.rule == OUTSIDE]
    assert bool([item for item in items if item.values["ion"] == "sulfate"]) is speaks


def test_an_open_end_of_a_ratio_is_said() -> None:
    day = day_of(together(well_with(sulfate=180, chloride=60), additions()))
    entry = recipe_rules()[RATIO]
    options = {name: option.default for name, option in entry.declaration.options.items()}
    assert day.targets is not None
    for ends, words in (((None, 2.0), "any and 2"), ((4.0, None), "4 and any")):
        open_ended = day._replace(targets=day.targets._replace(sulfate_to_chloride=ends))
        (item,) = entry.check(open_ended, options)
        assert item.message.endswith(f"lies between {words}")


def test_the_limit_of_residual_alkalinity_is_handed_over_with_a_tenth() -> None:
    day = day_of(together(well_with(calcium=62, bicarbonate=230, sodium=30), DARK))
    assert day.targets is not None
    # 1.234 mEq/L are 61.75 mg/L as CaCO3
    strict = day._replace(targets=day.targets._replace(residual_alkalinity_meq_l=(None, 1.234)))
    (item,) = recipe_rules()[ALKALINE].check(strict, {"tolerance": 9})
    assert item.values["limit"] == 61.8
