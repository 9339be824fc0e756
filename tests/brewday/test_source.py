"""Which water is the source, and when it is not known."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools.brewday import SourceWater, plan
from recipe_tools.brewday.source import SourceAndTarget, plan_source
from recipe_tools.chemistry.estimate import bests
from recipe_tools.config import Options
from recipe_tools.findings import Finding, Severity
from recipe_tools.recipe import Fermentable, Mash, MashStep, Recipe, WaterSource
from recipe_tools.results import CheckedFile
from recipe_tools.rules.examples import water, well
from recipe_tools.water_report import report_from_table
from tests.rules.brew import in_both_standards

TAP = {
    "calcium": 90.0,
    "magnesium": 8.0,
    "sodium": 20.0,
    "chloride": 30.0,
    "sulfate": 45.0,
    "bicarbonate": 244.064,
}
NOTHING = dict.fromkeys(TAP, 0.0)


def source_of(file: CheckedFile) -> SourceWater:
    day = file.recipes[0].day
    assert day is not None
    return day.source


def source(*waters: WaterSource, options: Options | None = None) -> SourceAndTarget:
    return plan_source(Recipe(index=0, name="x", waters=waters), 0.0, options or Options())


def test_a_single_record_is_the_source_whatever_its_amount() -> None:
    found = source(WaterSource("Mill Lane", amount_l=0.0, ions_mg_l=TAP, ph=7.6)).source
    assert found.known
    assert found.ions_mg_l["calcium"].best == 90.0
    # 244.064 mg/L HCO3 / 61.016 mg per mEq
    assert found.alkalinity_meq_l.best == pytest.approx(4.0)
    assert found.ph.best == 7.6


def test_several_records_blend_by_their_amounts() -> None:
    found = source(
        WaterSource("Mill Lane", amount_l=10.0, ions_mg_l=TAP),
        WaterSource("Distilled water", amount_l=30.0, ions_mg_l=NOTHING),
    ).source
    assert found.ions_mg_l["calcium"].best == pytest.approx(22.5)
    assert found.alkalinity_meq_l.best == pytest.approx(1.0)


def test_zeros_are_known_water_only_under_a_name_that_says_so() -> None:
    assert source(WaterSource("RO water", ions_mg_l=NOTHING)).source.origin == "pure"
    assert source(WaterSource("Osmosewasser", ions_mg_l=NOTHING)).source.known
    assert not source(WaterSource("Aldermoor", ions_mg_l=NOTHING)).source.known


# Names of the trade in the languages of the table, common practice, no source.
PURE = (
    *(
        "RO",
        "R.O.",
        "RO/DI",
        "Reverse osmosis",
        "Osmosis",
        "Distilled",
        "DI",
        "Deionised",
        "100% RO",
    ),
    *("Deionized", "Demineralised", "Water (RO)", "RO for the mash", "Osmose", "Umkehrosmose"),
    *("Wasser, destilliert", "Osmose inverse", "Eau (osmosée)", "Ósmosis inversa", "Destilada"),
    *("Osmose reversa", "Osmosi inversa", "Acqua di osmosi", "Omgekeerde osmose", "Gedestilleerd"),
    *("Odwrócona osmoza", "Reverzní osmóza", "Omvänd osmos", "Omvendt osmose", "Destillert"),
    *("Обратный осмос", "Дистиллят", "Käänteisosmoosi", "Tislattu vesi"),
)
NOT_PURE = (
    *("Tap, not RO", "Tap water, not RO water", "No RO", "non RO water", "RO and tap", "Rodeo"),
    *("RO water + tap", "Well water, RO filter", "Leitungswasser ohne Umkehrosmose", "Diablo"),
    *("Eau du robinet, pas osmosée", "Acqua di fonte", "Agua sin ósmosis", "RO with minerals"),
    *("Rosewater", "Distillery well", "Osmotherley spring", "DIY water", "Aldermoor"),
)


@pytest.mark.parametrize("name", PURE)
def test_pure_water_needs_no_word_for_water(name: str) -> None:
    for standard, file in in_both_standards(water(well(name, **NOTHING))).items():
        assert source_of(file).origin == "pure", (standard, name)
        assert not [i for i in file.findings if i.rule.startswith("water/source-")], name


@pytest.mark.parametrize("name", NOT_PURE)
def test_zeros_under_another_name_stay_unknown(name: str) -> None:
    for standard, file in in_both_standards(water(well(name, **NOTHING))).items():
        assert not source_of(file).known, (standard, name)
        assert "water/source-all-zero" in {item.rule for item in file.findings}, (standard, name)


@pytest.mark.parametrize("name", ["RO", "Distilled", "Ósmosis inversa", "Omvendt osmose"])
def test_half_and_half_with_tap_halves_the_ions(name: str) -> None:
    patch = water(well("Tap", 15, **TAP), well(name, 15, **NOTHING))
    for file in in_both_standards(patch).values():
        source = source_of(file)
        assert bests(source.ions_mg_l) == pytest.approx(
            {ion: mg_l / 2 for ion, mg_l in TAP.items()}
        )
        # 122.032 mg/L HCO3 / 61.016 mg per mEq
        assert source.alkalinity_meq_l.best == pytest.approx(2.0)


def test_no_record_is_unknown_water_with_a_wide_alkalinity() -> None:
    found = source().source
    assert not found.known
    assert found.alkalinity_meq_l.low < found.alkalinity_meq_l.best < found.alkalinity_meq_l.high


def test_a_record_marked_as_target_is_no_source() -> None:
    goal, tap = WaterSource("Target for pale ales", ions_mg_l=TAP), WaterSource("Tap", None, TAP)
    found = source(goal, tap)
    assert found.target is goal
    assert found.source.records == (tap,)


GOALS = (
    *(
        ("Target IPA", ""),
        ("Goal", ""),
        ("Zielwasser Pils", ""),
        ("Eau cible", ""),
        ("Målvatten", ""),
    ),
    *(("Hill", "Target: amber ales"), ("Hill", "This is the goal for stouts."), ("Hill", "Mål")),
    *(("Hill", "Das Ziel für alle Pils"), ("Hill", "C'est la cible"), ("Hill", "Целевая вода")),
)
NO_GOALS = (
    *(("Tap", "Pas mal du tout"), ("Woda", "cel pal"), ("Mal", ""), ("Cel", ""), ("Malmö", "")),
    *(("Tap", "Well on target most months"), ("Tap", "Not a target"), ("Tap", "En cel mal tal")),
    *(("Zielona Góra", ""), ("Målilla", ""), ("Tap", "Treated towards the target profile")),
    *(("Tap", "From the town; our goal is pH 5.4"), ("Doelen", ""), ("Not a target", "")),
)


def _marked(name: str, notes: str) -> dict[str, Any]:
    record = well(name, **TAP)
    return {**record, "notes": notes} if notes else record


def _said(file: CheckedFile) -> list[Finding]:
    return [item for item in file.findings if item.rule == "water/calls-itself-target"]


@pytest.mark.parametrize(("name", "notes"), GOALS)
def test_a_goal_beside_the_tap_is_named_and_left_out(name: str, notes: str) -> None:
    for file in in_both_standards(water(well("Tap", **TAP), _marked(name, notes))).values():
        assert source_of(file).name == "Tap"
        (finding,) = _said(file)
        assert finding.severity is Severity.NOTE
        assert f"'{name}' calls itself a goal" in finding.message
        assert ("at the start of its notes" if notes else "in its name") in finding.message


@pytest.mark.parametrize(("name", "notes"), GOALS)
def test_a_goal_is_the_source_where_there_is_no_other_water(name: str, notes: str) -> None:
    for file in in_both_standards(water(_marked(name, notes))).values():
        assert source_of(file).known
        assert bests(source_of(file).ions_mg_l) == pytest.approx(TAP)
        (finding,) = _said(file)
        assert finding.severity is Severity.WARNING
        assert "taken as the source" in finding.message
        assert "water/source-unknown" not in {item.rule for item in file.findings}


@pytest.mark.parametrize(("name", "notes"), NO_GOALS)
def test_words_of_ordinary_text_mark_no_goal(name: str, notes: str) -> None:
    for file in in_both_standards(water(_marked(name, notes))).values():
        assert source_of(file).known
        assert _said(file) == []


def test_with_a_water_report_a_goal_stays_a_goal() -> None:
    report = report_from_table({"name": "tap", **{ion: f"{mg} mg/L" for ion, mg in TAP.items()}})
    found = source(WaterSource("Goal", ions_mg_l=TAP), options=Options(water=report))
    assert found.target is not None
    assert found.source.origin == "report"


def test_configuration_can_say_that_records_are_targets_or_nothing() -> None:
    water = WaterSource("Mill Lane", ions_mg_l=TAP)
    as_target = source(water, options=Options(records="target"))
    assert as_target.target is water
    assert not as_target.source.known
    ignored = source(water, options=Options(records="ignore"))
    assert ignored.target is None
    assert not ignored.source.known


def test_without_bicarbonate_the_alkalinity_is_open_and_said() -> None:
    ions = {name: amount for name, amount in TAP.items() if name != "bicarbonate"}
    found = source(WaterSource("Mill Lane", ions_mg_l=ions))
    assert not found.source.alkalinity_meq_l.exact
    assert "alkalinity-not-stated" in {item.id for item in found.assumptions}


def test_pure_water_among_the_additions_thins_the_source() -> None:
    recipe = Recipe(index=0, name="x", waters=(WaterSource("Mill Lane", ions_mg_l=TAP),))
    found = plan_source(recipe, 0.25, Options()).source
    assert found.ions_mg_l["calcium"].best == pytest.approx(67.5)
    assert found.alkalinity_meq_l.best == pytest.approx(3.0)


def test_what_a_water_report_leaves_open_is_among_the_things_supposed() -> None:
    report = report_from_table(
        {
            "name": "Aldermoor tap",
            "kind": "average",
            "total_hardness": "16 °dH",
            "sodium": "18 mg/L",
            "chloride": "32 mg/L",
            "sulfate": "58 mg/L",
            "alkalinity": "238 mg/L as CaCO3",
        }
    )
    said = {item.id: item.text for item in source(options=Options(water=report)).assumptions}
    assert "report-hardness-only" in said
    assert "70 to 80 %" in said["report-hardness-only"]
    assert "report-average-spread" in said


def test_a_span_in_a_report_widens_ions_and_mash_ph() -> None:
    rows = {ion: f"{amount:g} mg/L" for ion, amount in TAP.items()}
    recipe = Recipe(
        index=0,
        name="x",
        batch_l=20.0,
        boil_l=24.0,
        fermentables=(Fermentable("Pale malt", "grain", amount_kg=5.0, colour_ebc=5.0),),
        mash=Mash(steps=(MashStep(water_l=15.0),)),
    )
    exact = plan(recipe, Options(water=report_from_table(rows)))
    spread = {**rows, "calcium": "60 - 120 mg/L"}
    open_ = plan(recipe, Options(water=report_from_table(spread)))
    assert exact.mash is not None
    assert open_.mash is not None
    assert exact.mash.ions_mg_l["calcium"].exact
    assert open_.mash.ions_mg_l["calcium"] == (60.0, 90.0, 120.0)
    assert exact.prediction is not None
    assert open_.prediction is not None
    assert open_.prediction.ph == pytest.approx(exact.prediction.ph)
    width, wider = (item.high - item.low for item in (exact.prediction, open_.prediction))
    assert wider > width
    # 30 mg/L are 1.5 mEq/L, 0.43 mEq of protons a litre, at 3 L/kg and 30 mEq/(kg pH) 0.043 pH
    calcium = next(item for item in open_.prediction.drivers if item.id == "calcium")
    assert calcium.half_width == pytest.approx(0.04, abs=0.01)


def test_a_report_that_leaves_nothing_open_adds_no_assumption() -> None:
    report = report_from_table({ion: f"{amount:g} mg/L" for ion, amount in TAP.items()})
    assert source(options=Options(water=report)).assumptions == ()
