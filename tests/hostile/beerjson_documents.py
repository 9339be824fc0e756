"""Valid BeerJSON documents of any shape the standard allows, drawn from our statement of it.

That the statement is the published one is shown in tests/conformance; that what is drawn here is
valid is asserted with jsonschema against the published schemas where they are at hand.
"""

from __future__ import annotations

import json
import random
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st

from recipe_tools.formats.beerjson_schema import FILES, FOLDER, SUFFIX
from recipe_tools.schema_files import schema_text

Json = dict[str, Any]

DOCUMENTS: Mapping[str, Any] = {
    name + SUFFIX: json.loads(schema_text(FOLDER + name + SUFFIX)) for name in FILES
}
NAMES = (
    "Pale ale malt", "Pilsner malt", "Crystal 120", "Roasted barley", "Acidulated malt",
    "Gypsum (calcium sulfate dihydrate)", "Calcium chloride dihydrate", "Lactic acid 80 %",
    "Sodium metabisulfite", "Baking soda", "Slaked lime", "Aldermoor well", "Distilled water",
    "Irish moss", "Mill Garden", "Ordinary Bitter", "Größe ½", "日本", "",
)  # fmt: skip
_RANGES: Mapping[str, tuple[float, float]] = {
    "volume": (0.5, 60.0),
    "mass": (0.5, 40.0),
    "mass_or_volume": (0.5, 40.0),
    "mass_volume_or_count": (0.5, 40.0),
    "temperature": (20.0, 100.0),
    "acidity": (2.0, 9.0),
    "pH": (4.0, 9.0),
    "gravity": (1.0, 1.12),
    "percent": (2.0, 100.0),
    "concentration": (0.0, 400.0),
}
_BY_PATTERN = {"[A-Z ]": "B", "\\d{4}-\\d{2}-\\d{2}": "2026-03-01"}
TEXTS = (
    "x",
    "Two\nlines\tand a tab",
    "<b>&amp;</b>",
    "\u202e\u200b",
    "a" * 300,
    "1.5",
    " ",
    "½ °C",
)


def documents(*, everything: bool | None = None) -> st.SearchStrategy[Json]:
    """Return valid documents with one or two recipes.

    everything: every optional member is there (True), none is (False), any of them may be (None).
    """
    return st.integers(0, 2**32).map(lambda seed: document(random.Random(seed), everything))


def document(dice: random.Random, everything: bool | None) -> Json:
    """Return the valid document that some dice give."""
    schema = DOCUMENTS["document" + SUFFIX]["properties"]["beerjson"]
    drawn = Drawing(dice, everything)
    recipes = [drawn.value(DOCUMENTS["recipe" + SUFFIX], "recipe" + SUFFIX, "recipe")]
    body: Json = {"version": dice.choice((1, 1.0)), "recipes": recipes}
    for member, inner in schema["properties"].items():
        if member not in body and drawn.wanted():
            body[member] = drawn.value(inner, "document" + SUFFIX, member)
    return {"beerjson": body}


@dataclass(frozen=True)
class Drawing:
    """Draws valid values of a schema."""

    dice: random.Random
    everything: bool | None

    def wanted(self) -> bool:
        """Decide about an optional member."""
        return self.dice.random() < 0.5 if self.everything is None else self.everything

    def value(self, schema: Any, file: str, name: str) -> Any:
        """Return a value of a schema in a file; name is the nearest definition or member."""
        if schema is True:
            return self.dice.choice((1, "x", None, {"own": [1.5]}))
        if "$ref" in schema:
            target, _, pointer = schema["$ref"].partition("#")
            file = target.rpartition(":")[2] + SUFFIX if target else file
            found = DOCUMENTS[file]
            for part in [part for part in pointer.split("/") if part]:
                found = found[part]
                name = part
            return self.value(found, file, name)
        if "enum" in schema:
            return self.dice.choice(schema["enum"])
        kind = schema["type"]
        if kind == "object":
            return self._object(schema, file, name)
        if kind == "array":
            count = 2 if self.everything else self.dice.randint(schema.get("minItems", 0), 3)
            return [self.value(schema["items"], file, name) for _ in range(count)]
        if kind == "string":
            return self._text(schema, name)
        if kind == "integer":
            return self.dice.randint(0, 30)
        if kind == "number":
            return round(self.dice.uniform(*_RANGES.get(name, (0.0, 100.0))), 3)
        assert kind == "boolean", schema
        return self.dice.random() < 0.5

    def _object(self, schema: Any, file: str, name: str) -> Json:
        members = schema.get("properties", {})
        needed = set(schema.get("required", ()))
        if schema.get("minProperties"):
            needed.add(next(iter(members)))
        return {
            # A quantity is named by its definition, its value by the quantity.
            member: self.value(inner, file, name if member in ("value", "unit") else member)
            for member, inner in members.items()
            if member in needed or self.wanted()
        }

    def _text(self, schema: Any, name: str) -> str:
        if "pattern" in schema:
            return _BY_PATTERN[schema["pattern"]]
        return self.dice.choice(NAMES if name == "name" else (*NAMES, *TEXTS))
