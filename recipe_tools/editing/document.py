"""A recipe file as text that is edited in places, and the bytes that come of it."""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from recipe_tools.formats.decoding import Decoded, NotTextError, decode_json, decode_xml
from recipe_tools.recipe import FormatName

_DECLARED = re.compile(r"""\s*<\?xml\s[^>]{0,200}?encoding\s*=\s*["']([\w.:-]{1,40})["']""", re.I)
_ASCII_ESCAPE_FROM: Final = 0x80


class EditError(Exception):
    """An edit that cannot be made; the message says why, in words for the user.

    line: 1-based line of the file it is about, None for the file as a whole.
    """

    def __init__(self, message: str, line: int | None = None) -> None:
        super().__init__(message)
        self.line = line


@dataclass(frozen=True, slots=True)
class Edit:
    """New text in place of a stretch of a document, in code points.

    cdata: the stretch lies in a CDATA section of XML, so that no reference can be written there.
    """

    start: int
    end: int
    new: str
    cdata: bool = False


@dataclass(frozen=True, slots=True)
class Document:
    """A file as text.

    newline: the line break most used in it.
    """

    format: FormatName
    decoded: Decoded
    newline: str
    _codec: str

    @property
    def data(self) -> bytes:
        """The bytes of the file."""
        return self.decoded.data

    @property
    def text(self) -> str:
        """The decoded file, without byte order mark."""
        return self.decoded.text

    def edited(self, edits: Iterable[Edit]) -> bytes:
        """Return the bytes of the file with some edits made, which must not overlap.

        Everything between them is copied byte for byte.
        """
        ordered = sorted(edits, key=lambda edit: (edit.start, edit.end))
        edges = [at for edit in ordered for at in (edit.start, edit.end)]
        places = self.decoded.byte_offsets(edges)
        parts: list[bytes] = []
        done = 0
        for edit in ordered:
            start, end = places[edit.start], places[edit.end]
            if start < done:
                raise ValueError("edits overlap")
            parts += (self.data[done:start], self._encoded(edit))
            done = end
        parts.append(self.data[done:])
        return b"".join(parts)

    def line(self, offset: int) -> int:
        """Return the 1-based line of a place in the text."""
        before = self.text[:offset]
        return before.count("\n") + before.count("\r") - before.count("\r\n") + 1

    def _encoded(self, edit: Edit) -> bytes:
        try:
            return edit.new.encode(self._codec)
        except UnicodeEncodeError:
            spelt = "".join(map(self._spelling(cdata=edit.cdata), edit.new))
            return spelt.encode(self._codec)

    def _spelling(self, *, cdata: bool) -> Callable[[str], str]:
        """Return how to write a character the encoding may not have."""

        def xml(letter: str) -> str:
            if _fits(letter, self._codec):
                return letter
            reference = f"&#{ord(letter)};"
            # Within CDATA a reference is text: the section is left for it.
            return f"]]>{reference}<![CDATA[" if cdata else reference

        def json(letter: str) -> str:
            if ord(letter) < _ASCII_ESCAPE_FROM:
                return letter
            units = letter.encode("utf-16-be")
            return "".join(f"\\u{units[at : at + 2].hex()}" for at in range(0, len(units), 2))

        return xml if self.format == "beerxml" else json


def open_document(data: bytes, format_name: FormatName) -> Document:
    """Return a file as text to be edited. Raises EditError where it is no text."""
    is_xml = format_name == "beerxml"
    try:
        decoded = decode_xml(data) if is_xml else decode_json(data)
    except NotTextError as error:
        raise EditError(f"its bytes are not valid {error.encoding}") from None
    codec = decoded.encoding
    if codec == "utf-8" and decoded.text.isascii() and not (is_xml and decoded.mark):
        # Whoever writes plain ASCII with escapes may hand the file to a reader that takes nothing
        # else.
        codec = _codec_of_ascii(decoded.text) if is_xml else "ascii"
    return Document(format_name, decoded, most_used_newline(decoded.text), codec)


def _codec_of_ascii(text: str) -> str:
    """Return how to write into a file of plain ASCII: as it declares, else in ASCII alone."""
    match = _DECLARED.match(text)
    if match is None:
        return "utf-8"
    try:
        name = codecs.lookup(match[1]).name
    except LookupError:
        return "ascii"
    return "utf-8" if name == "utf-8" else "ascii"


def most_used_newline(text: str) -> str:
    """Return the line break a text uses most; LF where it has none."""
    both = text.count("\r\n")
    counts = {"\n": text.count("\n") - both, "\r\n": both, "\r": text.count("\r") - both}
    return max(counts, key=lambda key: counts[key])


def _fits(letter: str, codec: str) -> bool:
    try:
        letter.encode(codec)
    except UnicodeEncodeError:
        return False
    return True


def lines_of(text: str) -> Sequence[str]:
    """Return the lines of a text without their line breaks (LF, CR LF or CR)."""
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
