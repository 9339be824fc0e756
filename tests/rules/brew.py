"""What the tests of the rules start from: the plain recipe with a patch, checked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from recipe_tools.brewday import BrewDay
from recipe_tools.checking import FileRequest, check_bytes
from recipe_tools.config import Options
from recipe_tools.config.load import options_from_table
from recipe_tools.findings import Confidence, Example, Finding
from recipe_tools.results import CheckedFile
from recipe_tools.rules.examples import PLAIN_RECIPE, document, example_file, merge_patch
from tests.planted.written import beerxml

EVERYTHING = FileRequest(confidence=Confidence.POSSIBLE)


def checked(example: Example) -> CheckedFile:
    """Return the plain recipe with the patch and configuration of an example, fully checked."""
    name, data = example_file(example)
    options = options_from_table(dict(example.config)) if example.config else Options()
    return check_bytes(data, name, options, EVERYTHING)


def day_of(
    patch: Mapping[str, Any] | None = None, config: Mapping[str, Any] | None = None
) -> BrewDay:
    """Return the brew day of the patched plain recipe."""
    day = checked(Example("", patch or {}, config or {})).recipes[0].day
    assert day is not None
    return day


def all_findings(
    patch: Mapping[str, Any] | None = None, config: Mapping[str, Any] | None = None
) -> list[Finding]:
    """Return every finding on the patched plain recipe, the safety notes included.

    Fails where a rule broke down: its silence would prove nothing.
    """
    file = checked(Example("", patch or {}, config or {}))
    assert not [item.message for item in file.findings if item.rule.startswith("internal/")]
    return [*file.findings, *file.safety]


def found(
    rule: str, patch: Mapping[str, Any] | None = None, config: Mapping[str, Any] | None = None
) -> list[Finding]:
    """Return the findings of one rule that are at least likely."""
    return [
        item
        for item in all_findings(patch, config)
        if item.rule == rule and item.confidence >= Confidence.LIKELY
    ]


def one(
    rule: str, patch: Mapping[str, Any] | None = None, config: Mapping[str, Any] | None = None
) -> Finding:
    """Return the only finding of a rule; fails where there is none or more than one."""
    items = found(rule, patch, config)
    assert len(items) == 1, [item.message for item in items]
    return items[0]


def rules_of(
    patch: Mapping[str, Any] | None = None, config: Mapping[str, Any] | None = None
) -> set[str]:
    """Return the ids of all rules that speak, without safety notes, at least likely."""
    return {
        item.rule
        for item in all_findings(patch, config)
        if item.confidence >= Confidence.LIKELY and not item.rule.startswith("safety/")
    }


def in_both_standards(patch: Mapping[str, Any]) -> dict[str, CheckedFile]:
    """Return the patched plain recipe, written and checked in either standard."""
    recipe = merge_patch(PLAIN_RECIPE, patch)
    files = {"beerxml": beerxml(recipe), "beerjson": document(recipe)}
    endings = {"beerxml": "recipe.xml", "beerjson": "recipe.json"}
    return {
        name: check_bytes(data, endings[name], Options(), EVERYTHING)
        for name, data in files.items()
    }
