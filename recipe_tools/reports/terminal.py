"""What may go to a terminal or a log: visible text, wrapped lines, colour only as an aid."""

from __future__ import annotations

import re
import textwrap
from typing import NamedTuple

from recipe_tools.findings import Severity
from recipe_tools.reports.escaping import printable

WIDTH = 80

_RESET = "\x1b[0m"
_CODES = {
    "error": "\x1b[1;31m",
    "warning": "\x1b[33m",
    "note": "\x1b[36m",
    "strong": "\x1b[1m",
    "faint": "\x1b[2m",
}
_COMMAND = re.compile(r"^((?:\s|\x1b\[[0-9;]*m)*):(?=:)", re.MULTILINE)


def visible(text: str) -> str:
    """Return text from a file, or a file name, so that it cannot move, hide or reorder anything.

    C0, DEL and C1 characters, bidirectional and zero-width ones appear as escapes; the result is
    one line.
    """
    return printable(text)


def unobeyed(text: str) -> str:
    """Return lines none of which a build service that reads them in its log takes for a command.

    It looks for ``::`` behind blanks; where a line begins so, through a name from a file, the first
    colon becomes an escape. `visible` breaks up what is obeyed anywhere in a line.
    """
    return _COMMAND.sub(r"\1\\u003a", text) if "::" in text else text


def is_obeyed(line: str) -> bool:
    """Tell whether a build service would take a line of its log for a command."""
    return _COMMAND.match(line) is not None


class Ink(NamedTuple):
    """Writes words in colour where colour is wanted, and as they are elsewhere."""

    colour: bool = False

    def __call__(self, text: str, role: str) -> str:
        """Return the text in the colour of its role (``error`` ... ``strong``, ``faint``)."""
        return f"{_CODES[role]}{text}{_RESET}" if self.colour else text

    def severity(self, text: str, severity: Severity) -> str:
        """Return the text in the colour of a severity; the word itself always says it too."""
        return self(text, severity.word)


PLAIN = Ink()


def wrapped(text: str, *, first: str, rest: str, width: int = WIDTH) -> list[str]:
    """Return a paragraph as lines of at most ``width`` characters; long words are not torn."""
    lines = textwrap.wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return lines or [first.rstrip()]
