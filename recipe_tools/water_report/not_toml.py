"""A file given as water report that is none: what it is, what was slipped, how to get a form."""

from __future__ import annotations

import re

FORM = (
    'a water report is a text with one row a line, such as calcium = "62 mg/L"; '
    "`recipe-tools water --example` prints one to fill in, and `recipe-tools water report.txt "
    "--write tap.toml` makes one of a table copied from a PDF or web page"
)
_KINDS = (
    (b"%PDF", "is a PDF, from which no figures are read"),
    (b"PK\x03\x04", "is a spreadsheet, document or archive, from which no figures are read"),
    (b"\xd0\xcf\x11\xe0", "is a spreadsheet or document, from which no figures are read"),
    (b"\x89PNG", "is a picture, from which no figures are read"),
    (b"\xff\xd8\xff", "is a picture, from which no figures are read"),
    (b"<", "is a web page or XML, from which no figures are read"),
    (b"{", "is JSON, which is not read here"),
)
_LINE = re.compile(r"\(line ([0-9]+)")
_ROWS_LOOKED_AT = 20
_SEPARATED = re.compile(r"[^=;\t,\"']{1,80}[;\t,]")
_SLIPS = (
    (r"[^=]*$", "a row is written with ="),
    (r"[^=]+=\s*(?:#.*)?$", "its value is missing"),
    (
        r"\s*(?!['\"])[^=]*[^=\s\w.-][^=]*=|\s*[^=\s'\"]+\s+[^=\s]",
        "a name with blanks or signs stands in quotes",
    ),
    (r"\s*[\w.-]*[^\x00-\x7f]", "a name with accents stands in quotes"),
    (r"[^=]+=\s*[^\"'\[{\s#]", "a value with a unit, a comma or words stands in quotes"),
    (r"[^=]+=\s*[\"'][^\"']*$", "its quotes do not close"),
)
"""Beginnings of a faulty line, and what was slipped in it."""


def what_it_is(data: bytes, fault: str) -> str:
    """Return one line on a file that is not TOML. fault: what the reader says of it.

    Nothing of the file is repeated.
    """
    if kind := kind_of(data):
        return kind
    text = data.decode("utf-8", "replace")
    lines = [line for line in text.splitlines()[:_ROWS_LOOKED_AT] if line.strip()]
    if len(lines) > 1 and all(_SEPARATED.match(line) for line in lines):
        return f"is a table with separators (CSV), not TOML; {FORM}"
    return f"{fault}{_slip(text, fault)}; {FORM}"


def kind_of(data: bytes) -> str:
    """Return one line on a file of a kind from which no figures are read; empty for a text."""
    start = data.lstrip(b"\xef\xbb\xbf \r\n\t")
    return next((f"{kind}; {FORM}" for sign, kind in _KINDS if start.startswith(sign)), "")


def _slip(text: str, fault: str) -> str:
    place = _LINE.search(fault)
    if place is None or not fault.startswith("is not valid TOML"):
        return ""
    lines, number = text.splitlines(), int(place[1])
    line = lines[number - 1][:300] if number <= len(lines) else ""
    return next((f": {said}" for start, said in _SLIPS if re.match(start, line)), "")
