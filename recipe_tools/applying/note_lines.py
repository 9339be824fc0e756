"""Lines added to the notes of a recipe, behind what stands there, and taken out again."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence

from recipe_tools.annotate.notes import NotesText, json_notes, xml_notes
from recipe_tools.editing.document import Document, Edit, EditError, open_document
from recipe_tools.editing.json_records import new_member
from recipe_tools.editing.xml_records import ESCAPES, new_child
from recipe_tools.formats.json_spans import JsonSpans
from recipe_tools.formats.xml_spans import XmlSpans
from recipe_tools.note_additions import find_note_additions
from recipe_tools.own_block import NO_NOTES, OwnBlock
from recipe_tools.recipe import Addition, FormatName


def with_note_lines(data: bytes, format_name: FormatName, path: str, lines: Sequence[str]) -> bytes:
    """Return a file with lines behind the notes of the recipe at a symbolic path.

    Every other byte stays. Raises EditError where there is no place for notes.
    """
    if not lines:
        return data
    document = open_document(data, format_name)
    edit = (_xml if format_name == "beerxml" else _json)(document, path, "\n".join(lines))
    return document.edited([edit])


def without_note_lines(
    data: bytes, format_name: FormatName, path: str, gone: Collection[Addition]
) -> bytes:
    """Return a file without the lines that stand for some additions, and the break above each.

    Raises EditError where markup runs into one.
    """
    document = open_document(data, format_name)
    notes = _found(document, path)
    if notes is None:
        return data
    edits = []
    for line in find_note_additions(notes.plain):
        if line.addition is None or not any(_same(line.addition, item) for item in gone):
            continue
        above = line.start - notes.plain[: line.start].endswith("\n")
        span = notes.span(OwnBlock(line.start, line.end, above, NO_NOTES))
        if span is None:
            at = document.line(notes.place(line.start))
            raise EditError(f"markup runs into '{line.text}' in its notes", at)
        edits.append(Edit(*span, ""))
    return document.edited(edits)


def _same(written: Addition, read: Addition) -> bool:
    return written == read._replace(origin=written.origin)


def _found(document: Document, path: str) -> NotesText | None:
    """Return the notes of a recipe; None where there are none to look through."""
    if document.format == "beerxml":
        recipe = XmlSpans(document.text).find(path)
        element = recipe.first("NOTES") if recipe is not None else None
        if element is None or element.self_closed:
            return None
        return xml_notes(document.text, element.open_end, element.close_start)
    values = JsonSpans(document.text)
    member = values.find(f"{path}/notes")
    if member is None or not values.raw(member).startswith('"'):
        return None
    return json_notes(document.text, member.start, member.end)


def _xml(document: Document, path: str, text: str) -> Edit:
    recipe = XmlSpans(document.text).find(path)
    if recipe is None or recipe.self_closed:
        raise EditError("the recipe is not where it was read")
    element = recipe.first("NOTES")
    if element is not None and not element.self_closed:
        notes = xml_notes(document.text, element.open_end, element.close_start)
        new = text if notes.empty else f"\n{text}"
        if not notes.insert_cdata:
            new = new.translate(ESCAPES)
        shown = new.replace("\n", document.newline)
        return Edit(notes.insert_at, notes.insert_at, shown, cdata=notes.insert_cdata)
    escaped = text.translate(ESCAPES).replace("\n", document.newline)
    if element is not None:
        return Edit(element.end - 2, element.end, f">{escaped}</{element.written}>")
    return new_child(recipe, "NOTES", escaped)


def _json(document: Document, path: str, text: str) -> Edit:
    values = JsonSpans(document.text)
    recipe = values.find(path)
    if recipe is None:
        raise EditError("the recipe is not where it was read")
    member = values.member(recipe, "notes")
    if member is None:
        return new_member(values, recipe, "notes", json.dumps(text, ensure_ascii=False))
    raw = values.raw(member)
    if raw == "null":
        return Edit(member.start, member.end, json.dumps(text, ensure_ascii=False))
    if not raw.startswith('"'):
        line = document.line(member.start)
        raise EditError("the notes of the recipe are no text; correct them first", line)
    notes = json_notes(document.text, member.start, member.end)
    new = text if notes.empty else f"\n{text}"
    return Edit(notes.insert_at, notes.insert_at, json.dumps(new, ensure_ascii=False)[1:-1])
