"""Whether an analysis can be true: published waters as printed in books."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Severity
from recipe_tools.reference import CityWater, city_waters
from recipe_tools.rules.examples import additions, together, water, well, well_with, xml_file
from tests.rules.brew import Example, checked, found, one

RULE = "water/charge-imbalance"
COMPLETE = [
    city
    for city in city_waters()
    if city.carbonate_as_printed is not None
    and {"calcium", "magnesium", "sodium", "chloride", "sulfate"} <= city.ions_mg_l.keys()
]


def as_bicarbonate(city: CityWater) -> dict[str, object]:
    """Return a patch with a published water, its carbonate column read as bicarbonate."""
    ions = {**city.ions_mg_l, "bicarbonate": city.carbonate_as_printed or 0.0}
    return together(well_with(**ions), additions())


@pytest.mark.parametrize(
    "city",
    [city for city in COMPLETE if city.balances_as == "bicarbonate"],
    ids=lambda city: f"{city.city} {city.source[:16]}",
)
def test_waters_that_balance_as_bicarbonate_pass(city: CityWater) -> None:
    assert not [
        item
        for item in found(RULE, as_bicarbonate(city))
        if item.severity is not None and item.severity > Severity.NOTE
    ]


@pytest.mark.parametrize(
    "city",
    [c for c in COMPLETE if c.balances_as == "carbonate" and c.mark == "published"],
    ids=lambda city: f"{city.city} {city.source[:16]}",
)
def test_waters_printed_as_carbonate_are_found_and_the_column_is_named(city: CityWater) -> None:
    # Dublin 156, Munich 148, Vienna 243 ... balance only as carbonate
    item = one(RULE, as_bicarbonate(city))
    assert "carbonate-printed-as-bicarbonate" in item.values["closes_if"]


def test_sulfate_printed_as_sulfur_is_recognised() -> None:
    # balanced by construction: Ca 120, Mg 10, Na 20, Cl 36, SO4 240 (= 80 as S), HCO3 166
    true = {"calcium": 120, "magnesium": 10, "sodium": 20, "chloride": 36, "bicarbonate": 100.0}
    assert not found(RULE, together(well_with(**true, sulfate=240), additions()))
    item = one(RULE, together(well_with(**true, sulfate=80), additions()))
    assert "sulfate-as-sulfur" in item.values["closes_if"]
    assert item.related[0].pointer.endswith("/sulfate")


def test_soft_water_is_judged_in_milliequivalents_and_not_in_percent() -> None:
    # Standard Methods 1030 E (from memory): up to 3 mEq/L of anions, 0.2 mEq/L absolute
    soft = well_with(calcium=8, magnesium=2, sodium=3, chloride=4, sulfate=5, bicarbonate=20)
    assert not found(RULE, together(soft, additions()))


def test_a_water_with_ions_left_out_is_not_called_unbalanced() -> None:
    record = {k: v for k, v in well(calcium=60).items() if k not in ("sodium", "chloride")}
    assert not found(RULE, water(record))


def test_an_exchanger_leaves_alkalinity_and_adds_sodium() -> None:
    # 0.459 mg/L sodium per mg/L as CaCO3 (stoichiometry): 200 mg/L of hardness exchanged
    hard = {"calcium": 80.0, "magnesium": 0.0, "sodium": 10.0, "bicarbonate": 244.0}
    soft = {**hard, "calcium": 0.5, "sodium": 10.0 + 0.459 * 199}
    others = {"chloride": 10.0, "sulfate": 10.0}
    assert not found("water/hardness-softened", well_with(**hard, **others))
    assert found("water/hardness-softened", well_with(**soft, **others))


@pytest.mark.parametrize(
    ("ph", "speaks"), [("5.2", True), ("7.4", False), ("9.2", False), ("9.9", True)]
)
def test_ph_outside_that_of_drinking_water_is_doubted(ph: str, speaks: bool) -> None:
    # Directive (EU) 2020/2184: 6.5 to 9.5
    raw = xml_file().replace(b"<PH>7.4</PH>", f"<PH>{ph}</PH>".encode())
    items = [i for i in checked(Example("", raw=raw)).findings if i.rule == "water/ph-implausible"]
    assert bool(items) is speaks
