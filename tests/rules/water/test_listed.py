"""Water among the additions: all of the brewing water, a part of it, or pure."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools.findings import Confidence, Severity
from recipe_tools.rules.examples import additions, dose, together, water, well
from tests.rules.brew import day_of
from tests.rules.whole_files import EXTRACT, STANDARDS, said

BOTTLED = "water/bottled-water-as-addition"
UNKNOWN = {"ingredients": {"water_additions": []}}
REPORT = {
    "water": {
        "report": {
            "chlorine": 0,
            "calcium": "25 mg/L",
            "magnesium": "4 mg/L",
            "sodium": "12 mg/L",
            "chloride": "22 mg/L",
            "sulfate": "30 mg/L",
            "bicarbonate": "52 mg/L",
        }
    }
}
ALL_L = 28.5
"""13 L of strike and 15.5 L of sparge water of the plain recipe."""


def bottles(*litres: float, name: str = "Bottled spring water", kind: str = "other") -> Any:
    """Return a patch that lists water among the additions, shared out over mash and sparge."""
    return additions(
        *(dose(name, item, "l", kind=kind, step=step) for step, item in enumerate(litres, start=1))
    )


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("kind", ["other", "water agent"])
@pytest.mark.parametrize(
    "name", ["Bottled spring water", "Mineralwasser", "Eau de source", "Agua mineral", "Tap water"]
)
def test_all_the_brewing_water_among_the_additions_is_one_finding(
    standard: str, kind: str, name: str
) -> None:
    for litres in ((28.0,), (13.0, 15.5)):
        patch = together(bottles(*litres, name=name, kind=kind), UNKNOWN)
        items = said(standard, patch, rule="water/")
        assert [item.rule for item in items] == [BOTTLED]
        assert (items[0].severity, items[0].confidence) == (Severity.WARNING, Confidence.CERTAIN)
        assert f"The brewing water is '{name}'" in items[0].message
        assert "its label" in items[0].message or "nothing says what is in it" in items[0].message


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_report_is_taken_for_the_water_that_is_listed(standard: str) -> None:
    patch = together(bottles(28.0), UNKNOWN)
    assert said(standard, patch, REPORT, rule="water/") == []
    ids = {item.id for item in day_of(patch, REPORT).assumptions}
    assert "report-of-listed-water" in ids


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_part_of_the_water_is_one_thing_to_do_with_the_unknown_rest(standard: str) -> None:
    patch = together(bottles(5.0), UNKNOWN)
    (unknown,) = said(standard, patch, rule="water/")
    assert unknown.rule == "water/source-unknown"
    assert "and in 5.0 L of 'Bottled spring water' among the additions" in unknown.message
    assert [item.message for item in unknown.related] == ["5.0 L of 'Bottled spring water'"]
    ions = ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate")
    zero = well("Ferry Lane", **dict.fromkeys(ions, 0.0))
    zeros = {i.rule for i in said(standard, together(bottles(5.0), water(zero)), rule="water/")}
    assert "water/source-all-zero" in zeros
    assert BOTTLED not in zeros
    (item,) = said(standard, patch, REPORT, rule="water/")
    assert "its ions are not counted" in item.message


@pytest.mark.parametrize("standard", STANDARDS)
def test_another_water_of_the_recipe_is_named_beside_it(standard: str) -> None:
    (item,) = said(standard, bottles(28.0), rule="water/")
    assert (item.rule, item.confidence) == (BOTTLED, Confidence.LIKELY)
    assert "'Aldermoor well' is counted in its place" in item.message
    same = together(bottles(28.0), water(well("Bottled spring water")))
    assert said(standard, same, rule="water/") == []


@pytest.mark.parametrize("standard", STANDARDS)
def test_pure_water_among_the_additions_is_known_water(standard: str) -> None:
    patch = together(bottles(28.0, name="Distilled water"), UNKNOWN)
    assert said(standard, patch, rule="water/") == []
    (item,) = said(standard, patch, rule="ions/calcium-low")
    assert "is 0 mg/L" in item.message


def test_half_pure_and_half_bottled_water_is_a_blend_with_the_report() -> None:
    half = additions(
        dose("Bottled spring water", ALL_L / 2, "l", kind="other", step=1),
        dose("Reverse osmosis water", ALL_L / 2, "l", kind="other", step=2),
    )
    for standard in STANDARDS:
        assert [i.rule for i in said(standard, together(half, UNKNOWN), rule="water/")] == [BOTTLED]
        assert said(standard, together(half, UNKNOWN), REPORT, rule="water/") == []
    # half of 25 mg/L
    level = day_of(together(half, UNKNOWN), REPORT).source.mg_l("calcium")
    assert level == pytest.approx(12.5)


@pytest.mark.parametrize("standard", STANDARDS)
def test_for_extract_beer_it_is_only_worth_knowing(standard: str) -> None:
    listed = additions(dose("Bottled spring water", 24, "l", kind="other", use="add_to_boil"))
    patch = together(listed, EXTRACT, {"mash": None}, UNKNOWN)
    (item,) = said(standard, patch, rule="water/")
    assert (item.rule, item.severity) == (BOTTLED, Severity.NOTE)
