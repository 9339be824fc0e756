"""TOML from strangers: limited before it is parsed, and never repeated in a message.

The standard parser takes memory with the square of the depth of a dotted key (40 kB of ``a.a`` can
take 1.5 GB) and recurses on nested arrays; both are counted before it sees the text.
"""

from __future__ import annotations

import codecs
import json
import os
import re
import stat
import tomllib
from pathlib import Path
from typing import Any

from recipe_tools.path_names import reading_flags, why_not_opened

MAX_BYTES = 256 * 1024
MAX_DEPTH = 16

_TOKEN = re.compile(
    r"""\#[^\n]*
    | \"{3}(?:[^"\\]|\\.|"(?!""))*\"{3,5}
    | '{3}(?:[^']|'(?!''))*'{3,5}
    | "(?:[^"\\\n]|\\[^\n])*"
    | '[^'\n]*'
    | [\[\]{},=.\n]""",
    re.VERBOSE | re.DOTALL,
)
_PLACE = re.compile(r"\(at line ([0-9]+), column ([0-9]+)\)")


class TomlError(ValueError):
    """A TOML file that cannot be used. The message says why, without file name and file content."""


def read_toml(path: Path, max_bytes: int = MAX_BYTES) -> dict[str, Any]:
    """Read a TOML file that must be a regular one of at most max_bytes. Raises TomlError."""
    return parse_toml(read_regular_file(path, max_bytes))


def read_regular_file(path: Path, max_bytes: int = MAX_BYTES) -> bytes:
    """Return the bytes of a regular file. Raises TomlError; never waits on a pipe or a device."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise TomlError("is not a regular file")
        descriptor = os.open(path, reading_flags())
    except (OSError, ValueError) as error:
        if isinstance(error, TomlError):
            raise
        raise TomlError(why_not_opened(path, error)) from None
    with os.fdopen(descriptor, "rb") as file:
        try:
            if not stat.S_ISREG(os.fstat(descriptor).st_mode):
                raise TomlError("is not a regular file")
            data = file.read(max_bytes + 1)
        except OSError as error:
            raise TomlError(why_not_opened(path, error)) from None
    if len(data) > max_bytes:
        raise TomlError(f"is larger than {max_bytes} bytes, the most that is read")
    return data


def parse_toml(data: bytes) -> dict[str, Any]:
    """Return the tables of a TOML document (UTF-8, a byte order mark is passed over).

    Raises TomlError with the place of the fault, never with the text around it.
    """
    text = _decoded(data)
    _refuse_depth(text)
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise TomlError("is nested too deeply") from None
    except ValueError as error:
        raise TomlError(_not_toml(error)) from None


def quoted(text: str) -> str:
    """Return a text as TOML has it in quotes; JSON escapes are those of TOML, but for DEL."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def _decoded(data: bytes) -> str:
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise TomlError("is not UTF-8 but UTF-16; save it as UTF-8")
    try:
        text = data.removeprefix(codecs.BOM_UTF8).decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise TomlError(f"is not UTF-8 (line {line}); save it as UTF-8") from None
    nul = text.find("\0")
    if nul >= 0:
        raise TomlError(f"holds a NUL character (line {text.count(chr(10), 0, nul) + 1})")
    return text.replace("\r\n", "\n")


def _refuse_depth(text: str) -> None:
    """Count dots in one key and open brackets, both outside strings and comments."""
    dots = depth = 0
    line = 1
    for token in _TOKEN.finditer(text):
        sign = token[0]
        if sign == ".":
            dots += 1
        elif sign in "[{":
            depth += 1
            dots = 0
        elif sign in "]}":
            depth = max(0, depth - 1)
            dots = 0
        elif sign in "\n,=":
            dots = 0
        if sign == "\n" or sign[0] in "\"'":
            line += sign.count("\n")
        if dots >= MAX_DEPTH or depth > MAX_DEPTH:
            raise TomlError(f"is nested more than {MAX_DEPTH} deep (line {line})")


def _not_toml(error: ValueError) -> str:
    message = str(error)
    what = "sets a key twice" if message.startswith("Cannot ") else "is not valid TOML"
    if place := _PLACE.search(message):
        return f"{what} (line {place[1]}, column {place[2]})"
    return f"{what} (at its end)" if "at end of document" in message else what
