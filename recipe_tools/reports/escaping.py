"""One escaping function for each boundary a report crosses.

Names and notes in recipe files come from strangers. Every text from a file, and every file name,
goes through exactly one of these functions on its way out (the terminal has its own in `terminal`).
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

_NAMED = {"\t": "\\t", "\n": "\\n", "\r": "\\r"}
_HIDDEN_CATEGORIES = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})

_MARKDOWN_PUNCTUATION = re.compile(r"([\\`*_{}\[\]()|~$^])")
_MARKDOWN_LEAD = re.compile(r"^(\s*)([-+=#:>]|\d+(?=[.)]))")
_MARKDOWN_REFERENCE = re.compile(
    r"(?<=@)|(?<=#)(?=\w)|(?<=GH-)(?=\d)"
    r"|(?<=\w)(?=://)|(?<=www)(?=\.)|(?<=mailto)(?=:)|(?<=xmpp)(?=:)",
    re.IGNORECASE,
)
_BACKTICKS = re.compile("`+")
_COMMAND = re.compile("`([^`]+)`")

_FORMULA_START = frozenset("=+-@\t\r\n＝＋－＠")

# Build services look for these anywhere in a line of a log (from memory, not looked up again).
_OLDER_COMMAND = re.compile(r"##(?=\w*\[)")


def printable(text: str) -> str:
    """Return the text on one line, with everything that hides or reorders text as a visible escape.

    Control characters, bidirectional and zero-width characters, line and paragraph separators, lone
    surrogates and noncharacters become ``\\n``, ``\\u202e`` and the like. What a build service
    would obey wherever it stands in a line (``##[`` and its kin) is broken up by an escape.
    """
    if "##" in text:
        text = _OLDER_COMMAND.sub(r"#\\u0023", text)
    if text.isprintable():
        return text
    return "".join(_shown(letter) for letter in text)


def _shown(letter: str) -> str:
    code = ord(letter)
    if unicodedata.category(letter) not in _HIDDEN_CATEGORIES and not _is_noncharacter(code):
        return letter
    if letter in _NAMED:
        return _NAMED[letter]
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"


def _is_noncharacter(code: int) -> bool:
    return code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF


def json_visible(text: str) -> str:
    """Return JSON text without line breaks that says the same and may go to a terminal.

    Controls (those from U+007F on, which JSON leaves alone) and what hides or reorders text become
    JSON escapes, as does what a build service would obey within a line; a lone surrogate, which
    UTF-8 cannot carry, stands as a word.
    """
    if "##" in text:
        text = _OLDER_COMMAND.sub(r"#\\u0023", text)
    if text.isprintable():
        return text
    return "".join(map(_in_json, text))


def _in_json(letter: str) -> str:
    shown = _shown(letter)
    if shown == letter:
        return letter
    if unicodedata.category(letter) == "Cs":
        return f"\\{shown}"
    import json

    return json.dumps(letter)[1:-1]


def xml_characters(text: str) -> str:
    """Return the text with only characters XML 1.0 allows; markup is left to the XML writer."""
    return _forbidden_in_xml().sub("", printable(text))


@cache
def _forbidden_in_xml() -> re.Pattern[str]:
    # Made on demand: so wide a class takes longer to compile than a small module to load.
    return re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def html_text(text: str) -> str:
    """Return the text for element content or a quoted attribute of HTML and SVG."""
    import html

    return html.escape(printable(text), quote=True)


def workflow_data(text: str) -> str:
    """Return the text for the data part of a workflow command."""
    return printable(text).replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def workflow_property(text: str) -> str:
    """Return the text for a property value of a workflow command."""
    return workflow_data(text).replace(":", "%3A").replace(",", "%2C")


def markdown_inline(text: str) -> str:
    """Return the text as plain words within a line or table cell of Markdown.

    Nothing in it forms markup, an HTML tag, a link, a mention or a reference. The empty comment
    after ``@`` and ``#`` is what keeps hosts from linking them: they look for those only after
    backslashes and entities are resolved.
    """
    import html

    shown = html.escape(printable(text), quote=False)
    shown = _MARKDOWN_REFERENCE.sub("<!-- -->", shown)
    shown = _MARKDOWN_PUNCTUATION.sub(r"\\\1", shown)
    return _MARKDOWN_LEAD.sub(_escaped_lead, shown)


def _escaped_lead(match: re.Match[str]) -> str:
    space, sign = match.groups()
    return f"{space}{sign}\\" if sign.isdigit() else f"{space}\\{sign}"


def markdown_code(text: str) -> str:
    """Return the text as a code span whose fence is longer than any run of backticks in it.

    A pipe would end a table cell even there, so it is escaped; code spans in tables undo that.
    """
    shown = printable(text).replace("|", "\\|")
    longest = max((len(run) for run in _BACKTICKS.findall(shown)), default=0)
    fence = "`" * (longest + 1)
    space = " " if shown.startswith(("`", " ")) or shown.endswith(("`", " ")) or not shown else ""
    return f"{fence}{space}{shown}{space}{fence}"


def markdown_prose(text: str) -> str:
    """Return a text of a declaration: what stands in backticks is a command or a key."""
    parts = _COMMAND.split(text)
    return "".join(
        markdown_code(part) if place % 2 else markdown_inline(part)
        for place, part in enumerate(parts)
    )


def csv_cell(text: str) -> str:
    """Return the text for a cell, so that it is no formula and starts no workflow command."""
    bare = text.lstrip()
    shown = printable(text)
    safe = _FORMULA_START.isdisjoint({text[:1], bare[:1]}) and not bare.startswith("::")
    return shown if safe else f"'{shown}"


def sarif_text(text: str) -> str:
    """Return the text for a SARIF message: no placeholder and no embedded link is left in it.

    SARIF 2.1.0, 3.11.5: literal braces are doubled; 3.11.6: ``[text](target)`` is a link.
    """
    return printable(text).replace("{", "{{").replace("}", "}}").replace("](", "] (")


def uri_path(path: str) -> str:
    """Return a relative path with forward slashes as a percent-encoded URI reference.

    Bytes of a file name that is not UTF-8, held as lone surrogates, are encoded as on disk.
    """
    try:
        data = path.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:
        data = path.encode("utf-8", "surrogatepass")
    from urllib.parse import quote

    return quote(data, safe="/")
