"""The bytes of a JSON file as text, with the way back from a place in the text to its bytes."""

from __future__ import annotations

import codecs
import re
from bisect import bisect_right
from collections.abc import Iterable
from typing import Final, NamedTuple

_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),  # before UTF-16, whose mark it starts with
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_WRONG_BYTE: Final = re.compile("[\udc80-\udcff]")


class NotTextError(ValueError):
    """The bytes are not text in the encoding their first bytes show; ``encoding`` names it."""

    def __init__(self, encoding: str) -> None:
        super().__init__(encoding)
        self.encoding = encoding


class JsonText(NamedTuple):
    """A file as text.

    text: without byte order mark. encoding: of the bytes. mark: length of the byte order mark.
    breaks: pairs (place in the text, place in the bytes) behind each byte that was no UTF-8 and was
    read as Windows-1252; between two of them the text encodes back to the bytes.
    """

    text: str
    encoding: str
    mark: int = 0
    breaks: tuple[tuple[int, int], ...] = ()

    @property
    def repair(self) -> str:
        """What had to be done to read the bytes as RFC 8259 wants them, or empty."""
        if self.breaks:
            return "windows-1252"
        if self.encoding != "utf-8":
            return self.encoding[:6]
        return "byte-order-mark" if self.mark else ""

    def byte_offsets(self, offsets: Iterable[int]) -> dict[int, int]:
        """Return the place in the bytes of the file for each offset into the text."""
        if self.encoding == "utf-8" and not self.breaks and self.text.isascii():
            return {offset: self.mark + offset for offset in offsets}
        known = [(0, self.mark), *self.breaks]
        starts = [start for start, _ in known]
        places: dict[int, int] = {}
        for offset in sorted(set(offsets)):
            start, place = known[bisect_right(starts, offset) - 1]
            places[offset] = place + len(self.text[start:offset].encode(self.encoding))
            if not self.breaks:
                known, starts = [(offset, places[offset])], [offset]
        return places


def decode(data: bytes) -> JsonText:
    """Return the bytes as text: by byte order mark, by zero bytes (UTF-16, UTF-32), else UTF-8.

    Bytes that are no UTF-8 are read as Windows-1252 one by one, the rest stays UTF-8. Raises
    NotTextError where UTF-16 or UTF-32 is broken.
    """
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return _decoded(data, encoding, len(mark))
    # JSON starts with an ASCII character, so the place of the zero bytes gives the width away.
    if data[:1] == b"\x00":
        return _decoded(data, "utf-32-be" if data[:2] == b"\x00\x00" else "utf-16-be", 0)
    if data[1:2] == b"\x00":
        return _decoded(data, "utf-32-le" if data[2:4] == b"\x00\x00" else "utf-16-le", 0)
    return _decoded(data, "utf-8", 0)


def _decoded(data: bytes, encoding: str, mark: int) -> JsonText:
    body = data[mark:] if mark else data
    try:
        return JsonText(body.decode(encoding), encoding, mark)
    except UnicodeDecodeError as error:
        if encoding != "utf-8":
            raise NotTextError(encoding.upper()) from error
    return _mixed(data, mark)


def _mixed(data: bytes, mark: int) -> JsonText:
    # The handler turns a wrong byte into one lone surrogate, which UTF-8 itself cannot contain.
    marked = data[mark:].decode("utf-8", "surrogateescape")
    breaks: list[tuple[int, int]] = []
    done, place = 0, mark
    for match in _WRONG_BYTE.finditer(marked):
        place += len(marked[done : match.start()].encode("utf-8")) + 1
        done = match.end()
        breaks.append((done, place))
    return JsonText(_WRONG_BYTE.sub(_windows_1252, marked), "utf-8", mark, tuple(breaks))


def _windows_1252(match: re.Match[str]) -> str:
    # Five bytes have no meaning in Windows-1252; they stay the control characters of Latin-1.
    byte = ord(match[0]) - 0xDC00
    try:
        return bytes([byte]).decode("cp1252")
    except UnicodeDecodeError:
        return chr(byte)
