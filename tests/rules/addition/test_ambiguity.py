"""An ambiguity is reported exactly where a verdict hangs on it.

Recipes of all families are drawn; the name of a salt or acid is made as vague as on many jars, and
each reading of it is checked by itself. Verdicts are those on limits and windows; notes on what
lies near an edge, on taste thresholds and on the ratio of two ions are left aside.
"""

from __future__ import annotations

import copy
from collections import Counter
from dataclasses import replace
from functools import cache

import pytest

from recipe_tools.checking import check_bytes
from recipe_tools.config.load import options_from_table
from recipe_tools.findings import Finding
from recipe_tools.rules.examples import document
from tests.planted.varied import Drawn, drawn
from tests.planted.written import beerxml

READINGS = {
    "Calcium chloride dihydrate": (
        "Calcium chloride",
        ("Calcium chloride dihydrate", "Calcium chloride anhydrous"),
    ),
    "Lactic acid 80 %": ("Lactic acid", ("Lactic acid 80 %", "Lactic acid 88 %")),
    "Lactic acid 88 %": ("Lactic acid", ("Lactic acid 80 %", "Lactic acid 88 %")),
    "Phosphoric acid 10 %": (
        "Phosphoric acid",
        ("Phosphoric acid 10 %", "Phosphoric acid 75 %", "Phosphoric acid 85 %"),
    ),
}
ASKING = frozenset({"addition/hydrate-ambiguous", "addition/strength-missing"})
ASIDE = (
    *("standard/", "file/", "addition/", "ions/ratio", "mash-ph/near", "mash-ph/lactate"),
    "mash-ph/thickness",
)
DRAWN = 120


def findings(recipe: Drawn, name: str, other: str) -> tuple[Finding, ...]:
    """Return what is said of a recipe with one name in place of another."""
    changed = copy.deepcopy(recipe.recipe)
    for item in changed["ingredients"]["miscellaneous_additions"]:
        if item["name"] == name:
            item["name"] = other
    made = replace(recipe, recipe=changed)
    data = beerxml(made.recipe) if made.standard == "beerxml" else document(made.recipe)
    options = options_from_table(dict(made.config))
    return check_bytes(data, "drawn", options).findings


def verdicts(recipe: Drawn, name: str, reading: str) -> frozenset[tuple[object, ...]]:
    return frozenset(
        (item.rule, item.values.get("ion"), item.severity)
        for item in findings(recipe, name, reading)
        if not item.rule.startswith(ASIDE)
    )


@cache
def cases() -> tuple[tuple[Drawn, str], ...]:
    found = []
    for seed in range(DRAWN):
        recipe = drawn(seed)
        names = {item["name"] for item in recipe.recipe["ingredients"]["miscellaneous_additions"]}
        found += [(recipe, name) for name in sorted(names & READINGS.keys())]
    return tuple(found)


@pytest.mark.parametrize("vague", sorted({vague for vague, _ in READINGS.values()}))
def test_what_a_name_leaves_open_is_asked_only_where_a_verdict_hangs_on_it(vague: str) -> None:
    seen: Counter[tuple[bool, bool]] = Counter()
    for recipe, name in cases():
        wording, readings = READINGS[name]
        if wording != vague:
            continue
        decides = len({verdicts(recipe, name, reading) for reading in readings}) > 1
        asked = any(item.rule in ASKING for item in findings(recipe, name, wording))
        seen[decides, asked] += 1
    assert set(seen) <= {(True, True), (False, False)}, seen
    assert sum(seen.values()) >= 5
