"""The notes of recipes: read with their places, text put behind them, and what stood before."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Final

from recipe_tools.editing.document import Document, Edit, EditError
from recipe_tools.editing.json_records import new_member
from recipe_tools.editing.notes_text import NotesText, json_notes, xml_notes
from recipe_tools.editing.xml_records import ESCAPES, new_child
from recipe_tools.formats.json_spans import JsonSpans, Value
from recipe_tools.formats.xml_spans import Element, XmlSpans
from recipe_tools.own_block import (
    EMPTY_NOTES,
    NO_NOTES,
    NOTES_ABOVE,
    NULL,
    SELF_CLOSED,
    OwnBlock,
)

_TAG: Final = "NOTES"
_MEMBER: Final = "notes"
_NOT_THERE: Final = "the recipe is not where it was read"
_LINE_BREAK = re.compile(r"(?:&\#0*13;|&\#[xX]0*[dD];|\r)?(?:&\#0*10;|&\#[xX]0*[aA];|\n)|\r")

TextFor = Callable[[str], str]
"""Returns the text to put in (line breaks LF) for what stands there (`own_block.OwnBlock`)."""


class XmlRecipeNotes:
    """The NOTES of the recipes of a BeerXML document, given by symbolic path."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._spans = XmlSpans(document.text)

    def read(self, path: str) -> NotesText | None:
        """Return the notes of a recipe; None where there are none. Raises EditError."""
        element = self._recipe(path).first(_TAG)
        if element is None or element.self_closed:
            return None
        return xml_notes(self._document.text, element.open_end, element.close_start)

    def append(self, path: str, text_for: TextFor) -> Edit:
        """Return the edit that puts text behind the notes. Raises EditError without a place."""
        recipe = self._recipe(path)
        if recipe.self_closed:
            raise EditError("the recipe is an empty element", self._document.line(recipe.start))
        element, newline = recipe.first(_TAG), self._document.newline
        if element is None:
            return new_child(recipe, _TAG, _in_xml(text_for(NO_NOTES), newline))
        if element.self_closed:
            text = _in_xml(text_for(SELF_CLOSED), newline)
            return Edit(element.end - 2, element.end, f">{text}</{element.written}>")
        notes = xml_notes(self._document.text, element.open_end, element.close_start)
        text = text_for(EMPTY_NOTES if notes.empty else NOTES_ABOVE)
        return self._written(element, notes.insert_at, notes.insert_at, text, notes.insert_cdata)

    def renewed(self, path: str, block: OwnBlock, text: str) -> Edit | None:
        """Return the edit that puts a new block where one stands; None where markup runs into it.

        text: its lines, line breaks LF. Raises EditError.
        """
        element, notes = self._recipe(path).first(_TAG), self.read(path)
        span = notes.span(block._replace(gap_start=block.start)) if notes is not None else None
        if element is None or notes is None or span is None:
            return None
        return self._written(element, *span, text, notes.is_cdata(block.start))

    def _written(self, element: Element, start: int, end: int, text: str, cdata: bool) -> Edit:
        """Return the edit that writes text into notes, with line breaks as they have them."""
        newline = self._document.newline
        if cdata:
            return Edit(start, end, text.replace("\n", newline), cdata=True)
        match = _LINE_BREAK.search(self._document.text, element.open_end, element.close_start)
        return Edit(start, end, _in_xml(text, match[0] if match is not None else newline))

    def restored(self, path: str, before: str) -> Edit | None:
        """Return the edit that puts back what stood before the notes; None where that was text."""
        element = self._recipe(path).first(_TAG)
        if element is None or before not in (NO_NOTES, SELF_CLOSED):
            return None
        if before == SELF_CLOSED:
            return Edit(element.open_end - 1, element.end, "/>")
        return Edit(element.start - len(element.gap_before()), element.end, "")

    def _recipe(self, path: str) -> Element:
        recipe = self._spans.find(path)
        if recipe is None:
            raise EditError(_NOT_THERE)
        return recipe


class JsonRecipeNotes:
    """The notes of the recipes of a BeerJSON document, given by pointer."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._values = JsonSpans(document.text)

    def read(self, path: str) -> NotesText | None:
        """Return the notes of a recipe; None where there are none. Raises EditError."""
        member = self._values.member(self._recipe(path), _MEMBER)
        if member is None or self._document.text[member.start] != '"':
            return None
        return json_notes(self._document.text, member.start, member.end)

    def append(self, path: str, text_for: TextFor) -> Edit:
        """Return the edit that puts text behind the notes. Raises EditError without a place."""
        recipe = self._recipe(path)
        member = self._values.member(recipe, _MEMBER)
        if member is None:
            return new_member(self._values, recipe, _MEMBER, f'"{_in_json(text_for(NO_NOTES))}"')
        raw = self._values.raw(member)
        if raw == NULL:
            return Edit(member.start, member.end, f'"{_in_json(text_for(NULL))}"')
        if raw[0] != '"':
            line = self._document.line(member.start)
            raise EditError("the notes of the recipe are no text; correct them first", line)
        notes = json_notes(self._document.text, member.start, member.end)
        text = text_for(EMPTY_NOTES if notes.empty else NOTES_ABOVE)
        return self._written(notes, notes.insert_at, notes.insert_at, text)

    def renewed(self, path: str, block: OwnBlock, text: str) -> Edit | None:
        """Return the edit that puts a new block where one stands, as for the other standard."""
        notes = self.read(path)
        span = notes.span(block._replace(gap_start=block.start)) if notes is not None else None
        return None if notes is None or span is None else self._written(notes, *span, text)

    @staticmethod
    def _written(notes: NotesText, start: int, end: int, text: str) -> Edit:
        newline = "\r\n" if "\r\n" in notes.plain else "\n"
        return Edit(start, end, _in_json(text.replace("\n", newline)))

    def restored(self, path: str, before: str) -> Edit | None:
        """Return the edit that puts back what stood before the notes; None where that was text."""
        recipe = self._recipe(path)
        member = self._values.member(recipe, _MEMBER)
        if member is None or before not in (NO_NOTES, NULL):
            return None
        if before == NULL:
            return Edit(member.start, member.end, NULL)
        members = self._values.inside(recipe)
        place = members.index(member)
        if place > 0:
            return Edit(members[place - 1].end, member.end, "")
        end = members[1].name_start if len(members) > 1 else member.end
        return Edit(member.name_start, end, "")

    def _recipe(self, path: str) -> Value:
        recipe = self._values.find(path)
        if recipe is None:
            raise EditError(_NOT_THERE)
        return recipe


RecipeNotes = XmlRecipeNotes | JsonRecipeNotes


def recipe_notes(document: Document) -> RecipeNotes:
    """Return the notes of the recipes of a document."""
    return XmlRecipeNotes(document) if document.format == "beerxml" else JsonRecipeNotes(document)


def _in_xml(text: str, newline: str) -> str:
    return text.translate(ESCAPES).replace("\n", newline)


def _in_json(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)[1:-1]
