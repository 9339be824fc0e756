"""What the schemas of BeerJSON want of a member: asked for by the names that lead to it."""

from __future__ import annotations

import functools
import json
import re
from collections.abc import Mapping
from typing import Any, Final

from recipe_tools.formats.beerjson_schema import FOLDER, SUFFIX
from recipe_tools.formats.fields import DOCUMENT, FIELDS
from recipe_tools.schema_files import schema_text


class Shape:
    """One schema of ours."""

    __slots__ = ("_file", "schema")

    def __init__(self, schema: Any, file: str) -> None:
        while isinstance(schema, dict) and "$ref" in schema:
            other, _, fragment = schema["$ref"].partition("#/$defs/")
            file = other.rpartition(":")[2].removesuffix(SUFFIX) or file
            schema = _document(file)
            schema = schema["$defs"][fragment] if fragment else schema
        self.schema: Mapping[str, Any] = schema if isinstance(schema, dict) else {}
        self._file = file

    @property
    def members(self) -> tuple[str, ...]:
        """The names of its members, in the order of the schema."""
        return tuple(self.schema.get("properties", ()))

    @property
    def required(self) -> tuple[str, ...]:
        """The names of the members it must have."""
        return tuple(self.schema.get("required", ()))

    @property
    def units(self) -> tuple[str, ...]:
        """The units of a quantity; none where it is something else."""
        if self.members != ("unit", "value"):
            return ()
        return tuple(self.schema["properties"]["unit"]["enum"])

    @property
    def whole(self) -> bool:
        """Whether a number, or the number of a quantity, is whole."""
        value = self.schema["properties"]["value"] if self.units else self.schema
        return bool(value.get("type") == "integer")

    @property
    def kind(self) -> str:
        """``object``, ``array``, ``string``, ``number``, ``integer``, ``boolean`` or ``enum``."""
        return "enum" if "enum" in self.schema else str(self.schema.get("type", ""))

    @property
    def words(self) -> tuple[str, ...]:
        """The words of a list."""
        return tuple(self.schema.get("enum", ()))

    def at(self, path: str) -> Shape | None:
        """Return the schema of a member, by the names that lead to it; None where there is none."""
        shape: Shape = self
        for name in path.split("/"):
            if name not in shape.members:
                return None
            shape = Shape(shape.schema["properties"][name], shape._file)
        return shape

    def entries(self) -> Shape:
        """Return the schema of the entries of a list."""
        return Shape(self.schema.get("items", {}), self._file)

    def takes(self, text: str) -> bool:
        """Tell whether a text has the length and the letters that are wanted."""
        longest, pattern = self.schema.get("maxLength"), self.schema.get("pattern")
        if len(text) < self.schema.get("minLength", 0) or (longest and len(text) > longest):
            return False
        return pattern is None or re.search(pattern, text) is not None


@functools.cache
def _document(name: str) -> Any:
    return json.loads(schema_text(f"{FOLDER}{name}{SUFFIX}"))


BODY: Final = Shape({"$ref": f"document{SUFFIX}"}, "document").at("beerjson") or Shape({}, "")
"""What stands under the root member."""

RECIPE: Final = (BODY.at("recipes") or BODY).entries()

LISTS: Final[Mapping[str, str]] = {
    field.child: field.path for field in FIELDS if field.record == DOCUMENT and field.child
}
"""The document's own list by the record it holds."""


def listed(record: str) -> Shape:
    """Return the schema of a record in the document's own list of them."""
    holder = BODY.at(LISTS[record])
    assert holder is not None
    return holder.entries()
