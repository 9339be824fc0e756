"""The values of a JSON text with their places in it, in code points."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import Final

from recipe_tools.formats.json_parse import whole

# The results are thrown away, so the cheapest callable does: len of a text or of a list of pairs.
_PASS_OVER: Final = json.JSONDecoder(
    object_pairs_hook=len, parse_float=len, parse_int=len, parse_constant=len, strict=False
)
_NAMES: Final = json.JSONDecoder(strict=False)
_BLANKS: Final = re.compile(r"[ \t\r\n]*")


@dataclass(frozen=True, slots=True)
class Value:
    """A value in a text, from ``start`` up to, and without, ``end``.

    name: of a member, None for an element of a list. name_start, name_end: of the name with its
    quotes.
    """

    start: int
    end: int
    name: str | None = None
    name_start: int = -1
    name_end: int = -1

    @property
    def first(self) -> int:
        """Where the member or element begins, name included."""
        return self.start if self.name is None else self.name_start


class JsonValues:
    """Finds values in a JSON text by their pointers; each object or list is walked once."""

    def __init__(self, text: str) -> None:
        self.text = text
        self._inside: dict[int, tuple[Value, ...]] = {}
        start = self._blanks(0)
        self.root = Value(start, self._skip(start))

    def find(self, pointer: str) -> Value | None:
        """Return the value at a pointer, or None; of members of one name the last counts."""
        value: Value | None = self.root
        for token in pointer.split("/")[1:]:
            if value is None:
                return None
            name = token.replace("~1", "/").replace("~0", "~")
            value = self._child(value, name)
        return value

    def member(self, holder: Value, name: str) -> Value | None:
        """Return the member of an object that counts, or None."""
        found = None
        for item in self.inside(holder):
            if item.name == name:
                found = item
        return found

    def inside(self, holder: Value) -> tuple[Value, ...]:
        """Return the members of an object or elements of a list, in the order of the file."""
        if holder.start not in self._inside:
            self._inside[holder.start] = tuple(self._walk(holder))
        return self._inside[holder.start]

    def raw(self, value: Value) -> str:
        """Return a value as it is written."""
        return self.text[value.start : value.end]

    def _child(self, value: Value, name: str) -> Value | None:
        opening = self.text[value.start]
        if opening == "{":
            return self.member(value, name)
        if opening != "[" or not name.isdigit():
            return None
        listed = self.inside(value)
        return listed[int(name)] if int(name) < len(listed) else None

    def _walk(self, holder: Value) -> list[Value]:
        text = self.text
        opening = text[holder.start]
        if opening not in "{[":
            return []
        found = []
        place = self._blanks(holder.start + 1)
        while text[place] not in "}]":
            if opening == "{":
                name_start = place
                name, name_end = _NAMES.raw_decode(text, place)
                place = self._blanks(self._blanks(name_end) + 1)
                end = self._skip(place)
                found.append(Value(place, end, whole(name), name_start, name_end))
            else:
                end = self._skip(place)
                found.append(Value(place, end))
            place = self._blanks(end)
            if text[place] == ",":
                place = self._blanks(place + 1)
        return found

    def _skip(self, place: int) -> int:
        return _PASS_OVER.raw_decode(self.text, place)[1]

    def _blanks(self, place: int) -> int:
        match = _BLANKS.match(self.text, place)
        return match.end() if match is not None else place
