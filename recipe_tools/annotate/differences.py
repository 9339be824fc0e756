"""What a file gains, as a unified diff of its text."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from recipe_tools.editing.document import lines_of, open_document
from recipe_tools.formats.positions import locate
from recipe_tools.recipe import FormatName
from recipe_tools.reports.terminal import is_obeyed, visible

_CONTEXT: Final = 3
_NO_END: Final = "\\ No newline at end of file"

_Change = tuple[int, int, int, int]
"""Lines replaced and the lines in their place: from, to (exclusive) in the old and in the new."""


def unified(
    old: bytes, new: bytes, format_name: FormatName, path: str, pointers: Sequence[str]
) -> str:
    """Return the unified diff of two states of a file; empty where they are equal.

    pointers: symbolic paths of its recipes, which are compared one by one, so that a file of a
    thousand recipes takes a thousand times as long as one. The text may go to a terminal or a log:
    control characters are shown as escapes, and a line of the context that would be a command there
    is taken out and put in again, which gives the same file.
    """
    if old == new:
        return ""
    before, after = (_lines(data, format_name) for data in (old, new))
    starts = [(0, 0), *_starts(old, new, format_name, pointers), (len(before), len(after))]
    changes: list[_Change] = []
    for (old_from, new_from), (old_to, new_to) in pairwise(starts):
        changes += _changes(before, after, old_from, old_to, new_from, new_to)
    name = visible(path).lstrip("/")
    shown = [f"--- a/{name}", f"+++ b/{name}"]
    for hunk in _hunks(list(_widened(changes, before))):
        shown += _shown(hunk, before, after)
    return "\n".join(shown) + "\n"


def _starts(
    old: bytes, new: bytes, format_name: FormatName, pointers: Sequence[str]
) -> Iterator[tuple[int, int]]:
    """Yield the lines on which recipes start in both states, where each has a line of its own."""
    old_places, new_places = (locate(data, format_name, pointers) for data in (old, new))
    last_old = last_new = 0
    for pointer in pointers:
        if pointer not in old_places or pointer not in new_places:
            continue
        old_line, new_line = old_places[pointer].line - 1, new_places[pointer].line - 1
        if old_line > last_old and new_line > last_new:
            yield old_line, new_line
            last_old, last_new = old_line, new_line


def _changes(
    before: Sequence[str],
    after: Sequence[str],
    old_from: int,
    old_to: int,
    new_from: int,
    new_to: int,
) -> Iterator[_Change]:
    while old_from < old_to and new_from < new_to and before[old_from] == after[new_from]:
        old_from, new_from = old_from + 1, new_from + 1
    while old_from < old_to and new_from < new_to and before[old_to - 1] == after[new_to - 1]:
        old_to, new_to = old_to - 1, new_to - 1
    matcher = difflib.SequenceMatcher(
        None, before[old_from:old_to], after[new_from:new_to], autojunk=False
    )
    for kind, old_start, old_end, new_start, new_end in matcher.get_opcodes():
        if kind != "equal":
            yield (
                old_from + old_start,
                old_from + old_end,
                new_from + new_start,
                new_from + new_end,
            )


def _widened(changes: Sequence[_Change], before: Sequence[str]) -> Iterator[_Change]:
    """Yield the changes, grown over lines beside them that must not stand there as context.

    Only then is the context counted: with less of it on one side a hunk belongs to an end of the
    file for the programs that apply it.
    """
    floor = 0
    for place, (old_from, old_to, new_from, new_to) in enumerate(changes):
        ceiling = changes[place + 1][0] if place + 1 < len(changes) else len(before)
        start, end = old_from, old_to
        while above := _obeyed(before, max(start - _CONTEXT, floor), start):
            start = above[0]
        while below := _obeyed(before, end, min(end + _CONTEXT, ceiling)):
            end = below[-1] + 1
        yield start, end, new_from - (old_from - start), new_to + (end - old_to)
        floor = end


def _obeyed(lines: Sequence[str], start: int, stop: int) -> list[int]:
    return [place for place in range(start, stop) if is_obeyed(lines[place])]


def _hunks(changes: Sequence[_Change]) -> Iterator[list[_Change]]:
    """Yield changes together whose surroundings would overlap."""
    hunk: list[_Change] = []
    for change in changes:
        if hunk and change[0] - hunk[-1][1] > 2 * _CONTEXT:
            yield hunk
            hunk = []
        hunk.append(change)
    if hunk:
        yield hunk


def _shown(hunk: Sequence[_Change], before: Sequence[str], after: Sequence[str]) -> list[str]:
    first, last = hunk[0], hunk[-1]
    lead = min(_CONTEXT, first[0])
    tail = min(_CONTEXT, len(before) - last[1])
    old_range = _range(first[0] - lead, last[1] + tail)
    new_range = _range(first[2] - lead, last[3] + tail)
    shown = [f"@@ -{old_range} +{new_range} @@"]
    done = first[0] - lead
    for old_from, old_to, new_from, new_to in hunk:
        shown += _side(" ", before[done:old_from])
        shown += _side("-", before[old_from:old_to])
        shown += _side("+", after[new_from:new_to])
        done = old_to
    return shown + _side(" ", before[done : done + tail])


def _lines(data: bytes, format_name: FormatName) -> list[str]:
    """Return the lines of a file; a last one without line break carries a mark."""
    lines = list(lines_of(open_document(data, format_name).text))
    if lines[-1]:
        lines[-1] += "\0"
    else:
        lines.pop()
    return lines


def _side(sign: str, lines: Sequence[str]) -> list[str]:
    shown = []
    for line in lines:
        shown.append(sign + visible(line.removesuffix("\0")))
        if line.endswith("\0"):
            shown.append(_NO_END)
    return shown


def _range(start: int, stop: int) -> str:
    length = stop - start
    if length == 1:
        return str(start + 1)
    return f"{start + 1 if length else start},{length}"
