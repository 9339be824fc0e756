"""Water reports: what is read, what is supposed, what is refused."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.checking import check_bytes
from recipe_tools.config.load import options_from_table
from recipe_tools.water_report import KEYS, ReportError, WaterReport, report_from_table
from tests.rules.whole_files import STANDARDS, written


def read(**rows: Any) -> WaterReport:
    return report_from_table(rows)


def doubts(report: WaterReport) -> list[str]:
    return [doubt.id for doubt in report.doubts]


def test_a_worked_example() -> None:
    # 2.8038 °dH of carbonate hardness to the mEq/L and 1.2193 mg/L HCO3 per mg/L as CaCO3 are the
    # factors of German and American handbooks.
    report = read(
        calcium="11.2 °dH",
        sulfate="21 mg/L as SO4-S",
        nitrate="2.3 mg/L as NO3-N",
        chloride="0,9 mmol/L",
        alkalinity="135 mg/L as CaCO3",
        ph=7.6,
    )
    assert report.ions_mg_l["calcium"].best == pytest.approx(11.2 / 0.1399, rel=1e-3)
    assert report.ions_mg_l["sulfate"].best == pytest.approx(21 * 2.9961, rel=1e-4)
    assert report.ions_mg_l["nitrate"].best == pytest.approx(2.3 * 4.4266, rel=1e-4)
    assert report.ions_mg_l["chloride"].best == pytest.approx(0.9 * 35.45)
    assert report.ions_mg_l["bicarbonate"].best == pytest.approx(135 * 1.2193, rel=1e-4)
    assert report.alkalinity_meq_l.best == pytest.approx(135 / 50.043)
    assert report.alkalinity_meq_l.best * 2.8038 == pytest.approx(7.56, abs=0.01)
    assert report.with_basis == {"sulfate", "nitrate", "alkalinity"}
    assert report.doubts == ()


def test_bicarbonate_alone_gives_the_alkalinity() -> None:
    report = read(bicarbonate=244.064)
    assert report.alkalinity_meq_l.best == pytest.approx(4.0)
    assert report.alkalinity_column == "bicarbonate"


def test_bicarbonate_and_carbonate_add_up() -> None:
    # mg/L / equivalent mass: 122.03/61.016 + 30.004/30.004
    report = read(bicarbonate=122.032, carbonate=30.004, ph=9.0)
    assert report.alkalinity_meq_l.best == pytest.approx(3.0)
    assert "carbonate-below-8.3" not in doubts(report)


def test_alkalinity_stated_twice_alike() -> None:
    report = read(alkalinity="100 mg/L as CaCO3", bicarbonate="121.9 mg/L")
    assert report.alkalinity_meq_l.best == pytest.approx(2.0, abs=0.01)
    assert doubts(report) == []


def test_bicarbonate_settles_an_alkalinity_without_basis() -> None:
    report = read(alkalinity=100, bicarbonate="121.9 mg/L")
    assert report.alkalinity_meq_l.exact
    assert doubts(report) == []


def test_a_contradiction_is_said_and_carried_as_a_band() -> None:
    report = read(alkalinity="100 mg/L as CaCO3", bicarbonate="100 mg/L")
    assert "alkalinity-contradiction" in doubts(report)
    assert report.alkalinity_meq_l.low == pytest.approx(100 / 61.016)
    assert report.alkalinity_meq_l.high == pytest.approx(100 / 50.043)


def test_alkalinity_without_basis_is_a_band_and_a_doubt() -> None:
    report = read(alkalinity="100 mg/L")
    assert doubts(report) == ["alkalinity-basis"]
    assert report.alkalinity_meq_l.low < report.alkalinity_meq_l.best


def test_only_total_hardness_leaves_the_share_of_calcium_open() -> None:
    report = read(total_hardness="10 °dH", alkalinity="2 mmol/L")
    # 10 °dH as calcium alone would be 71.5 mg/L; 70 to 80 % of it are taken.
    shares = (0.70 * 71.47, 0.75 * 71.47, 0.80 * 71.47)
    assert report.ions_mg_l["calcium"] == pytest.approx(shares, rel=1e-3)
    assert report.ions_mg_l["magnesium"].best == pytest.approx(0.25 * 10 * 4.334, rel=2e-3)
    (doubt,) = report.doubts
    assert (doubt.id, doubt.rule) == ("hardness-only", "water/hardness-only")


def test_magnesium_is_the_rest_of_the_hardness() -> None:
    # 300 mg/L as CaCO3 - 100 x 2.497 = 50.3; x 0.2428 = 12.2 mg/L
    report = read(total_hardness="300 mg/L as CaCO3", calcium="100 mg/L", alkalinity="2 mmol/L")
    assert report.ions_mg_l["magnesium"].best == pytest.approx(12.2, abs=0.1)
    assert doubts(report) == ["hardness-rest"]


def test_a_span_of_the_hardness_stays_a_span_in_what_is_made_of_it() -> None:
    # A German degree is 10 mg/L of CaO (from memory), 17.848 as CaCO3: 214.2, 249.9, 285.6 mg/L;
    # less calcium of 80, 70, 60 mg/L (x 2.497) leaves 14.4, 75.1, 135.8, x 0.2428 as magnesium.
    report = read(total_hardness="12 - 16 °dH", calcium="60 - 80 mg/L", alkalinity="2 mmol/L")
    assert report.ions_mg_l["magnesium"] == pytest.approx((3.5, 18.2, 33.0), abs=0.1)
    # 70, 75, 80 % of 12, 14, 16 °dH, each 7.147 mg/L of calcium
    report = read(total_hardness="12 - 16 °dH", alkalinity="2 mmol/L")
    assert report.ions_mg_l["calcium"] == pytest.approx((60.0, 75.0, 91.5), abs=0.1)


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_span_of_the_hardness_widens_the_mash_ph(standard: str) -> None:
    name, data = written(standard, {})

    def width(hardness: str) -> float:
        report = {"calcium": "70 mg/L", "total_hardness": hardness, "alkalinity": "2 mmol/L"}
        options = options_from_table({"water": {"report": report}})
        (recipe,) = check_bytes(data, name, options).recipes
        assert recipe.day is not None and recipe.day.prediction is not None
        return recipe.day.prediction.high - recipe.day.prediction.low

    assert width("10.5 - 17.5 °dH") > width("14 °dH") + 0.001


def test_hardness_less_than_its_calcium_is_a_contradiction() -> None:
    report = read(total_hardness="100 mg/L as CaCO3", calcium="100 mg/L", alkalinity="2 mmol/L")
    assert "hardness-contradiction" in doubts(report)
    assert report.ions_mg_l["magnesium"].best == 0.0


def test_hardness_that_disagrees_with_both_ions() -> None:
    rows = {"calcium": 60, "magnesium": 10, "alkalinity": "2 mmol/L"}
    assert doubts(report_from_table({**rows, "total_hardness": "191 mg/L as CaCO3"})) == []
    assert doubts(report_from_table({**rows, "total_hardness": "19 °dH"})) == [
        "hardness-contradiction"
    ]


def test_carbonate_at_a_ph_that_has_none() -> None:
    report = read(carbonate=156, ph=7.2)
    assert doubts(report) == ["carbonate-below-8.3"]
    assert report.alkalinity_meq_l.low == pytest.approx(156 / 61.016)
    assert report.alkalinity_meq_l.best == pytest.approx(156 / 30.004)


def test_above_ph_8_3_part_of_the_alkalinity_is_carbonate() -> None:
    # pK2 10.33 (Plummer & Busenberg 1982): at pH 9.33 a tenth as many moles of carbonate as of
    # bicarbonate, so 2/12 of the alkalinity (less 0.02 mEq/L of hydroxide) is carbonate.
    report = read(alkalinity="3 mmol/L", ph=9.33)
    assert report.ions_mg_l["carbonate"].best / 30.004 == pytest.approx((3 - 0.0214) / 6, rel=0.02)
    assert report.ions_mg_l["bicarbonate"].best / 61.016 == pytest.approx(
        (3 - 0.0214) * 5 / 6, rel=0.02
    )


def test_alkalinity_by_difference_where_all_else_is_stated() -> None:
    # 80/20.04 + 10/12.15 + 10/22.99 - 20/35.45 - 30/48.03 = 4.06 mEq/L, by hand
    report = read(calcium=80, magnesium=10, sodium=10, chloride=20, sulfate=30)
    assert not report.alkalinity_stated
    assert report.alkalinity_meq_l.best == pytest.approx(4.06, abs=0.01)
    assert doubts(report) == ["alkalinity-by-difference"]


def test_missing_alkalinity_is_a_wide_band_not_zero() -> None:
    report = read(calcium=80)
    assert doubts(report) == ["alkalinity-missing"]
    assert report.alkalinity_meq_l.low == 0.0
    assert report.alkalinity_meq_l.high >= 5.0
    assert "bicarbonate" not in report.ions_mg_l


def test_an_average_is_wider_than_a_sample() -> None:
    rows = {"alkalinity": "3 mmol/L", "ph": 7.5}
    sample = report_from_table(rows)
    average = report_from_table({**rows, "kind": "average"})
    assert sample.alkalinity_meq_l.exact
    assert average.alkalinity_meq_l.low < 3.0 < average.alkalinity_meq_l.high
    assert average.ph is not None and not average.ph.exact
    # A span that is stated is not widened.
    stated = report_from_table({"alkalinity": "2.8 - 3.2 mmol/L", "kind": "average"})
    assert stated.alkalinity_meq_l == pytest.approx((2.8, 3.0, 3.2))


def test_below_detection_counts_half() -> None:
    report = read(nitrite="< 0.05 mg/L", alkalinity="2 mmol/L")
    assert report.ions_mg_l["nitrite"] == pytest.approx((0.0, 0.025, 0.05))


def test_conductivity_at_20_degrees() -> None:
    # ISO 7888 (from memory): factor 1.116 from 20 to 25 °C.
    report = read(conductivity="50 mS/m", conductivity_temperature="20 °C", alkalinity="2 mmol/L")
    assert report.conductivity_us_cm == pytest.approx(500 * 1.116, rel=1e-3)


def test_chlorine_as_monochloramine() -> None:
    # 70.90 / 51.476
    report = read(chlorine="1 mg/L as NH2Cl", chloramine=True, alkalinity="2 mmol/L")
    assert report.chlorine_mg_l == pytest.approx(1.377, abs=0.001)
    span = read(chlorine="0.3 - 0.8 mg/L", alkalinity="2 mmol/L")
    assert span.chlorine_mg_l == pytest.approx(0.8)


def test_dates() -> None:
    assert read(date=date(2024, 3, 1), ph=7).date == "2024-03-01"
    assert read(date=2024, ph=7).date == "2024"
    assert read(date="spring 2024", ph=7).date == "spring 2024"


@pytest.mark.parametrize(
    ("rows", "part"),
    [
        ({"calcum": 1}, "calcum is not known here; the nearest is calcium"),
        ({"sulfatee": 1}, "the nearest is sulfate"),
        ({"calcium": 1, "Ca": 1}, "calcium is stated twice, as calcium and as Ca"),
        ({"KH": 7, "x" * 500: 1}, "not known here"),
        ({"calcium": -1}, "calcium is below zero"),
        ({"calcium": 200_000}, "more than any water holds"),
        ({"calcium": True}, "calcium is true or false"),
        ({"calcium": {"low": 1}}, "calcium is not a quantity"),
        ({"calcium": "12 furlongs"}, "calcium is not a concentration"),
        ({"calcium": "a lot"}, "does not start with a number"),
        ({"ph": 15}, "between 0 and 14"),
        ({"ph": "7 mg/L"}, "unit where a plain number"),
        ({"end_point_ph": 7, "ph": 7}, "between 3.5 and 5.5"),
        ({"kind": "yearly", "ph": 7}, '"sample"'),
        ({"name": 3, "ph": 7}, "name is not a text"),
        ({"name": "x" * 400, "ph": 7}, "longer than 300"),
        ({"chloramine": "yes"}, "neither true nor false"),
        ({"temperature": "200 °C"}, "between -2 and 100 °C"),
        ({"lead": "1 mmol/L"}, "write it in mg/L"),
        ({}, "states nothing"),
        ({"name": "only a name"}, "states nothing"),
    ],
)
def test_what_is_refused_and_how(rows: dict[str, Any], part: str) -> None:
    with pytest.raises(ReportError) as caught:
        report_from_table(rows)
    assert part in str(caught.value)


def test_messages_repeat_no_value() -> None:
    for key in KEYS:
        with pytest.raises(ReportError) as caught:
            report_from_table({key: "hunter2 \x1b[31m"})
        assert "hunter2" not in str(caught.value) or key in ("name", "source", "date")


VALUES = (
    st.floats()
    | st.integers()
    | st.text(max_size=30)
    | st.booleans()
    | st.none()
    | st.lists(st.floats() | st.text(max_size=8), max_size=4)
    | st.sampled_from(
        ["12 mg/L", "3 mmol/L", "4 °dH", "1 - 3 mg/L", "< 5 µg/L", "7.5", "90 ppm CaCO3"]
    )
)


@settings(max_examples=300, deadline=None)
@given(st.dictionaries(st.sampled_from(KEYS), VALUES, max_size=12))
def test_any_table_gives_a_report_or_a_report_error(rows: dict[str, Any]) -> None:
    try:
        report = report_from_table(rows)
    except ReportError:
        return
    low, best, high = report.alkalinity_meq_l
    assert 0.0 <= low <= best <= high
    assert all(amount.low >= 0.0 for amount in report.ions_mg_l.values())
