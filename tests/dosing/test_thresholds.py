"""A configured threshold moves the check and the plan alike: what is planned, the check accepts."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools import check_bytes
from recipe_tools.brewday import plan
from recipe_tools.config import Options, RuleSettings
from recipe_tools.dosing import propose
from recipe_tools.dosing.limits import aims
from recipe_tools.rules.examples import PLAIN_RECIPE, document
from tests.dosing.cases import read_recipe


def configured(rule: str, **values: float) -> Options:
    return Options(rules={rule: RuleSettings(options=values)})


def spoken(options: Options) -> set[str]:
    """Return the rules that speak of the plain recipe."""
    findings = check_bytes(document(dict(PLAIN_RECIPE)), "plain.json", options).findings
    return {item.rule for item in findings}


@pytest.mark.parametrize(
    ("rule", "values", "planned"),
    [
        ("mash-ph/above-range", {"high": 5.25}, lambda goal: goal.window[1] == 5.25),
        ("mash-ph/below-range", {"low": 5.45}, lambda goal: goal.window[0] == 5.45),
        ("ions/sulfate-high", {"note_above": 5}, None),
        ("ions/sulfate-high", {"warn_above": 5}, lambda goal: goal.hard["sulfate"] == 5),
        # An error set below the warning is the first limit that is passed.
        ("ions/sulfate-high", {"error_above": 5}, lambda goal: goal.hard["sulfate"] == 5),
        ("ions/magnesium-high", {"error_above": 1}, lambda goal: goal.hard["magnesium"] == 1),
        ("ions/sodium-high", {"warn_above": 2}, lambda goal: goal.hard["sodium"] == 2),
        ("sparge/alkalinity-high", {"note_above": 5}, lambda goal: goal.sparge_meq_l < 0.1),
    ],
)
def test_a_configured_threshold_counts_for_check_and_plan(
    rule: str, values: dict[str, float], planned: Any
) -> None:
    options = configured(rule, **values)
    assert rule not in spoken(Options())
    goal = aims(plan(read_recipe(dict(PLAIN_RECIPE)), options), options)
    if planned is None:  # the style of the recipe allows more
        assert rule not in spoken(options)
        assert goal.hard["sulfate"] > 5
        return
    assert planned(goal)
    assert rule in spoken(options)


def test_a_plan_lies_in_the_configured_window() -> None:
    options = configured("mash-ph/above-range", high=5.35)
    proposal = propose(read_recipe(dict(PLAIN_RECIPE)), options)
    assert proposal.after is not None
    assert proposal.after.prediction is not None
    assert proposal.after.prediction.ph <= 5.355
