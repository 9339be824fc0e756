"""A plan is measured by the numbers of the checks; a number changed there must change here."""

from __future__ import annotations

import pytest

from recipe_tools.brewday import plan
from recipe_tools.checking.checklist import catalogue
from recipe_tools.config import Options, RuleSettings
from recipe_tools.dosing.limits import Thresholds, aims, thresholds
from recipe_tools.rules.examples import PLAIN_RECIPE
from recipe_tools.rules.ions.levels import MAJOR_MARGIN_MG_L, TRACE_MARGIN
from tests.dosing.cases import read_recipe


@pytest.mark.parametrize("name", sorted(thresholds()))
def test_a_threshold_is_the_default_of_its_rule(name: str) -> None:
    rule, option, default = thresholds()[name]
    assert catalogue()[rule].options[option].default == pytest.approx(default)


def test_what_a_check_lets_pass_is_not_overdrawn() -> None:
    from recipe_tools.dosing.limits import HALF_A_MILLIGRAM, RATIO_SLACK, TRACE_SHARE

    # `outside` speaks from these margins on: half a milligram, 2 % of a trace, 0.05 of a ratio.
    assert 0 < HALF_A_MILLIGRAM < MAJOR_MARGIN_MG_L
    assert 1 < TRACE_SHARE < 1 + TRACE_MARGIN
    assert 0 < RATIO_SLACK < 0.05


def test_a_configured_threshold_counts() -> None:
    rules = {"mash-ph/above-range": RuleSettings(options={"high": 5.5})}
    options = Options(rules=rules)
    assert Thresholds(options)["ph_high"] == 5.5
    day = plan(read_recipe(dict(PLAIN_RECIPE)), options)
    assert aims(day, options).window == (5.2, 5.5)
    assert aims(day, options).ph[1] <= 5.5
