"""How sure a statement is, and how a number is written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.findings import Confidence
from recipe_tools.rules.verdicts import (
    band,
    between,
    digits_of_mg_l,
    grams,
    mg_l,
    millilitres,
    outside,
    standing,
    told_apart,
    verb,
)


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
    assert band(Estimate(110, 120, 130), 0) == " (most likely 110 to 130)"


@pytest.mark.parametrize(
    ("band_", "side", "confidence", "limit"),
    [
        ((5.61, 5.65, 5.7), "above", Confidence.CERTAIN, 5.6),
        ((5.6, 5.65, 5.7), "above", Confidence.LIKELY, 5.6),
        ((5.4, 5.5, 5.7), "above", Confidence.POSSIBLE, 5.6),
        ((5.0, 5.1, 5.19), "below", Confidence.CERTAIN, 5.2),
        ((5.0, 5.1, 5.2), "below", Confidence.LIKELY, 5.2),
        ((5.1, 5.3, 5.4), "below", Confidence.POSSIBLE, 5.2),
    ],
)
def test_a_verdict_names_the_limit_that_was_passed(
    band_: tuple[float, float, float], side: str, confidence: Confidence, limit: float
) -> None:
    assert outside(Estimate(*band_), 5.2, 5.6) == (side, confidence, limit)


def test_a_verdict_does_not_need_both_limits() -> None:
    assert outside(exactly(3), high=5) is None
    assert outside(exactly(3), low=2) is None
    assert outside(exactly(3), high=0.0) == ("above", Confidence.CERTAIN, 0.0)
    assert outside(exactly(-1), low=0.0) == ("below", Confidence.CERTAIN, 0.0)
    assert outside(Estimate(-1, 0, 1), high=0.0) == ("above", Confidence.POSSIBLE, 0.0)
    assert outside(Estimate(-1, 0, 1), low=0.0) == ("below", Confidence.POSSIBLE, 0.0)


def test_the_margin_lies_outside_of_both_limits() -> None:
    assert outside(exactly(10.5), 2, 10, margin=0.5) is None
    assert outside(exactly(10.75), 2, 10, margin=0.5) == ("above", Confidence.CERTAIN, 10)
    assert outside(exactly(1.5), 2, 10, margin=0.5) is None
    assert outside(exactly(1.25), 2, 10, margin=0.5) == ("below", Confidence.CERTAIN, 2)
    assert outside(Estimate(10.5, 10.75, 11), 2, 10, margin=0.5) == (
        "above",
        Confidence.LIKELY,
        10,
    )
    assert outside(Estimate(1, 1.25, 1.5), 2, 10, margin=0.5) == ("below", Confidence.LIKELY, 2)


def test_a_threshold_separates_readings_only_from_between_them() -> None:
    readings = Estimate(1, 2, 3)
    assert between(2.5, readings)
    assert not between(1, readings)
    assert not between(3, readings)


def test_how_sure_a_statement_is_has_a_verb_of_its_own() -> None:
    assert len({verb(item) for item in Confidence}) == len(Confidence) == 3
    assert verb(Confidence.CERTAIN) == "is"


def test_a_number_on_a_step_of_the_scale_takes_the_shorter_form() -> None:
    assert [digits_of_mg_l(value) for value in (10, 9.99, 1, 0.99, 0.1, 0.099)] == [
        0,
        1,
        1,
        2,
        2,
        3,
    ]
    assert digits_of_mg_l(-20) == 0
    assert [grams(value) for value in (0.1, 99.9, 100, 999, 1000)] == [
        "0.1 g",
        "99.9 g",
        "100 g",
        "999 g",
        "1.00 kg",
    ]
    assert [millilitres(value) for value in (99.9, 100, 999, 1000)] == [
        "99.9 mL",
        "100 mL",
        "999 mL",
        "1.00 L",
    ]


@given(st.floats(0.01, 1000), st.floats(0.0001, 0.2), st.sampled_from((-1, 1)), st.integers(0, 2))
def test_what_is_said_to_exceed_a_limit_is_printed_as_more(
    limit: float, share: float, side: int, digits: int
) -> None:
    value = limit * (1 + side * share)
    shown, edge = (float(text) for text in told_apart(value, limit, digits, digits))
    if abs(value - limit) > 1e-3:  # four decimals are the most
        assert (shown > edge) is (value > limit)
        assert shown != edge


@pytest.mark.parametrize(
    ("value", "limit", "digits", "said"),
    [
        (252.0, 200.0, 0, ("252", "200")),
        (2.44, 2.4, 1, ("2.44", "2.4")),
        (10.4, 10.0, 0, ("10.4", "10")),
        (5.1996, 5.2, 2, ("5.1996", "5.2")),
        (5.0, 30.0, 1, ("5.0", "30")),
    ],
)
def test_only_what_would_read_alike_gets_more_decimals(
    value: float, limit: float, digits: int, said: tuple[str, str]
) -> None:
    assert told_apart(value, limit, digits) == said


def test_an_end_of_the_band_is_never_given_for_the_value() -> None:
    estimate = Estimate(150, 180, 220)
    verdict = outside(estimate, high=200)
    assert verdict is not None
    text = standing(verdict, estimate, 0, "{} mg/L")
    assert text == "may be above 200 mg/L (best value 180, most likely 150 to 220)"
    verdict = outside(estimate, high=170)
    assert verdict is not None
    text = standing(verdict, estimate, 0, "{} mg/L", note="read at 25 °C")
    assert text == "is probably 180 mg/L (most likely 150 to 220, read at 25 °C), above 170 mg/L"
