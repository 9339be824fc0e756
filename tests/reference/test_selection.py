"""What stands behind a rule is chosen from the tables and loses neither source nor mark."""

from __future__ import annotations

import pytest

from recipe_tools.reference import table
from recipe_tools.reference.selection import select


def test_a_condition_chooses_rows() -> None:
    title, rows = select("brewing_ion_ranges[ion=sodium]")
    assert title == "brewing_ion_ranges, ion sodium"
    assert rows == tuple(row for row in table("brewing_ion_ranges") if row["ion"] == "sodium")
    assert len(select("drinking_water_limits[ion=nitrate|nitrite]").rows) == 6


def test_a_cell_may_be_asked_not_to_be_empty() -> None:
    rows = select("agents[solubility_g_l!=](name,solubility_g_l)").rows
    assert rows
    assert all(row["solubility_g_l"] for row in rows)
    either = select(
        "style_water_targets[residual_alkalinity_caco3_low,residual_alkalinity_caco3_high!=]"
    ).rows
    assert any(not row["residual_alkalinity_caco3_low"] for row in either)


def test_columns_come_with_source_and_mark() -> None:
    (first, *_) = select("city_waters(city)").rows
    assert list(first) == ["city", "source", "mark"]


@pytest.mark.parametrize("text", ["", "city waters", "city_waters[]", "city_waters(city"])
def test_what_is_no_selection_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="no selection"):
        select(text)


@pytest.mark.parametrize("text", ["no_such_table", "city_waters[town=x]", "city_waters(town)"])
def test_what_does_not_exist_is_a_key_error(text: str) -> None:
    with pytest.raises(KeyError):
        select(text)
