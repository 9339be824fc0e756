"""Two states of recipes as JSON, described by schemas/compare.schema.json."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from recipe_tools.archive.recipe_comparison import RecipeComparison
from recipe_tools.recipe import IONS
from recipe_tools.reports.escaping import json_visible
from recipe_tools.results import SCHEMA_VERSION

_FINDING = ("rule", "severity", "confidence", "message", "pointer", "line", "column", "fingerprint")
Json = dict[str, Any]


def render(items: Sequence[RecipeComparison], paths: tuple[str, str]) -> str:
    """Return the document, ending with a line feed. paths: of both files, as reports show them."""
    document = {
        "schema_version": SCHEMA_VERSION,
        "kind": "comparison",
        "old": paths[0],
        "new": paths[1],
        "recipes": [_recipe(item) for item in items],
    }
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)
    return "\n".join(map(json_visible, text.split("\n"))) + "\n"


def _recipe(item: RecipeComparison) -> Json:
    found = item.change
    entry = found.entry()
    for name in ("path", "recipe", "doses"):
        del entry[name]
    levels = [state.recipe["ions_mg_l"] if state else {} for state in found.states]
    return {
        **entry,
        "place": [state.recipe["index"] if state else None for state in found.states],
        "ions_mg_l": {ion: [side.get(ion) for side in levels] for ion in IONS},
        "written": [line._asdict() for line in item.written],
        "findings": {
            "new": [_finding(finding) for finding in item.new],
            "gone": [_finding(finding) for finding in item.gone],
            "changed": [[_finding(one) for one in pair] for pair in item.other],
        },
    }


def _finding(item: Json) -> Json:
    return {name: item[name] for name in _FINDING}
