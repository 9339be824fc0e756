"""How sure a statement is, and how a number is written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.findings import Confidence
from recipe_tools.rules.verdicts import band, grams, mg_l, millilitres, outside


def test_certain_means_that_the_whole_band_is_outside() -> None:
    verdict = outside(Estimate(5.7, 5.8, 5.9), 5.2, 5.6)
    assert verdict is not None
    assert (verdict.side, verdict.confidence) == ("above", Confidence.CERTAIN)


def test_likely_means_that_the_best_value_is_outside() -> None:
    verdict = outside(Estimate(5.5, 5.7, 5.9), 5.2, 5.6)
    assert verdict is not None
    assert verdict.confidence is Confidence.LIKELY


def test_possible_means_that_only_the_band_reaches_outside() -> None:
    verdict = outside(Estimate(5.1, 5.4, 5.55), 5.2, 5.6)
    assert verdict is not None
    assert (verdict.side, verdict.confidence) == ("below", Confidence.POSSIBLE)


def test_the_edge_itself_is_inside() -> None:
    assert outside(exactly(5.6), 5.2, 5.6) is None
    assert outside(exactly(5.604), 5.2, 5.6, margin=0.005) is None


@given(
    st.lists(st.floats(0, 1000), min_size=3, max_size=3).map(sorted),
    st.lists(st.floats(0, 1000), min_size=2, max_size=2).map(sorted),
)
def test_no_verdict_means_that_the_whole_band_is_inside(
    band_: list[float], limits: list[float]
) -> None:
    estimate, (low, high) = Estimate(*band_), limits
    verdict = outside(estimate, low, high)
    if verdict is None:
        assert low <= estimate.low
        assert estimate.high <= high
    elif verdict.confidence is Confidence.CERTAIN:
        assert estimate.low > high or estimate.high < low
    else:
        assert estimate.low < low or estimate.high > high


@pytest.mark.parametrize(
    ("value", "shown"), [(612.4, "612"), (9.87, "9.9"), (0.254, "0.25"), (0.054, "0.054")]
)
def test_concentrations_are_shown_as_a_water_report_shows_them(value: float, shown: str) -> None:
    assert mg_l(value) == shown


def test_doses_are_shown_as_scale_and_syringe_show_them() -> None:
    assert [grams(value) for value in (0.03, 3.04, 250, 5000)] == [
        "30 mg",
        "3.0 g",
        "250 g",
        "5.00 kg",
    ]
    assert [millilitres(value) for value in (2.84, 250, 12000)] == ["2.8 mL", "250 mL", "12.00 L"]


def test_no_band_is_shown_where_nothing_is_open() -> None:
    assert band(exactly(120), 0) == ""
    assert band(Estimate(110, 120, 130), 0) == " (95 % band 110 to 130)"
