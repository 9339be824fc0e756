"""The block in the notes of a BeerJSON recipe: put in, and taken out again."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Final

from recipe_tools.annotate.notes import NotesText, json_notes
from recipe_tools.editing.document import Document, Edit, EditError
from recipe_tools.editing.json_records import new_member
from recipe_tools.formats.json_spans import JsonSpans, Value
from recipe_tools.own_block import (
    EMPTY_NOTES,
    NO_NOTES,
    NOTES_ABOVE,
    DamagedBlock,
    block_text,
    find_own_block,
)

_NOTES: Final = "notes"
_NULL: Final = "null"


class JsonNotes:
    """The notes of all recipes of one document."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._values = JsonSpans(document.text)

    def put(self, path: str, lines: Sequence[str]) -> Edit:
        """Return the edit that writes a block into the recipe at a pointer.

        Raises EditError where the notes are neither text nor null.
        """
        recipe = self._recipe(path)
        member = self._values.member(recipe, _NOTES)
        if member is None:
            string = f'"{_escaped(block_text(lines, NO_NOTES))}"'
            return new_member(self._values, recipe, _NOTES, string)
        raw = self._values.raw(member)
        if raw == _NULL:
            return Edit(member.start, member.end, f'"{_escaped(block_text(lines, _NULL))}"')
        if raw[0] != '"':
            line = self._document.line(member.start)
            raise EditError("the notes of the recipe are no text; correct them first", line)
        notes = self._notes(member)
        if notes.empty:
            new = _escaped(block_text(lines, EMPTY_NOTES))
        else:
            newline = "\r\n" if "\r\n" in notes.plain else "\n"
            new = _escaped(f"\n\n{block_text(lines, NOTES_ABOVE)}", newline)
        return Edit(notes.insert_at, notes.insert_at, new)

    def take_out(self, path: str) -> Edit | None:
        """Return the edit that restores what stood before the block; None where there is none.

        Raises EditError where the block cannot be told from other text.
        """
        recipe = self._recipe(path)
        member = self._values.member(recipe, _NOTES)
        if member is None or self._document.text[member.start] != '"':
            return None
        notes = self._notes(member)
        plain = notes.plain
        found = find_own_block(plain)
        if found is None:
            return None
        if isinstance(found, DamagedBlock):
            raise EditError(found.reason, self._document.line(member.start))
        alone = not (plain[: found.start] + plain[found.end :]).strip()
        if alone and found.before == NO_NOTES:
            return self._removed(recipe, member)
        if alone and found.before == _NULL:
            return Edit(member.start, member.end, _NULL)
        span = notes.span(found)
        return None if span is None else Edit(*span, "")

    def _recipe(self, path: str) -> Value:
        recipe = self._values.find(path)
        if recipe is None:
            raise EditError("the recipe is not where it was read")
        return recipe

    def _notes(self, member: Value) -> NotesText:
        return json_notes(self._document.text, member.start, member.end)

    def _removed(self, recipe: Value, member: Value) -> Edit:
        members = self._values.inside(recipe)
        place = members.index(member)
        if place > 0:
            return Edit(members[place - 1].end, member.end, "")
        if len(members) > 1:
            return Edit(member.name_start, members[1].name_start, "")
        return Edit(member.name_start, member.end, "")


def _escaped(text: str, newline: str = "\n") -> str:
    return json.dumps(text.replace("\n", newline), ensure_ascii=False)[1:-1]
