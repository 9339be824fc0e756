"""Lines added to the notes of a recipe, behind what stands there, and taken out again."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from recipe_tools.editing.document import Edit, EditError, open_document
from recipe_tools.editing.recipe_notes import recipe_notes
from recipe_tools.note_additions import find_note_additions
from recipe_tools.own_block import NO_NOTES, NOTES_ABOVE, OwnBlock
from recipe_tools.recipe import Addition, FormatName


def with_note_lines(data: bytes, format_name: FormatName, path: str, lines: Sequence[str]) -> bytes:
    """Return a file with lines behind the notes of the recipe at a symbolic path.

    Every other byte stays. Raises EditError where there is no place for notes.
    """
    if not lines:
        return data
    document, text = open_document(data, format_name), "\n".join(lines)
    edit = recipe_notes(document).append(
        path, lambda before: f"\n{text}" if before == NOTES_ABOVE else text
    )
    return document.edited([edit])


def without_note_lines(
    data: bytes, format_name: FormatName, path: str, gone: Collection[Addition]
) -> bytes:
    """Return a file without the lines that stand for some additions, and the break above each.

    Raises EditError where markup runs into one.
    """
    document = open_document(data, format_name)
    notes = recipe_notes(document).read(path)
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
