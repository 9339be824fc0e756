"""The block that `recipe-tools annotate` writes into notes, as a stretch of text.

The last line carries a check sum of the lines between, so that a block somebody has written into is
known from one that may be replaced. Line breaks and blanks at the ends of lines do not count: other
programs change them when they save a recipe.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from typing import Final, NamedTuple

FIRST_LINE: Final = "--- recipe-tools: water and mash check ---"
_LAST_START: Final = "--- recipe-tools: end"
_DASHES: Final = "---"
_DASH_RUN = re.compile("-{3,}")

NOTES_ABOVE: Final = "the notes above"
EMPTY_NOTES: Final = "empty notes"
NO_NOTES: Final = "no notes"
SELF_CLOSED: Final = "<NOTES/>"

_BEFORE: Final = "Before this block: "
_LAST_LINE = re.compile(r"--- recipe-tools: end, check sum ([0-9a-f]{8}) ---")
_LINE_BREAK = re.compile(r"\r\n|\r|\n")
_GAP_ABOVE = re.compile(r"(?:\r\n|\r|\n){1,2}\Z")


class OwnBlock(NamedTuple):
    """A block found in notes, in code points of the notes.

    start, end: of the block itself. gap_start: of the line breaks above that came with it. before:
    what stood in the notes before it: `NOTES_ABOVE`, `EMPTY_NOTES`, `NO_NOTES`, `SELF_CLOSED` or
    ``null``.
    """

    start: int
    end: int
    gap_start: int
    before: str


class DamagedBlock(NamedTuple):
    """What is left of a block that cannot be taken out safely.

    reason: in words, after "the block". at: where in the notes. end: behind it, None if unknown.
    """

    reason: str
    at: int
    end: int | None = None


def block_text(lines: Sequence[str], before: str) -> str:
    """Return a block with the given lines in it, line breaks LF. before: see `OwnBlock`."""
    body = [_without_marks(line).rstrip() for line in (*lines, f"{_BEFORE}{before}")]
    last = f"{_LAST_START}, check sum {_check_sum(body)} ---"
    return "\n".join([FIRST_LINE, *body, last])


def find_own_block(notes: str) -> OwnBlock | DamagedBlock | None:
    """Return the one block in notes, what is left of it, or None where there is none."""
    firsts = _places(notes, FIRST_LINE)
    lasts = _places(notes, _LAST_START)
    if not firsts and not lasts:
        return None
    if not firsts:
        return DamagedBlock("has lost its first line", lasts[0])
    start = firsts[0]
    if not lasts:
        return DamagedBlock("has lost its last line", start)
    if len(firsts) > 1 or len(lasts) > 1:
        return DamagedBlock("is there more than once, or in part", start)
    match = _LAST_LINE.match(notes, lasts[0])
    if match is None:
        return DamagedBlock("has a last line that was changed", start)
    if match.start() < start:
        return DamagedBlock("has its last line above its first", match.start())
    inside = notes[start + len(FIRST_LINE) : match.start()]
    body = [line.rstrip() for line in _LINE_BREAK.split(inside)][1:-1]
    if _check_sum(body) != match[1] or not body or not body[-1].startswith(_BEFORE):
        return DamagedBlock("was changed since it was written", start, match.end())
    before = body[-1].removeprefix(_BEFORE)
    gap = _GAP_ABOVE.search(notes, 0, start) if before == NOTES_ABOVE else None
    return OwnBlock(start, match.end(), gap.start() if gap else start, before)


def strip_own_block(text: str) -> str:
    """Return notes without the block of an earlier run, for reading what people wrote.

    Of a block that was changed everything between its first and last line is left out as well; one
    without first or last line stays.
    """
    if _DASHES not in text:
        return text
    found = find_own_block(text)
    if isinstance(found, OwnBlock):
        return text[: found.gap_start] + text[found.end :]
    if isinstance(found, DamagedBlock) and found.end is not None:
        return text[: found.at] + text[found.end :]
    return text


def _without_marks(line: str) -> str:
    # Names of a recipe are quoted in the block; none of them may look like its first or last line.
    return _DASH_RUN.sub(lambda run: " ".join(run[0]), line).replace("]]>", "]] >")


def _places(text: str, mark: str) -> list[int]:
    return [match.start() for match in re.finditer(re.escape(mark), text)]


def _check_sum(body: Sequence[str]) -> str:
    return hashlib.sha256("\n".join(body).encode("utf-8", "surrogatepass")).hexdigest()[:8]
