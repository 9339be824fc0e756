"""The block in the NOTES of a BeerXML recipe: put in, and taken out again."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from recipe_tools.annotate.notes import NotesText, xml_notes
from recipe_tools.editing.document import Document, Edit, EditError
from recipe_tools.editing.xml_records import ESCAPES, new_child
from recipe_tools.formats.xml_spans import Element, XmlSpans
from recipe_tools.own_block import (
    EMPTY_NOTES,
    NO_NOTES,
    NOTES_ABOVE,
    SELF_CLOSED,
    DamagedBlock,
    block_text,
    find_own_block,
)

_NOTES: Final = "NOTES"
_LINE_BREAK = re.compile(r"(?:&\#0*13;|&\#[xX]0*[dD];|\r)?(?:&\#0*10;|&\#[xX]0*[aA];|\n)|\r")


class XmlNotes:
    """The notes of the recipes of one document, given by symbolic path."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._spans = XmlSpans(document.text)

    def put(self, path: str, lines: Sequence[str]) -> Edit:
        """Return the edit that writes a block into the recipe at a symbolic path.

        Raises EditError where there is no place for notes.
        """
        recipe = self._recipe(path)
        element = recipe.first(_NOTES)
        if element is None:
            return self._created(recipe, lines)
        if element.self_closed:
            text = _escaped(block_text(lines, SELF_CLOSED), self._document.newline)
            return Edit(element.end - 2, element.end, f">{text}</{element.written}>")
        notes = self._notes(element)
        newline = self._newline(element, notes)
        block = block_text(lines, EMPTY_NOTES if notes.empty else NOTES_ABOVE)
        if not notes.empty:
            block = f"\n\n{block}"
        cdata = notes.insert_cdata
        new = block.replace("\n", newline) if cdata else _escaped(block, newline)
        return Edit(notes.insert_at, notes.insert_at, new, cdata=cdata)

    def take_out(self, path: str) -> Edit | None:
        """Return the edit that restores what stood before the block; None where there is none.

        Raises EditError where the block cannot be told from other text.
        """
        element = self._recipe(path).first(_NOTES)
        if element is None or element.self_closed:
            return None
        notes = self._notes(element)
        plain = notes.plain
        found = find_own_block(plain)
        if found is None:
            return None
        if isinstance(found, DamagedBlock):
            raise EditError(found.reason, self._document.line(notes.place(found.at)))
        span = notes.span(found)
        if span is None:
            line = self._document.line(notes.place(found.start))
            raise EditError("has markup in it that was not written with it", line)
        alone = not notes.edges and not (plain[: found.start] + plain[found.end :]).strip()
        if alone and found.before == NO_NOTES:
            gap = element.gap_before()
            return Edit(element.start - len(gap), element.end, "")
        if alone and found.before == SELF_CLOSED:
            return Edit(element.open_end - 1, element.end, "/>")
        return Edit(*span, "")

    def _recipe(self, path: str) -> Element:
        recipe = self._spans.find(path)
        if recipe is None:
            raise EditError("the recipe is not where it was read")
        return recipe

    def _notes(self, element: Element) -> NotesText:
        return xml_notes(self._document.text, element.open_end, element.close_start)

    def _newline(self, element: Element, notes: NotesText) -> str:
        if not notes.insert_cdata:
            match = _LINE_BREAK.search(self._document.text, element.open_end, element.close_start)
            if match is not None:
                return match[0]
        return self._document.newline

    def _created(self, recipe: Element, lines: Sequence[str]) -> Edit:
        """Return the edit that makes NOTES, behind the last element and set like it."""
        if recipe.self_closed:
            raise EditError("the recipe is an empty element", self._document.line(recipe.start))
        text = _escaped(block_text(lines, NO_NOTES), self._document.newline)
        return new_child(recipe, _NOTES, text)


def _escaped(text: str, newline: str) -> str:
    return text.translate(ESCAPES).replace("\n", newline)
