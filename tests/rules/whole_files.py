"""The same patched plain recipe as a whole file of either standard, checked as a user checks it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from recipe_tools.checking import FileRequest, check_bytes
from recipe_tools.config.load import options_from_table
from recipe_tools.findings import Confidence, Finding
from recipe_tools.rules.examples import PLAIN_RECIPE, document, merge_patch, quantity
from tests.planted.written import beerxml

STANDARDS = ("beerjson", "beerxml")
Patch = Mapping[str, Any]
EXTRACT: Patch = {
    "type": "extract",
    "mash": None,
    "ingredients": {
        "fermentable_additions": [
            {
                "name": "Light dry extract",
                "type": "dry extract",
                "yield": {"fine_grind": quantity(95, "%")},
                "color": quantity(4, "Lovi"),
                "amount": quantity(2.6, "kg"),
                "timing": {"use": "add_to_boil"},
            }
        ]
    },
}
"""A patch that makes the plain recipe one of malt extract."""


def written(standard: str, patch: Patch) -> tuple[str, bytes]:
    """Return name and bytes of the file."""
    recipe = merge_patch(PLAIN_RECIPE, patch)
    if standard == "beerxml":
        return "recipe.xml", beerxml(recipe)
    return "recipe.json", document(recipe)


def said(
    standard: str,
    patch: Patch,
    config: Patch | None = None,
    *,
    rule: str = "",
    least: Confidence = Confidence.LIKELY,
) -> list[Finding]:
    """Return the findings of one rule (of all where none is named); fails where a rule broke."""
    name, data = written(standard, patch)
    options = options_from_table(dict(config or {}))
    checked = check_bytes(data, name, options, FileRequest(confidence=least))
    assert not [item.message for item in checked.findings if item.rule.startswith("internal/")]
    return [
        item for item in checked.findings if item.rule.startswith(rule) and item.confidence >= least
    ]
