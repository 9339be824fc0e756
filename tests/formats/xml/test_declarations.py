"""The examples of the declarations do what they claim."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Example, Rule
from recipe_tools.formats import beerxml
from recipe_tools.formats.deviations import DEVIATIONS


def is_xml(example: Example) -> bool:
    return example.raw is not None and not example.raw.lstrip().startswith(b"{")


WITH_XML = [rule for rule in DEVIATIONS.values() if is_xml(rule.fails)]


@pytest.mark.parametrize("rule", WITH_XML, ids=lambda rule: rule.id)
def test_the_failing_example_fails_and_the_passing_one_passes(rule: Rule) -> None:
    assert rule.fails.raw is not None
    assert rule.passes.raw is not None
    assert rule.id in {item.rule for item in beerxml.read(rule.fails.raw).findings}
    assert beerxml.read(rule.passes.raw).findings == ()


@pytest.mark.parametrize("rule", DEVIATIONS.values(), ids=lambda rule: rule.id)
def test_every_declaration_says_what_why_and_what_to_do(rule: Rule) -> None:
    assert rule.topic in ("file", "standard")
    for text in (rule.summary, rule.why, rule.remedy, rule.source, rule.fails.text):
        assert text.strip()
    assert rule.summary.endswith(".")
