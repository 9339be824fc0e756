"""The block that `recipe-tools annotate` writes into notes, as a stretch of text.

The last line carries a check sum of the letters between, so that a block somebody has written into
is known from one that may be replaced. Blanks, line breaks and how a character is spelt do not
count: other programs change them when they save a recipe.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from typing import Final, NamedTuple

FIRST_LINE: Final = "--- recipe-tools: water and mash check ---"
_LAST_START: Final = "--- recipe-tools: end"
_CHECK_SUM: Final = ", check sum "
_DASHES: Final = "---"
_DASH_RUN = re.compile("-{3,}")

NOTES_ABOVE: Final = "the notes above"
EMPTY_NOTES: Final = "empty notes"
NO_NOTES: Final = "no notes"
SELF_CLOSED: Final = "<NOTES/>"
NULL: Final = "null"

_BEFORE: Final = "Before this block: "
_GAP_ABOVE = re.compile(r"(?:\r\n|\r|\n){1,2}\Z")
_BREAK = r"</?(?:br|p|div)\s*/?>"
_BREAKS = re.compile(_BREAK, re.I)
_AMPERSANDS = re.compile("&(?:amp;)+")
_BLANK = rf"(?:\s|{_BREAK}|&(?:amp;)*(?:nbsp|\#(?:9|10|13|160|x0?[9ad]|xa0));)*"
"""What may stand for a blank or a line break once another program has saved the notes."""


def _however_blank(mark: str) -> str:
    """Return the pattern of a mark that is found whatever became of its blanks."""
    return _BLANK.join(map(re.escape, mark.split()))


_FIRST = re.compile(_however_blank(FIRST_LINE), re.I)
_LAST = re.compile(_however_blank(_LAST_START), re.I)
_LAST_REST = re.compile(
    _however_blank(_CHECK_SUM) + rf"{_BLANK}([0-9a-f]{{8}}){_BLANK}{_DASHES}", re.I
)


class OwnBlock(NamedTuple):
    """A block found in notes, in code points of the notes.

    start, end: of the block itself. gap_start: of the line breaks above that came with it. before:
    what stood in the notes before it: `NOTES_ABOVE`, `EMPTY_NOTES`, `NO_NOTES`, `SELF_CLOSED` or
    `NULL`.
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
    last = f"{_LAST_START}{_CHECK_SUM}{_check_sum(' '.join(body))} {_DASHES}"
    return "\n".join([FIRST_LINE, *body, last])


def find_own_block(notes: str) -> OwnBlock | DamagedBlock | None:
    """Return the one block in notes, what is left of it, or None where there is none."""
    if _DASHES not in notes:
        return None
    firsts = list(_FIRST.finditer(notes))
    lasts = list(_LAST.finditer(notes))
    if not firsts and not lasts:
        return None
    if not firsts:
        return DamagedBlock("has lost its first line", lasts[0].start())
    start = firsts[0].start()
    if not lasts:
        return DamagedBlock("has lost its last line", start)
    if len(firsts) > 1 or len(lasts) > 1:
        return DamagedBlock("is there more than once, or in part", start)
    rest = _LAST_REST.match(notes, lasts[0].end())
    if rest is None:
        return DamagedBlock("has a last line that was changed", start)
    if lasts[0].start() < start:
        return DamagedBlock("has its last line above its first", lasts[0].start())
    inside = notes[firsts[0].end() : lasts[0].start()]
    before = _before(inside)
    if _check_sum(inside) != rest[1].lower() or before is None:
        return DamagedBlock("was changed since it was written", start, rest.end())
    gap = _GAP_ABOVE.search(notes, 0, start) if before == NOTES_ABOVE else None
    return OwnBlock(start, rest.end(), gap.start() if gap else start, before)


def same_words(one: str, other: str) -> bool:
    """Tell whether two texts differ in blanks, line breaks and spelling of characters at most."""
    return _letters(one) == _letters(other)


def strip_own_block(text: str) -> str:
    """Return notes without the block of an earlier run, for reading what people wrote.

    Of a block that was changed everything between its first and last line is left out as well; one
    without first or last line stays.
    """
    found = find_own_block(text)
    if isinstance(found, OwnBlock):
        return text[: found.gap_start] + text[found.end :]
    if isinstance(found, DamagedBlock) and found.end is not None:
        return text[: found.at] + text[found.end :]
    return text


def _without_marks(line: str) -> str:
    # Names of a recipe are quoted in the block; none of them may look like its first or last line.
    return _DASH_RUN.sub(lambda run: " ".join(run[0]), line).replace("]]>", "]] >")


def _before(inside: str) -> str | None:
    """Return what stood before the block, as its last entry says; None for anything else."""
    _, mark, said = _letters(inside).rpartition(_letters(_BEFORE))
    known = (NOTES_ABOVE, EMPTY_NOTES, NO_NOTES, SELF_CLOSED, NULL)
    return next((text for text in known if mark and _letters(text) == said), None)


def _letters(text: str) -> str:
    """Return what is left of a text without blanks, line breaks and references to characters.

    References may stand in each other: whoever escapes what was escaped already makes ``&amp;lt;``.
    """
    import html  # here, as its table of names takes a while and most notes hold no block

    plain = html.unescape(_AMPERSANDS.sub("&", text))
    return "".join(_BREAKS.sub("", plain).split())


def _check_sum(body: str) -> str:
    return hashlib.sha256(_letters(body).encode("utf-8", "surrogatepass")).hexdigest()[:8]
