"""One file in, the same file with the results in its notes out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from recipe_tools import formats
from recipe_tools.annotate.block import judged, lines
from recipe_tools.checking import check_bytes
from recipe_tools.checking.checklist import catalogue
from recipe_tools.config import Options
from recipe_tools.editing.document import Document, Edit, EditError, open_document
from recipe_tools.editing.mending import HARMLESS, mended
from recipe_tools.editing.recipe_notes import RecipeNotes, recipe_notes
from recipe_tools.own_block import (
    NOTES_ABOVE,
    DamagedBlock,
    OwnBlock,
    block_text,
    find_own_block,
    same_words,
    strip_own_block,
)
from recipe_tools.recipe import FormatName, Recipe, SourceFile

if TYPE_CHECKING:
    from recipe_tools.checking.judging import FileRequest
    from recipe_tools.formats.result import ReadResult

Status = Literal["annotated", "unchanged", "skipped", "refused"]

_State = Literal["none", "current", "out of date"]

_MARK: Final = "recipe-tools"
_NOT_READ: Final = "it could not be read in full"


@dataclass(frozen=True, slots=True)
class Annotated:
    """What became of a file.

    status: ``refused`` where nothing may be written; problem then says why (line: where).
    data: the new bytes, those of the file itself unless annotated. recipes: their symbolic paths.
    repairs: labels of the repairs that are in the new bytes. out_of_date: recipes whose block says
    something else now; one that is only laid out in another way is not. without_block: recipes that
    had none.
    """

    status: Status
    data: bytes
    format: FormatName | None = None
    recipes: tuple[str, ...] = ()
    repairs: tuple[str, ...] = ()
    problem: str = ""
    line: int | None = None
    out_of_date: int = 0
    without_block: int = 0


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to be done. remove: take the blocks out. accept_repairs: write repaired files."""

    remove: bool = False
    accept_repairs: bool = False


def annotate_bytes(
    data: bytes, path: str, options: Options, request: FileRequest, wish: Wish = Wish()
) -> Annotated:
    """Return the file with the results of its check in the notes of each recipe.

    The check looks at the file without the blocks of earlier runs, so that the same recipe gives
    the same bytes however often it is annotated. Never raises for what the bytes contain.
    """
    found = formats.read(SourceFile(path, data), options.limits)
    others = found.status == "checked" and not found.recipes
    if (others or found.status == "skipped") and not request.named:
        return Annotated("skipped", data, found.format)
    if others:
        return _refused(data, found, "it holds no recipe, only other records")
    if found.status != "checked" or found.format is None:
        return _refused(data, found, *_why_not(found))
    repairs = tuple(label for label in found.repaired if label not in HARMLESS)
    if repairs and wish.remove and _MARK not in open_document(data, found.format).text:
        return Annotated("unchanged", data, found.format, _paths(found))
    if repairs and not wish.accept_repairs:
        named = ", ".join(repairs)
        problem = f"it can only be read with repairs ({named}); --accept-repairs writes them too"
        return _refused(data, found, problem)
    try:
        new, states = _edited(data, path, options, request, wish, found, repairs)
    except EditError as error:
        return _refused(data, found, str(error), error.line)
    return Annotated(
        "unchanged" if new == data else "annotated",
        new,
        found.format,
        _paths(found),
        repairs,
        out_of_date=states.count("out of date"),
        without_block=states.count("none"),
    )


def _edited(
    data: bytes,
    path: str,
    options: Options,
    request: FileRequest,
    wish: Wish,
    found: ReadResult,
    repairs: Sequence[str],
) -> tuple[bytes, list[_State]]:
    """Return the new bytes and how the blocks of the recipes were. Raises EditError."""
    assert found.format is not None
    whole = data
    if repairs:
        whole = mended(data, found.format)
        _compare(
            whole, path, options, found._replace(repaired=tuple(HARMLESS)), "the repaired text"
        )
    bare = without_blocks(whole, found.format, found.recipes)
    if wish.remove:
        _compare(bare, path, options, found, "the file without the block")
        return bare, []
    checked = check_bytes(bare, path, options, request)
    if checked.incomplete:
        raise EditError("its check did not come to an end; `recipe-tools check` says why")
    blocks = {item.recipe.recipe.origin.path: lines(item, catalogue()) for item in judged(checked)}
    new, states = with_blocks(whole, found.format, blocks)
    again = _compare(new, path, options, found, "the annotated file")
    if without_blocks(new, found.format, again.recipes) != bare:
        raise EditError("taking the block out again would not give back the file; please report it")
    return new, states


def without_blocks(data: bytes, format_name: FormatName, recipes: Sequence[Recipe]) -> bytes:
    """Return the file as it was before the blocks. Raises EditError where one was changed."""
    document = open_document(data, format_name)
    if not _may_hold_block(document.text):
        return data
    notes_of = recipe_notes(document)
    edits: list[Edit] = []
    for recipe in recipes:
        try:
            edit = _take_out(document, notes_of, recipe.origin.path)
        except EditError as error:
            name = f'"{recipe.name}"' if recipe.name else f"recipe {recipe.index + 1}"
            raise EditError(
                f"the block in the notes of {name} {error}; move your own text out of it, delete "
                "the rest of it by hand and run again",
                error.line,
            ) from None
        if edit is not None:
            edits.append(edit)
    return document.edited(edits) if edits else data


def with_blocks(
    data: bytes, format_name: FormatName, blocks: Mapping[str, Sequence[str]]
) -> tuple[bytes, list[_State]]:
    """Return the file with a block in each recipe, given by symbolic path, and how each was.

    One that is there is written anew where it stands. Raises EditError.
    """
    document = open_document(data, format_name)
    notes_of = recipe_notes(document)
    edits, states = [], []
    for path, block in blocks.items():
        edit, state = _put(notes_of, path, block)
        edits.append(edit)
        states.append(state)
    return document.edited(edits), states


def _may_hold_block(text: str) -> bool:
    # Most files have none. Other programs may have written its letters as references.
    return any(sign in text for sign in (_MARK, "&#", "\\u"))


def _take_out(document: Document, notes_of: RecipeNotes, path: str) -> Edit | None:
    """Return the edit that restores what stood before the block; None where there is none.

    Raises EditError where the block cannot be told from other text.
    """
    notes = notes_of.read(path)
    found = find_own_block(notes.plain) if notes is not None else None
    if notes is None or found is None:
        return None
    if isinstance(found, DamagedBlock):
        raise EditError(found.reason, document.line(notes.place(found.at)))
    span = notes.span(found)
    if span is None:
        line = document.line(notes.place(found.start))
        raise EditError("has markup in it that was not written with it", line)
    alone = not notes.edges and not (notes.plain[: found.start] + notes.plain[found.end :]).strip()
    return (notes_of.restored(path, found.before) if alone else None) or Edit(*span, "")


def _put(notes_of: RecipeNotes, path: str, block: Sequence[str]) -> tuple[Edit, _State]:
    notes = notes_of.read(path)
    found = find_own_block(notes.plain) if notes is not None else None
    if notes is not None and isinstance(found, OwnBlock):
        text = block_text(block, found.before)
        edit = notes_of.renewed(path, found, text)
        if edit is not None:
            same = same_words(notes.plain[found.start : found.end], text)
            return edit, "current" if same else "out of date"

    def put(before: str) -> str:
        return "\n\n" * (before == NOTES_ABOVE) + block_text(block, before)

    return notes_of.append(path, put), "none"


def _compare(data: bytes, path: str, options: Options, before: ReadResult, what: str) -> ReadResult:
    """Read new bytes again. Raises EditError unless only the notes of the recipes differ."""
    again = formats.read(SourceFile(path, data), options.limits)
    same = (
        again.status == before.status
        and again.format == before.format
        and again.waters == before.waters
        and set(again.repaired) <= set(before.repaired)
        and len(again.recipes) == len(before.recipes)
        and all(map(_same, before.recipes, again.recipes))
    )
    if not same:
        raise EditError(f"{what} would not read as the same recipes; nothing was written")
    return again


def _same(old: Recipe, new: Recipe) -> bool:
    kept = strip_own_block(old.notes).strip() == strip_own_block(new.notes).strip()
    return kept and old._replace(notes="") == new._replace(notes="")


def _paths(found: ReadResult) -> tuple[str, ...]:
    return tuple(recipe.origin.path for recipe in found.recipes)


def _why_not(found: ReadResult) -> tuple[str, int | None]:
    """Say what keeps a file from being annotated, and on which line."""
    rules = catalogue()
    for item in found.findings:
        if rules[item.rule].not_checked:
            return f"{_NOT_READ} ({item.rule}: {item.message})", item.line
    return _NOT_READ, None


def _refused(data: bytes, found: ReadResult, problem: str, line: int | None = None) -> Annotated:
    return Annotated("refused", data, found.format, _paths(found), (), problem, line)
