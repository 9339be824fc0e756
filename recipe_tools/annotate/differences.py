"""What a file gains, as a unified diff of its text."""

from __future__ import annotations

import difflib

from recipe_tools.editing.document import lines_of, open_document
from recipe_tools.recipe import FormatName
from recipe_tools.reports.terminal import visible

_CONTEXT = 3
_NO_END = "\\ No newline at end of file"


def unified(old: bytes, new: bytes, format_name: FormatName, path: str) -> str:
    """Return the unified diff of two states of a file; empty where they are equal.

    Control characters are shown as escapes, so that the text may go to a terminal.
    """
    if old == new:
        return ""
    before, after = (_lines(data, format_name) for data in (old, new))
    # Only what lies between the first and the last change has to be compared line by line.
    head = _shared(before, after)
    tail = _shared(before[head:][::-1], after[head:][::-1])
    start = max(0, head - _CONTEXT)
    stop = max(0, tail - _CONTEXT)
    hunks = difflib.SequenceMatcher(
        None,
        before[start : len(before) - stop],
        after[start : len(after) - stop],
        autojunk=False,
    ).get_grouped_opcodes(_CONTEXT)
    shown = [f"--- a/{visible(path)}", f"+++ b/{visible(path)}"]
    for group in hunks:
        first, last = group[0], group[-1]
        old_range = _range(start + first[1], start + last[2])
        new_range = _range(start + first[3], start + last[4])
        shown.append(f"@@ -{old_range} +{new_range} @@")
        for kind, old_from, old_to, new_from, new_to in group:
            if kind == "equal":
                shown += _side(" ", before[start + old_from : start + old_to])
            else:
                shown += _side("-", before[start + old_from : start + old_to])
                shown += _side("+", after[start + new_from : start + new_to])
    return "\n".join(shown) + "\n"


def _lines(data: bytes, format_name: FormatName) -> list[str]:
    """Return the lines of a file; a last one without line break carries a mark."""
    lines = list(lines_of(open_document(data, format_name).text))
    if lines[-1]:
        lines[-1] += "\0"
    else:
        lines.pop()
    return lines


def _side(sign: str, lines: list[str]) -> list[str]:
    shown = []
    for line in lines:
        shown.append(sign + visible(line.removesuffix("\0")))
        if line.endswith("\0"):
            shown.append(_NO_END)
    return shown


def _shared(one: list[str], other: list[str]) -> int:
    count = 0
    for first, second in zip(one, other, strict=False):
        if first != second:
            break
        count += 1
    return count


def _range(start: int, stop: int) -> str:
    length = stop - start
    if length == 1:
        return str(start + 1)
    return f"{start + 1 if length else start},{length}"
